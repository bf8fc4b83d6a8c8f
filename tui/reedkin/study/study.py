"""A log made ready to be asked: its lives, their rows on both clocks, and every habit's values, each reckoned once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from datetime import datetime
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from reedkin.bench.bench import Bench
from reedkin.domain.reeds import Reed
from reedkin.study.habits import Habit, Making
from reedkin.study.lives import Clock, Life, OutOfView, last_of, latest_lives, lives_of, out_of_view
from reedkin.study.pace import Pace, pace_of
from reedkin.study.playings import FloatArray, Playings
from reedkin.study.rows import Rows, split_rows, whole_rows
from reedkin.study.ticks import Tick, no_tick, part
from reedkin.study.unseen import Sight, sight_of
from reedkin.study.unwritten import Hidden, unwritten

Humidity = Callable[[str | None], float | None]
"""From the uid of a work session to the relative humidity in %, if it is known."""


class Study:
    """The lives of a log's reeds and how each was made; `makings` goes with `lives`, and `playings` are those of the
    lives. `pace` is the maker's."""

    def __init__(self, lives: Sequence[Life], makings: Sequence[Making], playings: Playings | None = None) -> None:
        self.pace = Pace()
        self.lives = tuple(lives)
        self.out_of_view: tuple[OutOfView, ...] = ()
        """Reeds whose hours are not known from a playing on, and why; those without a life for it among them."""
        self.sight = Sight()
        """Which reeds at work are still there."""
        self.hidden: tuple[Hidden, ...] = ()
        """Stretches in which reeds were played without a playing being written."""
        self.makings = tuple(makings)
        self.playings = Playings.of(lives) if playings is None else playings
        self._rows: dict[tuple[Clock, bool], Rows] = {}
        self._values: dict[str, FloatArray | NDArray[np.str_]] = {}

    @classmethod
    def of(
        cls,
        reeds: Iterable[Reed],
        humidity: Humidity = lambda session: None,
        now: datetime | None = None,
        tick: Tick = no_tick,
        sight: Sight | None = None,
    ) -> Study:
        """A study of all reeds of a log, oldest first. Those that never served count for the tubes they were on.
        `sight`: which of those at work are still there."""
        reeds, sight = list(reeds), sight or Sight()
        hidden = unwritten(reeds, last_of(reeds, now))
        lives = lives_of(reeds, now, part(tick, 0.0, 0.7), {reed.id for reed in sight.unseen}, hidden)
        uses, makings = _tube_uses(reeds), []
        for place, life in enumerate(lives):
            tick(0.7 + 0.2 * place / len(lives))
            makings.append(Making.of(life, humidity(life.making[0].session), uses.get(life.reed.id)))
        study = cls(lives, makings, Playings.of(lives, part(tick, 0.9, 1.0)))
        study.out_of_view = tuple(one for reed in reeds if not reed.void and (one := out_of_view(reed)) is not None)
        study.sight = sight
        study.hidden = tuple(hidden)
        study.pace = pace_of(reeds, lives, now)
        tick(1.0)
        return study

    @classmethod
    def of_bench(cls, bench: Bench, tick: Tick = no_tick) -> Study:
        """A study of a whole log. Reads every lineage."""
        ids = sorted((heading.at, heading.reed) for heading in bench.headings)
        reeds = []
        for place, (_, reed) in enumerate(ids):
            tick(0.8 * place / len(ids))
            reeds.append(bench.reed(reed))

        def humidity(session: str | None) -> float | None:
            held = bench.sessions.of(session)
            return None if held is None else held.humidity_pct

        return cls.of(reeds, humidity, bench.clock.now(), part(tick, 0.8, 1.0), sight_of(bench))

    @classmethod
    def of_latest(cls, bench: Bench, count: int) -> Study:
        """A study of the lives of the reeds begun last, up to so many of each instrument, which reads no others; of
        how they were made it knows nothing."""
        sight = sight_of(bench)
        study = cls(latest_lives(bench, count, {reed.id for reed in sight.unseen}), ())
        study.sight = sight
        return study

    @cached_property
    def begun(self) -> FloatArray:
        """When the reed of each life was begun, in seconds since the Unix epoch."""
        return np.array([life.reed.begun.timestamp() for life in self.lives])

    def rows(self, clock: Clock, whole: bool = False) -> Rows:
        """The lives as rows, one for each playing; `whole`: as few as can be, for what does not change."""
        if (clock, whole) not in self._rows:
            if whole:
                self._rows[clock, whole] = whole_rows(self.rows(clock))
            else:
                self._rows[clock, whole] = split_rows(self.lives, self.playings, clock)
        return self._rows[clock, whole]

    def rows_for(self, habit: Habit, clock: Clock) -> Rows:
        """The fewest rows in which a habit does not change."""
        return self.rows(clock, whole=habit.of_making is not None)

    def numbers(self, habit: Habit, rows: Rows) -> FloatArray:
        """(n,) the value of a habit that is no category in each of the rows; nan where it is not known."""
        if habit.name not in self._values:
            self._values[habit.name] = self._reckon(habit)
        return np.asarray(self._values[habit.name], dtype=np.float64)[_places(habit, rows)]

    def words(self, habit: Habit, rows: Rows) -> NDArray[np.str_]:
        """(n,) the value of a category in each of the rows; '' where it is not known. One spelling for each."""
        if habit.name not in self._values:
            assert habit.of_making is not None
            given = [habit.of_making(making) for making in self.makings]
            spelling: dict[str, str] = {}
            words = (one.strip() if isinstance(one, str) else "" for one in given)
            self._values[habit.name] = np.array([spelling.setdefault(one.casefold(), one) for one in words], np.str_)
        return np.asarray(self._values[habit.name], dtype=np.str_)[_places(habit, rows)]

    def _reckon(self, habit: Habit) -> FloatArray:
        if habit.of_playings is not None:
            return habit.of_playings(self.playings)
        assert habit.of_making is not None
        given = [habit.of_making(making) for making in self.makings]
        return np.array([one if isinstance(one, (int, float)) else np.nan for one in given], dtype=np.float64)


def _places(habit: Habit, rows: Rows) -> NDArray[np.int64]:
    return rows.life if habit.of_making is not None else rows.playing


def _tube_uses(reeds: Iterable[Reed]) -> dict[str, int]:
    """How many earlier reeds each reed's tube carried, where the tube is known."""
    seen: Counter[str] = Counter()
    uses = {}
    for reed in reeds:
        tube = reed.steps[0].after.tube
        if not reed.void and isinstance(tube, str):
            uses[reed.id] = seen[tube.casefold()]
            seen[tube.casefold()] += 1
    return uses
