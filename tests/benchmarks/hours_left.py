"""Whether hours left hold: `python -m tests.benchmarks.hours_left`.

Makers of many kinds are simulated (`tests.survival.worlds`, which shares nothing with the model), their logs cut off,
and what each living reed is said to have left is laid beside what it had. For each kind of world: how many reeds, how
often the range held, the mean absolute error of the middle, and that of one who knows the true law of the lives that
are begun on that day but no scores. Ends with 1 if over all worlds the range held less often than 75% or more often
than 88%, or the middle is further off than that of the one who knows the law.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Mapping
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from itertools import repeat
from time import perf_counter

import numpy as np
from tests.answers.logs import records
from tests.survival.worlds import World, history, rows_until

from reedkin.answers.hours_left.outlook import Outlook
from reedkin.bench.bench import Bench
from reedkin.domain.clock import FixedClock

WORLDS: Mapping[str, World] = {
    "lives after Weibull, late fading": World(),
    "lognormal lives, linear fading": World("lognormal", "linear"),
    "mixed lives, sudden fading": World("mixed", "sudden"),
    "lognormal lives, sudden fading": World("lognormal", "sudden"),
    "mixed lives, linear fading": World("mixed", "linear"),
    "one score in five": World(scored=0.2),
    "no scores": World("lognormal", scored=0.0),
    "good reeds played more": World(prefers=True),
    "retired by score": World(by_score=True),
    "played more and retired by score": World(fade="linear", prefers=True, by_score=True),
    "good ones sold": World(prefers=True, sells=True),
    "lives shorten by 40%": World(shortens=0.4, days=400),
    "60 days": World(days=60),
    "30 days": World("lognormal", days=30),
    "lives of 6 h": World("lognormal", life=6.0),
    "lives of 25 h": World("lognormal", "linear", life=25.0),
    "one in ten lasts five times as long": World(heavy=True),
    "reeds of one day alike": World(batch=0.35),
    "lives shorten at once": World(moves=0.4),
    "half a year of leave": World(days=480, leave=True),
    "ends written once a month": World(clears=True),
    "the best kept in reserve": World(reserves=True),
    "nearly every score is 7": World(sevens=True),
    "an instrument of sixty days": World(oboe=True, newly=60, joined=0),
    "two players, one log": World(two=True),
    "ten reeds from a notebook, 30 days": World(days=30, joined=10),
    "blanks ready soon or very late": World(slow=1.0),
}
HELD_LEAST, HELD_MOST = 0.75, 0.88


@dataclass(frozen=True, slots=True)
class Told:
    """What was said of a living reed, and what one who knows the law would say; all in hours."""

    middle: float
    lo: float
    hi: float
    knowing: float
    left: float

    @property
    def held(self) -> bool:
        return self.lo <= self.left <= self.hi


def told(world: World, seed: int) -> list[Told]:
    """All living reeds of one maker on the day on which her log is cut off."""
    found = history(world, seed)
    bench = Bench.of(FixedClock(found.cut), records(rows_until(found, found.cut)))
    outlook, lives = Outlook.of_bench(bench), np.array(found.lives)
    return list(_told(found.living, bench, outlook, lives))


def _told(living, bench: Bench, outlook: Outlook, lives) -> Iterator[Told]:  # type: ignore[no-untyped-def]
    by_tag = {reed.tag: reed for reed in bench.at_work()}
    for one in living:
        left = outlook.left(by_tag[one.tag])
        assert left is not None
        longer = lives[lives > one.hours]
        knowing = float(np.median(longer)) - one.hours if len(longer) else 0.0
        yield Told(left.middle, left.lo, left.hi, knowing, one.left)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--logs", type=int, default=40, help="makers in each world (40)")
    parser.add_argument("--first", type=int, default=0, help="the first seed (0)")
    parser.add_argument("--world", choices=list(WORLDS), action="append", help="of these makers (all)")
    parser.add_argument("--workers", type=int, default=2, help="processes (2)")
    args = parser.parse_args()
    print(f"{'world':34} reeds   held  below  above  error  knowing the law")
    everything: list[Told] = []
    begun = perf_counter()
    with ProcessPoolExecutor(args.workers) as pool:
        for name in args.world or WORLDS:
            world = WORLDS[name]
            seeds = range(args.first, args.first + args.logs)
            found = [one for some in pool.map(told, repeat(world), seeds) for one in some]
            print(row(name, found), flush=True)
            everything += found
    print(row("all", everything))
    print(f"{perf_counter() - begun:.0f} s")
    held = sum(one.held for one in everything) / len(everything)
    return int(not HELD_LEAST <= held <= HELD_MOST or error(everything) >= knowing_error(everything))


def error(found: list[Told]) -> float:
    return float(np.mean([abs(one.middle - one.left) for one in found]))


def knowing_error(found: list[Told]) -> float:
    return float(np.mean([abs(one.knowing - one.left) for one in found]))


def row(name: str, found: list[Told]) -> str:
    """A world's line of the table."""
    held = np.mean([one.held for one in found])
    below, above = np.mean([one.left < one.lo for one in found]), np.mean([one.left > one.hi for one in found])
    return (
        f"{name:34} {len(found):5}  {held:5.1%}  {below:5.1%}  {above:5.1%}  {error(found):5.2f}"
        f"  {knowing_error(found):5.2f}"
    )


if __name__ == "__main__":
    sys.exit(main())
