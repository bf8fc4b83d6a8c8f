"""How often forecasts of whole seasons come true: `python -m tests.benchmarks.season_calibration`.

For each of many simulated makers (`tests.survival.worlds`, which shares nothing with the model) a season of ten weeks
is forecast, with an engagement each week for two to eleven reeds and three blanks tied in each of the first six weeks;
then the maker lives through it, and before each engagement her good reeds are counted. Prints a row for each kind of
maker: of the engagements whose chance was said to be about so much, how many there were and how many had enough reeds;
how often there were enough for all ten beside how often that was forecast; and over all engagements, the mean squared
error of a chance, and by how much the share that came true was above what was said. Engagements of one season are not
independent, so the errors are those between makers. Ends with 1 if of those forecast at 70 to 90% a share came true in
any kind of maker that is more than 10% off and three of its errors.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from datetime import timedelta
from itertools import repeat
from math import sqrt
from random import Random
from statistics import fmean, stdev

from tests.answers.logs import records
from tests.survival.calibration import good
from tests.survival.worlds import KIND, START, World, _Maker

from reedkin.answers.question import Asked
from reedkin.answers.season.question import SeasonQuestion
from reedkin.bench.bench import Bench
from reedkin.bench.engagements import ENGAGEMENTS
from reedkin.domain.clock import FixedClock
from reedkin.domain.events import Statement
from reedkin.study.ticks import no_tick

WEEKS, TIED, EACH = 10, 6, 3
MINUTES = 48
"""The middle of how long a playing of these makers is."""
BANDS: Sequence[tuple[float, float]] = ((0.0, 0.3), (0.3, 0.7), (0.7, 0.9), (0.9, 1.01))
JUDGED = 2
WORLDS: Mapping[str, World] = {
    "plain": World(days=240),
    "good reeds played more": World(days=240, prefers=True),
    "retired by score": World(days=240, by_score=True),
    "60 days": World(days=60),
    "one favourite": World(days=240, fade="linear", favourite=True),
    "good ones sold": World(days=240, prefers=True, sells=True),
    "seasons": World("lognormal", days=300, seasons=True),
    "into a quiet summer": World(days=645, summers=True),
    "tied only before concerts": World(days=240, bursts=True),
    "blanks given up late": World(days=240, late=True),
    "new ones played in at once": World(days=240, at_once=True),
    "one favourite, reeds fading late": World(days=240, favourite=True),
    "one favourite, of late": World(days=240, fade="linear", favourite=True, changes=True),
    "one favourite, until lately": World(days=240, fade="linear", changes=True),
    "one favourite, of two instruments": World(days=240, fade="linear", favourite=True, oboe=True),
    "one playing in five written down": World(days=240, written=0.2),
    "two favourites by turns": World(days=240, way="two by turns"),
    "another favourite each fortnight": World(days=240, way="another each fortnight"),
    "the newest that plays well": World(days=240, way="the newest"),
    "what lies on top": World(days=240, way="on top"),
    "the best spared for concerts": World(days=240, way="spared for concerts"),
}


@dataclass(frozen=True)
class Told:
    """One maker's season: the chance of each engagement and whether it came true, and of all of them together."""

    chances: tuple[float, ...]
    came_true: tuple[bool, ...]
    whole: float


