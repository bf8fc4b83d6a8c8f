"""A proof of a circle's trial on simulated makers of which the truth is known.

`python -m tests.benchmarks.circle_trial_proof` prints, in Markdown: of whole circles, each of whose makers draws for
herself and gives what her reeds say, and in which all are looked at together again and again, how often one of two
equal ways is ever called the better, how often a true difference is settled the right way, and how often the limits of
the last look hold the truth. Makers differ in how long their reeds last and in their lots, some join late, and in one
row nobody gives a file while her own reeds speak against the second way. Run it from the top of the project, with `tui`
on the path.
"""

from __future__ import annotations

import argparse
import math
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from datetime import timedelta
from functools import partial

import numpy as np
from tests.answers.trial_logs import BEGUN, Plan, simulated
from tests.benchmarks.trial_proof import share

from reedkin.answers.trials.comparison import compare
from reedkin.bench.bench import Bench
from reedkin.domain.clock import FixedClock
from reedkin.domain.events import Event
from reedkin.survival.two_ways import SETTLED
from reedkin.survival.ways_together import WaysTogether, ways_together

LOOKS = 8
_WHOLE = timedelta(days=200)
"""Within so many days all reeds of a maker are tied and most worn out."""


@dataclass(frozen=True)
class Circle:
    """So many makers, each with a trial of `plan`. The log of how many times as fast lives end with the second way
    differs among them by `differ` (standard deviation); the last `late` of them join when half of the time is over;
    with `only_for` nobody gives what speaks against the second way."""

    makers: int
    plan: Plan
    differ: float = 0.0
    late: int = 0
    only_for: bool = False


_SMALL = Plan(planned=40, reeds=36, of_a_lot=12, circle=True)
CIRCLES = {
    "alike, four makers of 36 reeds": Circle(4, _SMALL),
    "alike, ten makers of 24 reeds": Circle(10, replace(_SMALL, reeds=24)),
    "alike in the mean, makers differ by 0.3": Circle(4, _SMALL, differ=0.3),
    "alike, half of the makers join late": Circle(4, _SMALL, late=2),
    "alike, who is against it gives nothing": Circle(4, _SMALL, only_for=True),
    "twice as fast, one maker": Circle(1, replace(_SMALL, times=2.0)),
    "twice as fast, four makers": Circle(4, replace(_SMALL, times=2.0)),
    "twice as fast, ten makers of 24 reeds": Circle(10, replace(_SMALL, reeds=24, times=2.0)),
}


@dataclass(frozen=True)
class Answer:
    """Whether it was ever settled, for the second way being the worse, and whether the last limits held the truth."""

    settled: bool
    worse: bool
    held: bool


def parts(seed: int, plan: Plan, late: bool) -> list[tuple[float, float]]:
    """What one maker gives at each look: how many more of the second way wore out, and the variance of that."""
    maker = simulated(seed, plan)
    begun, told = BEGUN + _WHOLE / 2 * late, []
    for look in range(1, LOOKS + 1):
        until = BEGUN + _WHOLE * look / LOOKS - (begun - BEGUN)
        bench = Bench(FixedClock(until))
        bench.add([one for one in maker.records if (one.at if isinstance(one, Event) else one.recorded) <= until])
        if until <= BEGUN or not bench.reeds():
            told.append((0.0, 0.0))
            continue
        found = compare(maker.trial, bench)
        assert found.circle is not None
        told.append((found.circle.own.more_worn, found.circle.own.variance))
    return told


def ask(seed: int, circle: Circle) -> Answer:
    rng = np.random.default_rng(seed)
    every = []
    for place in range(circle.makers):
        times = circle.plan.times * math.exp(float(rng.normal(0, circle.differ)) if circle.differ else 0.0)
        every.append(parts(100 * seed + place, replace(circle.plan, times=times), place >= circle.makers - circle.late))
    looks = [_together([one[look] for one in every], circle.only_for) for look in range(LOOKS)]
    settled = [one for one in looks if one is not None and one.evidence.chance >= SETTLED]
    last = looks[-1]
    held = last is None or last.limits[0] <= circle.plan.times <= last.limits[1]
    return Answer(bool(settled), bool(settled) and settled[0].ratio > 1, held)


def _together(told: Sequence[tuple[float, float]], only_for: bool) -> WaysTogether | None:
    given = [one for one in told if not only_for or one[0] >= 0]
    return ways_together([one[0] for one in given], [one[1] for one in given])


def lines(circles: int, first: int) -> Iterator[str]:
    yield f"Of {circles} circles each, in % (95% limits), looked at {LOOKS} times:"
    yield ""
    yield "| circle | ever settled | the second way called the worse | limits hold the truth |"
    yield "| --- | --- | --- | --- |"
    with ProcessPoolExecutor() as pool:
        for name, circle in CIRCLES.items():
            found = list(pool.map(partial(ask, circle=circle), range(first, first + circles), chunksize=5))
            counts = (sum(getattr(one, what) for one in found) for what in ("settled", "worse", "held"))
            shares = [share(count, circles) for count in counts]
            yield f"| {name} | {' | '.join(shares)} |"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--circles", type=int, default=200)
    parser.add_argument("--first", type=int, default=1, help="the first seed")
    args = parser.parse_args()
    for line in lines(args.circles, args.first):
        print(line, flush=True)


if __name__ == "__main__":
    main()
