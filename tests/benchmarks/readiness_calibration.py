"""How often forecasts of readiness come true: `python -m tests.benchmarks.readiness_calibration`.

For each of many simulated makers (`tests.survival.worlds`, which shares nothing with the model, and the demo logs) a
forecast is made and looked up some weeks later: how many reeds are in service then whose last three scores have a
median of 7 or more. Of the numbers of reeds that could be asked for, the one counts whose forecast is nearest to 50,
to 80 and to 95%. Prints a row for each kind of maker, as in `readiness_calibration.md`; ends with 1 if of those near
80% a share came true in any of them that is not 72 to 88%.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Mapping
from concurrent.futures import ProcessPoolExecutor
from itertools import repeat
from math import sqrt
from statistics import fmean, stdev

from tests.survival.calibration import Case, cases, cases_of_world
from tests.survival.worlds import World

AIMS: Mapping[float, float] = {0.5: 0.1, 0.8: 0.1, 0.95: 0.04}
"""What forecasts are looked for, and how near they have to be."""
JUDGED, HELD_LEAST, HELD_MOST = 0.8, 0.72, 0.88

WORLDS: Mapping[str, World | None] = {
    "plain": World(days=240),
    "good reeds played more": World(days=240, prefers=True),
    "retired by score": World(days=240, by_score=True),
    "60 days": World(days=60),
    "lives shorten by 40%": World(days=400, shortens=0.4),
    "the demo logs": None,
    "retired early": World(days=240, by_score=True, used_up=6.5),
    "tied only before concerts": World(days=240, bursts=True),
    "one favourite": World(days=240, fade="linear", favourite=True),
    "seasons": World("lognormal", days=300, seasons=True),
    "seasons, as a quiet one begins": World("lognormal", days=260, seasons=True),
    "quiet summers, as one begins": World(days=660, summers=True),
    "quiet summers, as one ends": World(days=725, summers=True),
    "good ones sold": World(days=240, prefers=True, sells=True),
    "days of good and bad ears": World("lognormal", "linear", days=240, moods=0.5),
    "whole points, seldom": World("mixed", days=240, scored=0.4, coarse=True),
    "reeds sudden to fail": World("mixed", "sudden", days=240, prefers=True),
    "reeds get better": World(days=240, improves=1.0),
    "30 days": World("lognormal", days=30),
    "blanks given up late": World(days=240, late=True),
    "new ones played in at once": World(days=240, at_once=True),
    "one favourite, of late": World(days=240, fade="linear", favourite=True, changes=True),
    "one favourite, until lately": World(days=240, fade="linear", changes=True),
    "one favourite, of two instruments": World(days=240, fade="linear", favourite=True, oboe=True),
    "one playing in five written down": World(days=240, written=0.2),
    "two favourites by turns": World(days=240, way="two by turns"),
    "another favourite each fortnight": World(days=240, way="another each fortnight"),
    "the newest that plays well": World(days=240, way="the newest"),
    "what lies on top": World(days=240, way="on top"),
    "the best spared for concerts": World(days=240, way="spared for concerts"),
    "one in ten lasts five times as long": World(days=240, heavy=True),
    "reeds of one day alike": World(days=240, batch=0.35),
    "lives shorten at once": World(days=240, moves=0.4),
    "back from half a year of leave": World(days=480, leave=True),
    "ends written once a month": World(days=240, clears=True),
    "the best kept in reserve": World(days=240, reserves=True),
    "nearly every score is 7": World(days=240, sevens=True),
    "an instrument of sixty days": World(days=300, oboe=True, newly=60, joined=0),
    "two players, one log": World(days=240, two=True),
    "ten reeds from a notebook, 30 days": World(days=30, joined=10),
    "blanks ready soon or very late": World(days=240, slow=1.0),
    "four ends in ten forgotten": World(days=400, told=0.6),
    "the same, good ones preferred and sold": World(days=400, told=0.6, prefers=True, sells=True),
}


def _of(seed: int, name: str) -> list[Case]:
    world = WORLDS[name]
    return list(cases(seed, paths=400, chance=None) if world is None else cases_of_world(world, seed, paths=400))


def near(found: list[Case], aim: float) -> list[Case]:
    """Of each forecast's numbers of reeds the one whose chance is nearest to what is looked for, if it is near it."""
    groups: dict[tuple[int, str], list[Case]] = {}
    for case in found:
        groups.setdefault((case.seed, case.instrument), []).append(case)
    nearest = (min(group, key=lambda case: abs(case.chance - aim)) for group in groups.values())
    return [case for case in nearest if abs(case.chance - aim) <= AIMS[aim]]


def came_true(of: list[Case]) -> float:
    return sum(case.came_true for case in of) / len(of)


def cell(of: list[Case]) -> str:
    """So many forecasts at so much on the average, and how many of them came true."""
    if not of:
        return "none"
    forecast = sum(case.chance for case in of) / len(of)
    error = sqrt(sum(case.chance * (1 - case.chance) for case in of)) / len(of)
    return f"{len(of)} at {forecast:.1%}: {came_true(of):.1%} ± {error:.1%}"


def over_all(found: list[Case]) -> str:
    """Over all numbers of reeds that could be asked for: the mean squared error of a chance, and by how many good reeds
    there were more than was forecast on the average; each with its standard error between forecasts."""
    groups: dict[tuple[int, str], list[Case]] = {}
    for case in found:
        groups.setdefault((case.seed, case.instrument), []).append(case)
    squared = [sum((case.chance - case.came_true) ** 2 for case in group) / len(group) for group in groups.values()]
    above = [group[0].there_were - sum(case.chance for case in group) for group in groups.values()]
    root = sqrt(len(groups))
    errors = (stdev(one) / root for one in (squared, above))
    return " | ".join(
        f"{fmean(one):{shape}} ± {error:{shape.lstrip('+')}}"
        for one, error, shape in zip((squared, above), errors, (".3f", "+.2f"), strict=True)
    )


def row(name: str, found: list[Case]) -> str:
    """A line of the table."""
    return f"| {name} | " + " | ".join(cell(near(found, aim)) for aim in AIMS) + f" | {over_all(found)} |"


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--logs", type=int, default=200, help="simulated makers in each world (200)")
    parser.add_argument("--first", type=int, default=0, help="the first seed (0)")
    parser.add_argument("--workers", type=int, default=2, help="processes (2)")
    parser.add_argument("--world", choices=list(WORLDS), action="append", help="of these makers (all)")
    args = parser.parse_args()
    missed = False
    print(
        f"| makers | {' | '.join(f'near {aim:.0%}, came true' for aim in AIMS)} | mean squared error of a chance "
        "| good reeds above the forecast |"
    )
    print("| --- |" + " --- |" * (len(AIMS) + 2), flush=True)
    with ProcessPoolExecutor(args.workers) as pool:
        for name in args.world or WORLDS:
            seeds = range(args.first, args.first + args.logs)
            found = [case for some in pool.map(_of, seeds, repeat(name)) for case in some]
            print(row(name, found), flush=True)
            missed |= not HELD_LEAST <= came_true(near(found, JUDGED)) <= HELD_MOST
    return int(missed)


if __name__ == "__main__":
    sys.exit(main())
