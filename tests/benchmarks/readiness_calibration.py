"""How often forecasts of the readiness simulation come true: `python -m tests.benchmarks.readiness_calibration`.

For each of many simulated makers a forecast is made of each instrument, and looked up some weeks later. Prints, for all
numbers of reeds that could be asked for and for those forecast at about 80%, the mean forecast and the share that came
true; ends with 1 if of the latter a share came true that is more than three standard errors from what was forecast.

Measured on makers that the simulation was not tuned on (`--logs 200 --first 5000`): of 400 forecasts at 80.3% on the
average 78.8% came true, with a standard error of 2.0%. The widths and shares in `readiness.blanks` and
`readiness.services` were chosen with seeds below 320 and from 3000 to 3149.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Mapping
from concurrent.futures import ProcessPoolExecutor
from itertools import repeat
from math import sqrt

from tests.survival.calibration import Case, cases, cases_of_world, shares
from tests.survival.worlds import World

AIM, NEAR = 0.8, 0.1
HELD_LEAST, HELD_MOST = 0.72, 0.88


WORLDS: Mapping[str, World | None] = {
    "demo": None,
    "plain": World(days=240),
    "prefers": World(days=240, prefers=True),
    "by-score": World(days=240, by_score=True),
    "short": World(days=60),
    "shortens": World(days=400, shortens=0.4),
}
"""The makers: of the demo logs; in a plain world; one who plays good reeds more; one who retires by score; one with a
log of 60 days; and one whose lives shorten by 40%."""


def _of(seed: int, name: str) -> list[Case]:
    world = WORLDS[name]
    return list(cases(seed, paths=400, chance=None) if world is None else cases_of_world(world, seed, paths=400))


def nearest(found: list[Case]) -> list[Case]:
    """Of each forecast's numbers of reeds the one whose chance is nearest to AIM."""
    groups: dict[tuple[int, str], list[Case]] = {}
    for case in found:
        groups.setdefault((case.seed, case.instrument), []).append(case)
    return [min(group, key=lambda case: abs(case.chance - AIM)) for group in groups.values()]


def table(found: list[Case]) -> list[str]:
    """By bands of ten: forecast, came true, how many."""
    return [f"  {forecast:.0%} forecast, {true:.0%} came true, {count}" for forecast, true, count in shares(found)]


def near_aim(found: list[Case]) -> list[Case]:
    """Of the forecasts nearest to AIM those that are near it."""
    return [case for case in nearest(found) if abs(case.chance - AIM) <= NEAR]


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--logs", type=int, default=200, help="simulated makers in each world (200)")
    parser.add_argument("--first", type=int, default=0, help="the first seed (0)")
    parser.add_argument("--workers", type=int, default=2, help="processes (2)")
    parser.add_argument("--world", choices=list(WORLDS), action="append", help="of these makers (all)")
    args = parser.parse_args()
    missed = False
    with ProcessPoolExecutor(args.workers) as pool:
        for name in args.world or WORLDS:
            seeds = range(args.first, args.first + args.logs)
            found = [case for some in pool.map(_of, seeds, repeat(name)) for case in some]
            near = near_aim(found)
            forecast = sum(case.chance for case in near) / len(near)
            true = sum(case.came_true for case in near) / len(near)
            error = sqrt(sum(case.chance * (1 - case.chance) for case in near)) / len(near)
            print(f"{name}: every number of reeds, {len(found)} forecasts:", *table(found), sep="\n")
            print(
                f"{name}: {len(near)} forecasts near {AIM:.0%}: forecast {forecast:.1%}, came true {true:.1%}, "
                f"standard error {error:.1%}",
                flush=True,
            )
            missed |= not HELD_LEAST <= true <= HELD_MOST
    return int(missed)


if __name__ == "__main__":
    sys.exit(main())
