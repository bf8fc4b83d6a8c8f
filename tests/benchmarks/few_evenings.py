"""
Whether a habit that goes by evenings, and groups of reeds that do, are told no more often than is said, where evenings
are few or uneven and their reeds last alike in several ways; and what that costs. Lives are drawn without a log. All is
asked of the same lives: with every reed taken for itself, with what evenings share in the variance but judged by the
normal law, and as the program does. Run: python -m tests.benchmarks.few_evenings
"""

from __future__ import annotations

import argparse
import math
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from functools import partial
from typing import Literal, NamedTuple

import numpy as np

from reedkin.answers.habits.effects import CLEAR, Effect, effect
from reedkin.study.playings import BoolArray, FloatArray
from reedkin.study.rows import Rows
from reedkin.survival import evidence, logrank, student_quantile, two_sided_p
from reedkin.survival.distributions import LEVEL, Z

Maker = Literal["gamma", "log-normal", "one in four bad", "longer or shorter"]
Goes = Literal["by evenings", "by evenings, yes or no", "half by evenings", "by reeds"]


class Kind(NamedTuple):
    """How reeds of an evening are alike: all have their hazards multiplied by one number (drawn from a gamma or a
    log-normal law of that variance, or large for one evening in four); or, with log-normal lives, all last longer or
    shorter, so that hazards are not in proportion. `sizes`: reeds begun on each evening."""

    maker: Maker
    variance: float
    sizes: tuple[int, ...]
    goes: Goes = "by evenings"


FOUR, SIX, EIGHT, MANY = (15,) * 4, (17,) * 6, (12,) * 8, (3, 4, 3) * 6
FIVE_UNEVEN, TWELVE_UNEVEN = (40, 8, 5, 4, 3), (30, 12, 8, 6, 5, 4, 3, 3, 2, 2, 1, 1)
KINDS = (
    Kind("log-normal", 0.5, FOUR),
    Kind("log-normal", 1.0, FOUR, "by evenings, yes or no"),
    Kind("gamma", 0.5, SIX),
    Kind("one in four bad", 0.5, SIX, "by evenings, yes or no"),
    Kind("longer or shorter", 0.5, SIX),
    Kind("longer or shorter", 1.0, EIGHT),
    Kind("log-normal", 0.5, FIVE_UNEVEN),
    Kind("gamma", 1.0, TWELVE_UNEVEN),
    Kind("log-normal", 0.5, MANY),
    Kind("longer or shorter", 0.5, MANY),
    Kind("gamma", 0.0, FOUR),
    Kind("gamma", 0.0, SIX),
    Kind("gamma", 0.0, FIVE_UNEVEN),
    Kind("gamma", 0.0, MANY),
    Kind("gamma", 0.5, SIX, "half by evenings"),
    Kind("gamma", 0.5, SIX, "by reeds"),
    Kind("log-normal", 0.5, TWELVE_UNEVEN, "by reeds"),
    Kind("gamma", 0.0, MANY, "by reeds"),
)
TWICE = math.log(2.0)
"""The log hazard ratio that is planted for one standard deviation."""
GROUPS = ((SIX, 2), (SIX, 3), (SIX, 6), (MANY, 2), (MANY, 3), (TWELVE_UNEVEN, 2))
"""Evenings, and how many groups these are dealt to."""


def lives(kind: Kind, effects: FloatArray, rng: np.random.Generator) -> tuple[FloatArray, BoolArray]:
    """Hours (n,) and whether worn out then, of reeds with these log hazards (n,); a third go out of view sooner."""
    evenings, reeds = len(kind.sizes), sum(kind.sizes)
    alike = np.ones(evenings)
    if kind.variance and kind.maker == "gamma":
        alike = rng.gamma(1 / kind.variance, kind.variance, evenings)
    elif kind.maker == "one in four bad":
        alike = np.where(rng.random(evenings) < 0.25, 1 + 3 * math.sqrt(kind.variance), 1.0)
    elif kind.variance:
        alike = np.exp(rng.normal(0, math.sqrt(math.log1p(kind.variance)), evenings))
    hazards = np.log(np.repeat(alike, kind.sizes)) + effects
    chance = rng.normal(0, 0.45, reeds)
    if kind.maker != "longer or shorter":
        chance = np.log(rng.exponential(1, reeds)) / 2.5
    life, seen = 10 * np.exp(chance - hazards / 2.5), np.where(rng.random(reeds) < 0.35, rng.uniform(2, 20, reeds), 40)
    ends = [np.ceil(60 * one) / 60 for one in (life, seen)]
    return np.minimum(*ends), ends[0] <= ends[1]


