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
from concurrent.futures import ProcessPoolExecutor
from math import sqrt

from tests.survival.calibration import Case, cases, shares

AIM = 0.8


def _of(seed: int) -> list[Case]:
    return list(cases(seed, paths=400, chance=None))


def nearest(found: list[Case]) -> list[Case]:
    """Of each forecast's numbers of reeds the one whose chance is nearest to AIM."""
    groups: dict[tuple[int, str], list[Case]] = {}
    for case in found:
        groups.setdefault((case.seed, case.instrument), []).append(case)
    return [min(group, key=lambda case: abs(case.chance - AIM)) for group in groups.values()]


def table(found: list[Case]) -> list[str]:
    """By bands of ten: forecast, came true, how many."""
    return [f"  {forecast:.0%} forecast, {true:.0%} came true, {count}" for forecast, true, count in shares(found)]


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--logs", type=int, default=200, help="simulated makers (200)")
    parser.add_argument("--first", type=int, default=0, help="the first seed (0)")
    parser.add_argument("--workers", type=int, default=2, help="processes (2)")
    args = parser.parse_args()
    with ProcessPoolExecutor(args.workers) as pool:
        found = [case for some in pool.map(_of, range(args.first, args.first + args.logs)) for case in some]
    near = nearest(found)
    forecast = sum(case.chance for case in near) / len(near)
    true = sum(case.came_true for case in near) / len(near)
    error = sqrt(sum(case.chance * (1 - case.chance) for case in near)) / len(near)
    print(f"every number of reeds, {len(found)} forecasts:", *table(found), sep="\n")
    print(f"the one nearest to {AIM:.0%}, {len(near)} forecasts:", *table(near), sep="\n")
    print(f"forecast {forecast:.1%}, came true {true:.1%}, standard error {error:.1%}")
    return int(abs(true - forecast) > 3 * error)


if __name__ == "__main__":
    sys.exit(main())
