"""A proof of fair trials on simulated logs of which the truth is known.

`python -m tests.benchmarks.trial_proof` prints, in Markdown: how often a trial of two equal ways seems to differ when
it is compared once, at the planned end, and how often if one stops at the first of five looks that seems to tell; how
often the 95% interval holds the truth; and how often a true difference is found. Run it from the top of the project,
with `tui` on the path.
"""

from __future__ import annotations

import argparse
import math
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from functools import partial

from tests.answers.trial_logs import Plan, simulated

from reedkin.answers.trials.comparison import compare
from reedkin.bench.trials import assignments
from reedkin.survival import wilson_interval

PLANS = {
    "two equal ways, lots of 12": Plan(planned=40, reeds=84, of_a_lot=12),
    "two equal ways, lots of 28": Plan(planned=40, reeds=84, of_a_lot=28),
    "two equal ways, a lot for every two reeds": Plan(planned=40, reeds=84, of_a_lot=2),
    "lives end 2.5 times as fast, lots of 12": Plan(planned=40, reeds=84, of_a_lot=12, times=2.5),
    "lives end twice as fast, 66 planned, lots of 28": Plan(planned=66, reeds=140, of_a_lot=28, times=2.0),
}
LOOKS = 5


@dataclass(frozen=True)
class Answer:
    """What one log said: at the planned end, at any of five looks, and whether the interval held the truth."""

    differs: bool
    at_a_look: bool
    held: bool


def ask(seed: int, plan: Plan) -> Answer:
    maker = simulated(seed, plan)
    trial, now = maker.trial, maker.clock.now()
    reeds = assignments(trial, maker.bench)
    looks = [compare(replace(trial, planned=plan.planned * at // LOOKS), reeds, now) for at in range(1, LOOKS + 1)]
    end = looks[-1]
    assert end.due
    assert end.effect is not None
    held = end.effect.lo <= plan.times <= end.effect.hi
    return Answer(bool(end.differs), any(look.differs for look in looks), held)


def lines(logs: int, first: int) -> Iterator[str]:
    yield f"Of {logs} simulated logs each, in % (95% limits):"
    yield ""
    yield f"| trial | seems to differ at the end | at one of {LOOKS} looks | interval holds the truth |"
    yield "| --- | --- | --- | --- |"
    with ProcessPoolExecutor() as pool:
        for name, plan in PLANS.items():
            found = list(pool.map(partial(ask, plan=plan), range(first, first + logs), chunksize=10))
            counts = [sum(one.differs for one in found), sum(one.at_a_look for one in found)]
            counts.append(sum(one.held for one in found))
            yield f"| {name} | {' | '.join(_share(count, logs) for count in counts)} |"


def _share(count: int, logs: int) -> str:
    lo, hi = wilson_interval(count, logs)
    return f"{100 * count / logs:.1f} ({math.floor(1000 * lo) / 10:.1f} to {math.ceil(1000 * hi) / 10:.1f})"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--logs", type=int, default=1000)
    parser.add_argument("--first", type=int, default=1, help="the first seed")
    args = parser.parse_args()
    for line in lines(args.logs, args.first):
        print(line, flush=True)


if __name__ == "__main__":
    main()