def habit(kind: Kind, rng: np.random.Generator) -> FloatArray:
    """(n,) a habit with a standard deviation of 1."""
    evenings, reeds = len(kind.sizes), sum(kind.sizes)
    evening = np.repeat(np.arange(evenings), kind.sizes)
    drawn = {
        "by evenings": lambda: rng.normal(size=evenings)[evening],
        "by evenings, yes or no": lambda: (rng.permutation(evenings) < evenings // 2)[evening].astype(float),
        "half by evenings": lambda: rng.normal(size=evenings)[evening] + rng.normal(size=reeds),
        "by reeds": lambda: rng.normal(size=reeds),
    }[kind.goes]()
    return np.asarray((drawn - drawn.mean()) / drawn.std())


class Told(NamedTuple):
    """Of one way to judge: the p-value, whether the limits hold what is planted, the chance, and the direction."""

    p: float
    holds: bool
    chance: float
    shorter: bool


def judged(seed: int, kind: Kind, planted: float) -> tuple[Told, ...]:
    """The same lives judged in three ways: every reed for itself; by the normal law; as the program does."""
    rng = np.random.default_rng(seed)
    values = habit(kind, rng)
    stop, event = lives(kind, planted * values, rng)
    reed = np.arange(len(stop))
    evening = np.repeat(np.arange(len(kind.sizes)), kind.sizes)
    rows = Rows(np.zeros(len(stop)), stop, event, np.where(event, "worn", ""), reed, reed, 0 * reed, evening)
    alone, now = effect(replace(rows, evening=reed), values), effect(rows, values)
    wider = math.sqrt(alone.spread / now.spread) * Z / student_quantile(0.5 + LEVEL / 2, now.df)
    return tuple(_told(one, planted) for one in (alone, _by_normal(alone, wider), now))


def _by_normal(alone: Effect, wider: float) -> Effect:
    """The effect as it was while only its variance was larger."""
    lo, hi = (alone.hazard_ratio * (one / alone.hazard_ratio) ** wider for one in (alone.lo, alone.hi))
    z, spread = alone.z / wider, alone.spread / wider**2
    return replace(alone, lo=lo, hi=hi, z=z, spread=spread, p=two_sided_p(z))


def _told(one: Effect, planted: float) -> Told:
    holds = one.lo <= math.exp(planted) <= one.hi
    return Told(one.p, holds, evidence(one.z, one.information).chance, one.hazard_ratio > 1)


def grouped(seed: int, kind: Kind, groups: int, planted: float) -> tuple[bool, bool]:
    """Whether groups, of which one ends faster by what is planted, are told apart at 5%: every reed for itself, and as
    the program does. By reeds, or by the evenings, which are dealt to the groups."""
    rng = np.random.default_rng(seed)
    evening = np.repeat(np.arange(len(kind.sizes)), kind.sizes)
    dealt = rng.permutation(len(kind.sizes))[evening] if kind.goes == "by evenings" else rng.permutation(len(evening))
    group = dealt % groups
    stop, event = lives(kind, planted * (group == 0), rng)
    return logrank(stop, event, group).p < 0.05, logrank(stop, event, group, together=evening).p < 0.05


def of_habits(pool: ProcessPoolExecutor, logs: int, first: int) -> Iterator[str]:
    """The table of habits."""
    yield f"\n## A habit where reeds of an evening last alike, in per cent of {logs} sets of lives\n"
    yield (
        "In each cell: every reed taken for itself; what evenings share in the variance, but judged by the normal law; "
        "judged by Student's t, as the program does. Without an effect, and with a hazard ratio of 2 for one standard "
        "deviation; told: at 9 in 10 or more, the right way.\n"
    )
    said = "p below 5% | clear | limits hold none | with 2: p below 5% | told | limits hold it"
    yield f"| evenings last alike | variance | reeds of each | the habit goes | {said} |"
    yield "| --- | ---: | --- | --- | --- | --- | --- | --- | --- | --- |"
    for kind in KINDS:
        none, twice = (
            list(pool.map(partial(judged, kind=kind, planted=planted), range(first, first + logs), chunksize=10))
            for planted in (0.0, TWICE)
        )
        cells = (
            _shares(none, lambda one: one.p < 0.05),
            _shares(none, lambda one: one.chance >= CLEAR),
            _shares(none, lambda one: one.holds),
            _shares(twice, lambda one: one.p < 0.05 and one.shorter),
            _shares(twice, lambda one: one.chance >= 0.9 and one.shorter),
            _shares(twice, lambda one: one.holds),
        )
        yield f"| {kind.maker} | {kind.variance:g} | {_sizes(kind.sizes)} | {kind.goes} | {' | '.join(cells)} |"


def of_groups(pool: ProcessPoolExecutor, logs: int, first: int) -> Iterator[str]:
    """The table of groups."""
    yield f"\n## Groups told apart by the log-rank test at 5%, in per cent of {logs} sets of lives\n"
    yield (
        "First with every reed taken for itself, then as the program does. Where it matters, one group ends 2.5 times "
        "as fast.\n"
    )
    yield "| evenings last alike | variance | reeds of each | groups | no difference | with one |"
    yield "| --- | ---: | --- | --- | --- | --- |"
    makers: tuple[tuple[Maker, float], ...] = (
        ("log-normal", 0.5), ("longer or shorter", 0.5), ("one in four bad", 0.5), ("gamma", 0.0)
    )  # fmt: skip
    asked = [(Kind(maker, variance, sizes), count) for maker, variance in makers for sizes, count in GROUPS]
    asked += [(Kind("gamma", 0.5, sizes, "by reeds"), 2) for sizes in (SIX, MANY)]
    for kind, count in asked:
        seeds = range(first, first + logs)
        found = [
            list(pool.map(partial(grouped, kind=kind, groups=count, planted=planted), seeds, chunksize=10))
            for planted in (0.0, math.log(2.5))
        ]
        cells = ["; ".join(f"{100 * sum(one[way] for one in of) / logs:.1f}" for way in (0, 1)) for of in found]
        said = f"{count}, {kind.goes}"
        yield f"| {kind.maker} | {kind.variance:g} | {_sizes(kind.sizes)} | {said} | {' | '.join(cells)} |"


def _shares(found: Sequence[tuple[Told, ...]], right: Callable[[Told], bool]) -> str:
    ways = [sum(right(one[way]) for one in found) for way in range(3)]
    return "; ".join(f"{100 * count / len(found):.1f}" for count in ways)


def _sizes(sizes: tuple[int, ...]) -> str:
    if len(set(sizes)) == 1:
        return f"{len(sizes)} of {sizes[0]}"
    return f"{len(sizes)} of {min(sizes)} to {max(sizes)}"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--logs", type=int, default=200, help="sets of lives of each kind (default 200)")
    parser.add_argument("--first", type=int, default=1000, help="the first seed (default 1000)")
    parser.add_argument("--jobs", type=int, default=2, help="processes (default 2)")
    asked = parser.parse_args()
    with ProcessPoolExecutor(asked.jobs) as pool:
        for table in (of_habits, of_groups):
            for line in table(pool, asked.logs, asked.first):
                print(line, flush=True)


if __name__ == "__main__":
    main()