def told(seed: int, name: str) -> Told:
    """Forecast one maker's season, and let her live through it."""
    world, chance = WORLDS[name], Random(seed)
    maker = _Maker(world, seed)
    maker.begin()
    for _ in range(world.days):
        maker.live(tying=True)
    cut = START + timedelta(days=world.days - 1, hours=14)
    wanted = [chance.randint(2, 11) for _ in range(WEEKS)]
    moments = [cut.replace(hour=19) + timedelta(days=7 * week + 4) for week in range(WEEKS)]
    said = [
        Statement(
            f"zz{week}", ENGAGEMENTS, f"zz{week}", cut, cut, f"zz{week}",
            {"day": at.date().isoformat(), "hour": "19:00", "instrument": KIND, "reeds": wanted[week],
             "setting": "performance", "minutes": MINUTES},
        )
        for week, at in enumerate(moments)
    ]  # fmt: skip
    rows = sorted(maker.rows, key=lambda row: str(row["at"]))
    then = Bench.of(FixedClock(cut), [*records(row for row in rows if row["at"] <= cut.isoformat()), *said])
    plan = tuple((KIND, week, EACH) for week in range(TIED))
    found = SeasonQuestion(cut.date(), given=plan, most=EACH).answer(Asked(then), no_tick)
    there = []
    for day in range(7 * WEEKS):
        if day % 7 == 0 and day // 7 < TIED:
            for _ in range(EACH):
                maker.tie(START + timedelta(days=maker.day))
        if day % 7 == 4:
            at = moments[day // 7]
            seen = sorted((row for row in maker.rows if row["at"] <= at.isoformat()), key=lambda row: str(row["at"]))
            there.append(good(Bench.of(FixedClock(at), records(seen)), KIND))
            maker.play(at)
        maker.live(tying=False)
    true = tuple(have >= want for have, want in zip(there, wanted, strict=True))
    return Told(tuple(one.planned for one in found.chances), true, found.whole[KIND])


def cell(seasons: Sequence[Told], low: float, high: float) -> tuple[str, float, float]:
    """Of the engagements forecast so: how many, at what, and how many came true; how far off that is, and its error."""
    off, chances, true = [], [], []
    for one in seasons:
        here = [(c, t) for c, t in zip(one.chances, one.came_true, strict=True) if low <= c < high]
        if here:
            chances += [c for c, _ in here]
            true += [t for _, t in here]
            off.append(fmean(t - c for c, t in here))
    if len(off) < 2:
        return "few", 0.0, 1.0
    error = stdev(off) / sqrt(len(off))
    return f"{len(true)} at {fmean(chances):.1%}: {fmean(true):.1%} ± {error:.1%}", fmean(true) - fmean(chances), error


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--logs", type=int, default=100, help="simulated makers of each kind (100)")
    parser.add_argument("--first", type=int, default=0, help="the first seed (0)")
    parser.add_argument("--workers", type=int, default=2, help="processes (2)")
    parser.add_argument("--world", choices=list(WORLDS), action="append", help="of these makers (all)")
    args = parser.parse_args()
    missed = False
    heads = " | ".join(f"{low:.0%} to {min(high, 1):.0%}, came true" for low, high in BANDS)
    print(f"| makers | {heads} | enough for all | mean squared error of a chance | true less said |")
    print("| --- |" + " --- |" * (len(BANDS) + 3), flush=True)
    with ProcessPoolExecutor(args.workers) as pool:
        for name in args.world or WORLDS:
            seasons = list(pool.map(told, range(args.first, args.first + args.logs), repeat(name)))
            cells = [cell(seasons, *band) for band in BANDS]
            off = [fmean(t - c for c, t in zip(one.chances, one.came_true, strict=True)) for one in seasons]
            squared = [fmean((t - c) ** 2 for c, t in zip(one.chances, one.came_true, strict=True)) for one in seasons]
            root = sqrt(len(seasons))
            whole = f"{fmean(one.whole for one in seasons):.1%}: {fmean(all(one.came_true) for one in seasons):.1%}"
            told_of = (
                f"{fmean(squared):.3f} ± {stdev(squared) / root:.3f} | {fmean(off):+.1%} ± {stdev(off) / root:.1%}"
            )
            print(f"| {name} | {' | '.join(text for text, _, _ in cells)} | {whole} | {told_of} |", flush=True)
            _, missed_by, error = cells[JUDGED]
            missed |= abs(missed_by) > 0.1 + 3 * error
    return int(missed)


if __name__ == "__main__":
    sys.exit(main())
