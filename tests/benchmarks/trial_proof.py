"""A proof of fair trials on simulated logs of which the truth is known.

`python -m tests.benchmarks.trial_proof` prints, in Markdown: how well the draw can be guessed by who has counted all
that was drawn, and how even it keeps the ways; and of whole trials, looked at after every reed that wore out, how often
one of two equal ways is ever called the better, how often a true difference is settled the right way by the planned
end, with how many reeds, and how often the limits hold the truth. Run it from the top of the project, with `tui` on
the path.
"""

from __future__ import annotations

import argparse
import math
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from itertools import islice
from statistics import fmean, median

from tests.answers.trial_logs import Plan, simulated

from reedkin.answers.trials.comparison import compare
from reedkin.bench.draw import sequence
from reedkin.survival import wilson_interval

PLANS = {
    "two equal ways, 40 planned, lots of 12": Plan(planned=40, reeds=84, of_a_lot=12),
    "two equal ways, 90 planned, lots of 28": Plan(planned=90, reeds=168, of_a_lot=28),
    "two equal ways, 90 planned, a lot for every two reeds": Plan(planned=90, reeds=168, of_a_lot=2),
    "lives end 4 times as fast, 40 planned, lots of 12": Plan(planned=40, reeds=84, of_a_lot=12, times=4.0),
    "lives end 2.5 times as fast, 90 planned, lots of 28": Plan(planned=90, reeds=168, of_a_lot=28, times=2.5),
    "lives end twice as fast, 90 planned, lots of 28": Plan(planned=90, reeds=168, of_a_lot=28, times=2.0),
    "lives end twice as fast, 158 planned, lots of 28": Plan(planned=158, reeds=280, of_a_lot=28, times=2.0),
}
DRAWS, PLACES = 2000, 60


@dataclass(frozen=True)
class Answer:
    """What one log said: whether it was settled, for the better way, with how many worn out, and whether the limits
    held the truth."""

    settled: bool
    right: bool
    worn: int
    held: bool


def ask(seed: int, plan: Plan) -> Answer:
    maker = simulated(seed, plan)
    end = compare(maker.trial, maker.bench)
    assert end.over
    assert end.effect is not None
    assert end.limits is not None
    right = (end.effect.hazard_ratio > 1) == (plan.times > 1)
    return Answer(end.settled, right, end.worn, end.limits[0] <= plan.times <= end.limits[1])


def guessed(trial: str) -> float:
    """The share of its places that one guesses right who names the way that is behind."""
    ahead, right = 0, 0.0
    for way in islice(sequence(trial), PLACES):
        right += 0.5 if ahead == 0 else way == int(ahead < 0)
        ahead += 1 if way else -1
    return right / PLACES


def draw_lines() -> Iterator[str]:
    names = [f"{number:032x}" for number in range(DRAWS)]
    apart = [abs(2 * sum(islice(sequence(name), PLACES)) - PLACES) for name in names]
    yield (
        f"Of {DRAWS} draws of {PLACES} reeds: who names the way that is behind guesses "
        f"{100 * fmean(map(guessed, names)):.1f}% right; at the end the ways are {fmean(apart):.1f} reeds apart in the "
        f"mean, {max(apart)} at most."
    )


def lines(logs: int, first: int) -> Iterator[str]:
    yield from draw_lines()
    yield ""
    yield f"Of {logs} simulated logs each, in % (95% limits), looked at after every reed that wore out:"
    yield ""
    yield "| trial | ever settled | the right way | worn out when settled, half of them | limits hold the truth |"
    yield "| --- | --- | --- | --- | --- |"
    with ProcessPoolExecutor() as pool:
        for name, plan in PLANS.items():
            found = list(pool.map(partial(ask, plan=plan), range(first, first + logs), chunksize=10))
            settled = [one for one in found if one.settled]
            right = "–" if plan.times == 1 else share(sum(one.right for one in settled), logs)
            half = f"{median(one.worn for one in settled):.0f}" if settled else "–"
            held = share(sum(one.held for one in found), logs)
            yield f"| {name} | {share(len(settled), logs)} | {right} | {half} | {held} |"


def share(count: int, logs: int) -> str:
    """A share in per cent with Wilson's 95% interval, its limits rounded outwards."""
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
