"""Whether forecasts come true: simulated logs are cut off on a day, and what follows is forecast and then looked up."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from random import Random

from demo_logs.simulate import Scenario, simulate
from tests.answers.logs import records
from tests.survival.worlds import FOLLOWED, KIND, World, history, rows_until

from reedkin.answers.ready import Wish, readiness
from reedkin.bench.bench import Bench
from reedkin.domain.clock import FixedClock
from reedkin.domain.events import Event
from reedkin.domain.reeds import IN_SERVICE
from reedkin.study.form import form, marks

LEVEL = 7.0
"""The score that the forecast asks for where the maker has set none."""
SIZES = (25, 40, 60, 90)
HORIZONS = (14, 21, 28)


@dataclass(frozen=True)
class Case:
    """A forecast of at least `reeds` good ones, and how many there were."""

    seed: int
    instrument: str
    days: int
    reeds: int
    chance: float
    there_were: int

    @property
    def came_true(self) -> bool:
        return self.there_were >= self.reeds


def cases(seed: int, paths: int, chance: float | None = 0.8) -> Iterator[Case]:
    """The forecasts of one simulated log, cut off on the evening on which its last blanks were tied, so that what there
    is later was there then. For each instrument, of the numbers of reeds that could be asked for, the one whose
    forecast is nearest to `chance`; or all, if that is None."""
    scenario = simulate(
        seed, reeds=SIZES[seed % len(SIZES)], start=date(2025, 9, 1) + timedelta(days=seed % 17)
    )  # fmt: skip
    cut = datetime.fromisoformat(max(r["at"] for r in scenario.rows if r["kind"] == "tied")).replace(hour=23, minute=59)
    days = HORIZONS[seed % len(HORIZONS)]
    then, later = bench_until(scenario, cut), bench_until(scenario, cut + timedelta(days=days))
    for instrument in ("english horn", "oboe"):
        there, on = good(later, instrument), cut.date() + timedelta(days=days)
        answer = readiness(then, Wish(instrument, 1, on), seed, paths, blanks=False)
        found = [
            Case(seed, instrument, days, reeds, share, there) for reeds, share in enumerate(answer.at_least) if reeds
        ]
        if chance is None:
            yield from found
        elif found:
            yield min(found, key=lambda case: abs(case.chance - chance))


def cases_of_world(world: World, seed: int, paths: int) -> Iterator[Case]:
    """All the numbers of reeds that could be asked of one maker of a world, who ties no more after the forecast."""
    made = history(world, seed, lives=0)
    days = min(HORIZONS[seed % len(HORIZONS)], FOLLOWED)
    after, rng = made.cut + timedelta(days=days), Random(seed)
    told = [row for row in rows_until(made, made.cut) if row["kind"] != "retired" or rng.random() < world.told]
    then = Bench.of(FixedClock(made.cut), records(told))
    later = Bench.of(FixedClock(after), records(rows_until(made, after)))
    answer = readiness(then, Wish(KIND, 1, after.date()), seed, paths, blanks=False)
    there = good(later, KIND)
    for reeds, share in enumerate(answer.at_least):
        if reeds:
            yield Case(seed, KIND, days, reeds, share, there)


def bench_until(scenario: Scenario, moment: datetime) -> Bench:
    """The bench as it was at a moment."""
    made = records(scenario.rows, scenario.sessions)
    return Bench.of(FixedClock(moment), [r for r in made if not isinstance(r, Event) or r.at <= moment])


def good(bench: Bench, instrument: str) -> int:
    """How many reeds of an instrument are in the case and score well enough."""
    serving = [reed for reed in bench.at_work() if reed.instrument == instrument and reed.stage == IN_SERVICE]
    forms = [form([mark.score for mark in marks(reed)]) for reed in serving]
    return sum(one is not None and one >= LEVEL for one in forms)


def shares(found: Sequence[Case], width: float = 0.1) -> list[tuple[float, float, int]]:
    """By band of chance: the mean forecast, the share that came true, and how many forecasts."""
    bands: dict[int, list[Case]] = {}
    for case in found:
        bands.setdefault(min(int(case.chance / width), round(1 / width) - 1), []).append(case)
    return [
        (sum(c.chance for c in band) / len(band), sum(c.came_true for c in band) / len(band), len(band))
        for _, band in sorted(bands.items())
    ]
