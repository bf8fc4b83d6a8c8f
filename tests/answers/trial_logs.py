"""Logs with a fair trial in them and known truth: the reeds are tied by entry lines while the trial runs, as a maker
would, and then live as long as a stated hazard lets them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import count
from math import exp, log

import numpy as np

from reedkin.bench.bench import Bench
from reedkin.bench.trials import Trial, trials
from reedkin.domain.clock import FixedClock
from reedkin.domain.events import Event, Record
from reedkin.domain.facts import Value
from reedkin.domain.reeds import Reed
from reedkin.domain.uid import UidMaker, uuid7
from reedkin.grammar.reading import read
from reedkin.grammar.recording import to_records

BEGUN = datetime(2026, 1, 5, 10, tzinfo=UTC)
LIFE_SHAPE = 2.0
"""Of the Weibull law that the lives follow: reeds wear faster as they age."""


class SeededUids(UidMaker):
    """Uids that are the same for the same seed, so that chance draws the same."""

    def __init__(self, seed: int) -> None:
        super().__init__()
        self._numbers, self._seed = count(1), seed

    def new(self) -> str:
        number = next(self._numbers)
        return uuid7(1_700_000_000_000 + number, self._seed << 20 | number)


class Maker:
    """Keeps a log in memory by entry lines, each `after` hours from the one before."""

    def __init__(self, seed: int = 1) -> None:
        self.clock = FixedClock(BEGUN)
        self.uids = SeededUids(seed)
        self.bench = Bench(self.clock)
        self.records: list[Record] = []

    def enter(self, line: str, after: float = 1, reed: Reed | None = None) -> list[Record]:
        self.clock.forward(hours=after)
        reading = read(line, self.bench, reed)
        assert reading.ready, (line, reading.errors)
        return self.keep(to_records(reading, self.uids, self.clock.now(), None))

    def keep(self, made: list[Record]) -> list[Record]:
        self.records += made
        self.bench.add(made)
        return made

    @property
    def trial(self) -> Trial:
        return trials(self.bench)[-1]

    def event(self, of: Event, kind: str, at: datetime, **facts: Value) -> Event:
        """An event of the same reed as another, made without an entry line, which takes longer."""
        uid = self.uids.new()
        return Event(uid, of.reed, kind, of.tag, at, at, uid, facts)


@dataclass(frozen=True)
class Plan:
    """A trial to simulate. Lives with the second way end `times` as fast; lots differ by `lots` (standard deviation of
    the log hazard); `never` is the share of blanks given up; `accidents` the share of lives that one ends; `circle`
    makes it a circle's trial."""

    planned: int = 40
    reeds: int = 84
    of_a_lot: int = 12
    times: float = 1.0
    lots: float = 0.5
    never: float = 0.15
    accidents: float = 0.1
    circle: bool = False


def simulated(seed: int, plan: Plan, made_as: Callable[[int], int] = lambda way: way) -> Maker:
    """A log that holds one trial and the whole lives of its reeds. `made_as` says which way a reed is really made, by
    the one that it was assigned."""
    rng, maker = np.random.default_rng(seed), Maker(seed)
    maker.enter(f"trial start wire before or after eh for {plan.planned}{' for the circle' if plan.circle else ''}")
    lives: list[Record] = []
    for number in range(plan.reeds // plan.of_a_lot):
        lot_hazard = float(rng.normal(0, plan.lots))
        first = number * plan.of_a_lot + 1
        tags = f"{first}-{first + plan.of_a_lot - 1}" if plan.of_a_lot > 1 else f"{first}"
        for record in maker.enter(f"{tags} tie eh 60 lot {number + 1} tube 27", after=24 * 12):
            if isinstance(record, Event) and record.kind == "assigned":
                way = maker.trial.ways.index(str(record.facts["arm"]))
                lives += _life(maker, record, rng, lot_hazard + made_as(way) * log(plan.times), plan)
    maker.keep(lives)
    maker.clock.forward(days=400)
    return maker


def _life(maker: Maker, tied: Event, rng: np.random.Generator, log_hazard: float, plan: Plan) -> list[Event]:
    at = tied.at + timedelta(days=float(rng.uniform(5, 12)))
    if rng.random() < plan.never:
        return [maker.event(tied, "retired", at, cause="never came good")]
    minutes = max(8, round(700 * float(rng.weibull(LIFE_SHAPE)) * exp(-log_hazard / LIFE_SHAPE)))
    cause = "dropped" if rng.random() < plan.accidents else "worn"
    events = []
    for part in range(4):
        at += timedelta(days=float(rng.uniform(2, 9)))
        events.append(maker.event(tied, "played", at, minutes=minutes * (part + 1) // 4 - minutes * part // 4))
    return [*events, maker.event(tied, "retired", at + timedelta(minutes=1), cause=cause)]
