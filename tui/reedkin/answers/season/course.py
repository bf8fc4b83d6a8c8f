"""The reeds of one instrument through all its engagements: one simulation, in which they wear from day to day.

Every path draws once what `answers.ready` draws for a single day: how long lives are and how scores fall, how blanks
fare, what is played, and what the maker does with her reeds. What is tied, and when, is asked of it afterwards. Days
are counted from today; between engagements she plays as she usually does, and what is played in them is played too.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from math import ceil

import numpy as np

from reedkin.answers.hours_left.outlook import Outlook
from reedkin.answers.ready.ahead import Ahead, ahead
from reedkin.answers.ready.past import Past
from reedkin.answers.ready.rotation import Rotation, chances
from reedkin.answers.ready.simulation import lives_ahead, playable, prospects
from reedkin.answers.ready.taking import LOOK_BACK
from reedkin.answers.ready.ways import ways
from reedkin.bench.engagements import Engagement
from reedkin.domain.reeds import IN_SERVICE, Reed
from reedkin.survival.arrays import BoolArray, FloatArray, IntArray

MOST_STEPS = 160
"""More playings than these are joined to fewer and longer ones."""
WEEKS_APART = 12
"""Blanks tied so many weeks apart share their draws, since they are hardly ever in the case together."""
_KEPT = 3
"""So many plans that were reckoned through are kept: with nothing tied, the last, and the best."""
_USUAL_HOURS: Mapping[str, float] = {"performance": 1.0, "rehearsal": 1.25, "lesson": 0.75, "practice": 0.75}
"""Hours that a reed is played in an engagement where none is noted (from memory)."""
WEEK = 7

Tyings = Mapping[int, tuple[int, int]]
"""What is tied: by week, counted from this one, on which day (counted from today), and how many."""


@dataclass(frozen=True, slots=True)
class SeasonStep:
    """One thing after the other: a playing, by the column of its hours; a look before an engagement, by its place; or
    the beginning of a week."""

    column: int | None = None
    look: int | None = None
    week: int | None = None
    day: int = 0


@dataclass(frozen=True, slots=True)
class SeenAhead:
    """
    What was seen on all paths.

    there   (engagements, paths) how many reeds there were for it; -1 where it was not looked at.
    wanted  (engagements,) how many are wanted.
    stock   (weeks, paths) the good reeds in service as each week begins.
    """

    there: IntArray
    wanted: IntArray
    stock: FloatArray

    @property
    def enough(self) -> BoolArray:
        """(engagements, paths) whether there were as many reeds as are wanted."""
        return np.asarray(self.there >= self.wanted[:, None])

    @property
    def chance(self) -> FloatArray:
        """(engagements,) the chance of enough reeds for each; nan where it was not looked at."""
        return np.where(self.there[:, 0] >= 0, self.enough.mean(axis=1), np.nan)


@dataclass(frozen=True, slots=True)
class Standing:
    """How the reeds stand as a week begins, on all paths: those that are still there of the stock and of what was tied
    in earlier weeks."""

    week: int
    rotation: Rotation


@dataclass(frozen=True, slots=True)
class Lacking:
    """What there is beside the reeds that fit an engagement as it begins, on all paths: (paths,) each the reeds that
    `fit`, those finished but `untried`, the blanks still `unfinished` that will come good, those in service but
    `below` the level, and those worn out or lost since today, `gone`."""

    fit: IntArray
    untried: IntArray
    unfinished: IntArray
    below: IntArray
    gone: IntArray

    def chance(self, wanted: int, name: str) -> float:
        """The chance of enough reeds if those of this name were among them."""
        return float(np.mean(self.fit + getattr(self, name) >= wanted))


class SeasonCourse:
    """Draws the course of an instrument's reeds; `engagements` are its own, in the order in which they take place."""

    def __init__(
        self, past: Past, outlook: Outlook, instrument: str, stock: Sequence[Reed], now: datetime,
        engagements: Sequence[Engagement], level: float | None, paths: int, seed: int, most: int,
    ) -> None:  # fmt: skip
        """`most` blanks are tied in a week at the most."""
        rng = np.random.default_rng(seed)
        self.engagements, self.paths, self.level, self.most = tuple(engagements), paths, level, most
        self.instrument, self.stock = instrument, tuple(stock)
        self.days = [max((one.day - now.date()).days, 0) for one in engagements]
        self.last = max(self.days, default=0)
        self.weeks = self.last // WEEK + 1
        hours = [playing_hours(past, one) for one in engagements]
        known = playable(without_engaged(past, engagements, hours, self.last, rng))
        self._steps, self._hours, columns = self._taken_apart(ahead(known, self.last, None, paths, rng, False), hours)
        serving = [reed for reed in stock if reed.stage == IN_SERVICE]
        begun = [reed for reed in stock if reed.stage != IN_SERVICE]
        self._pool = min(self.weeks, WEEKS_APART) * most
        self._reeds = lives_ahead(outlook, instrument, serving, begun, self._pool, paths, rng)
        self._reeds.follow(prospects(past, begun, self._pool, now, paths, rng))
        self._ways = ways(past, level, paths, rng)
        self._chances = chances(columns, paths, past, rng)
        self._begins = {step.week: nth for nth, step in enumerate(self._steps) if step.week is not None}
        self._known: dict[tuple[tuple[int, tuple[int, int]], ...], SeenAhead] = {}
        self.begun = self._begun()

    def _begun(self) -> Standing:
        """How the stock stands today."""
        have = np.arange(len(self.stock))
        reeds = self._reeds.chosen(have, self._reeds.from_day[:, have])
        return Standing(0, Rotation(reeds, self._ways, self.level))

    def _taken_apart(self, playings: Ahead, hours: Sequence[float]) -> tuple[list[SeasonStep], FloatArray, int]:
        """The days as steps: playings, looks at the beginning of each week and before each engagement. Also the hours
        (paths, columns) of the playings."""
        marks = sorted({*range(0, self.last + 1, WEEK), *self.days})
        steps: list[SeasonStep] = []
        columns: list[FloatArray] = []
        for day, end in zip(marks, [*marks[1:], marks[-1]], strict=True):
            if day % WEEK == 0:
                steps.append(SeasonStep(week=day // WEEK, day=day))
            for place, on in enumerate(self.days):
                if on == day:
                    steps += [SeasonStep(look=place, day=day), SeasonStep(column=len(columns), day=day)]
                    columns.append(np.full(self.paths, hours[place]))
            most = max(1, round(MOST_STEPS * (end - day) / max(self.last, 1)))
            for on, played in _between(playings, day, end, most):
                steps.append(SeasonStep(column=len(columns), day=on))
                columns.append(played)
        return steps, np.stack(columns, axis=1) if columns else np.zeros((self.paths, 0)), len(columns)

    def seen(self, tyings: Tyings) -> SeenAhead:
        """What is seen through all of it if so much is tied."""
        key = tuple(sorted(tyings.items()))
        found = self._known.get(key) or self.seen_from(self.begun, [tyings])[0]
        # The dictionary is never changed: two threads may ask at once.
        latest = [(other, seen) for other, seen in self._known.items() if other != key]
        self._known = dict([*latest, (key, found)][-_KEPT:])
        return found

    def beside(self, tyings: Tyings, place: int) -> Lacking:
        """What there is beside the reeds that fit an engagement, by its place, if so much is tied."""
        rotation = self._with(self.begun, [tyings])
        for step in self._steps:
            self._go(step, rotation, 1)
            if step.look == place:
                break
        there, fit = rotation.there(), self._fit(rotation, place)
        every = (fit, rotation.untried(), rotation.unfinished(), there & ~fit, rotation.gone())
        return Lacking(*(one.sum(axis=1) for one in every))

    def _fit(self, rotation: Rotation, place: int) -> BoolArray:
        """(paths, n): the reeds that one can play in an engagement."""
        return rotation.good() if self.engagements[place].setting == "performance" else rotation.there()

    def seen_from(
        self, standing: Standing, each: Sequence[Tyings], until: int | None = None, before: int | None = None
    ) -> list[SeenAhead]:
        """What is seen from a week on if each of these is tied, in that week or later: side by side, which takes hardly
        longer than one. It ends with the engagement `until`, by its place, or `before` the beginning of a week."""
        times = len(each)
        rotation = self._with(standing, each)
        there = np.full((len(self.days), times * self.paths), -1, dtype=np.intp)
        stock = np.zeros((self.weeks, times * self.paths))
        for step in self._steps[self._begins[standing.week] :]:
            if step.week is not None and step.week == before:
                break
            self._go(step, rotation, times)
            if step.week is not None:
                stock[step.week] = rotation.good().sum(axis=1)
            elif step.look is not None:
                there[step.look] = self._fit(rotation, step.look).sum(axis=1)
                if step.look == until:
                    break
        wanted = np.array([one.reeds for one in self.engagements], dtype=np.intp)
        parts = [slice(nth * self.paths, (nth + 1) * self.paths) for nth in range(times)]
        return [SeenAhead(there[:, part], wanted, stock[:, part]) for part in parts]

    def week_on(self, standing: Standing, tied: tuple[int, int] | None) -> Standing:
        """How they stand a week later, if so much is tied in it, and on which day."""
        rotation = self._with(standing, [{} if tied is None else {standing.week: tied}])
        begin = self._begins[standing.week]
        for step in self._steps[begin : self._begins.get(standing.week + 1, len(self._steps))]:
            self._go(step, rotation, 1)
        return Standing(standing.week + 1, rotation.still())

    def _go(self, step: SeasonStep, rotation: Rotation, times: int) -> None:
        """One thing happens to reeds that so many times as many paths hold."""
        rows = times * self.paths
        if step.column is None:
            rotation.come(np.full(rows, max(step.day, 1) - 0.5))
            return
        tables = (self._hours, self._chances.taken, self._chances.off)
        hours, taken, off = (np.concatenate([table[:, step.column]] * times) for table in tables)
        rotation.play_one(np.full(rows, step.day), hours, taken, off)

    def _with(self, standing: Standing, each: Sequence[Tyings]) -> Rotation:
        """The reeds that stand, so many times as there are tyings, each with its own blanks behind them."""
        have, times = len(self.stock), len(each)
        most = {week: max(of.get(week, (0, 0))[1] for of in each) for week in sorted({w for of in each for w in of})}
        pool = [(week, nth) for week, count in most.items() for nth in range(count)]
        chosen = np.array([have + (week % WEEKS_APART) * self.most + nth for week, nth in pool], dtype=np.intp)
        days = self._reeds.from_day[:, chosen]
        tied = [[of[week][0] if nth < of.get(week, (0, 0))[1] else np.inf for week, nth in pool] for of in each]
        from_day = np.concatenate([days + np.array(one, dtype=np.float64) for one in tied])
        reeds = self._reeds.chosen(chosen, days).tiled(times, from_day)
        return standing.rotation.tiled(times).joined(reeds)


def _between(playings: Ahead, day: int, end: int, most: int) -> Iterator[tuple[int, FloatArray]]:
    """The playings from a day until another as columns of hours, one after the other on every path, each with its day,
    spread evenly; where a path has more than the `most`, or half more than usual, the last ones are joined."""
    within = (playings.day >= day) & (playings.day < end) & (playings.hours > 0.0)
    count = within.sum(axis=1)
    size = min(most, ceil(1.5 * float(count.mean()))) if count.any() else 0
    table = np.zeros((len(count), size))
    rows, places = np.nonzero(within)
    nth = np.minimum((within.cumsum(axis=1) - 1)[rows, places], size - 1)
    np.add.at(table, (rows, nth), playings.hours[rows, places])
    for place in range(size):
        yield day + place * (end - day) // size, table[:, place]


def playing_hours(past: Past, one: Engagement) -> float:
    """How long reeds are played in an engagement: as in her playings of that setting, a day's together, but no longer
    than it takes."""
    days: Counter[object] = Counter()
    for playing in past.playings:
        if playing.setting == one.setting:
            days[playing.day] += playing.minutes
    noted = sorted(days.values())
    usual = noted[len(noted) // 2] / 60 if noted else _USUAL_HOURS.get(one.setting, 1.0)
    return min(usual, one.minutes / 60) if one.minutes else usual


def without_engaged(
    past: Past, engagements: Sequence[Engagement], hours: Sequence[float], days: int, rng: np.random.Generator
) -> Past:
    """The past without as much of each setting as the engagements hold of it: they are among what she usually plays,
    and not beside it. Where they hold more than usual, nothing is left; where she has entered but some, the rest."""
    since = max(past.first_day, past.last_day - LOOK_BACK)
    length = max((past.last_day - since).days, 1)
    usual: Counter[str] = Counter()
    for playing in past.playings:
        if playing.day > since:
            usual[playing.setting] += playing.minutes
    engaged: Counter[str] = Counter()
    for one, long in zip(engagements, hours, strict=True):
        engaged[one.setting] += round(60 * long)
    left = {
        name: max(0.0, 1.0 - engaged[name] * length / (max(days, 1) * usual[name])) for name in engaged if usual[name]
    }
    drawn = rng.random(len(past.playings)).tolist()
    kept = (p for p, chance in zip(past.playings, drawn, strict=True) if chance < left.get(p.setting, 1.0))
    return replace(past, playings=tuple(kept))
