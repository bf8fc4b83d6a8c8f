"""Two ways compared in the reeds of several makers: one test, stratified by maker, that holds at every look."""

from __future__ import annotations

import math

import numpy as np
import pytest
from lifelines.statistics import logrank_test

from reedkin.survival import logrank
from reedkin.survival.errors import StatisticsError
from reedkin.survival.evidence import USUAL_BELIEF, log_e_value
from reedkin.survival.two_ways import reach
from reedkin.survival.ways_together import ways_together

Drawn = tuple[np.ndarray, np.ndarray, np.ndarray]


def reeds(rng: np.random.Generator, maker: int, count: int, times: float = 1.0) -> Drawn:
    """Whole hours, whether worn out, and the ways of a maker's reeds, who last as long as hers do."""
    ways = rng.integers(0, 2, size=count)
    lives = np.ceil(60 * (6 + 6 * maker) * rng.weibull(2.0, size=count) * times ** (-ways / 2.0))
    watched = np.ceil(60 * 40 * rng.random(count))
    return np.minimum(lives, watched), lives <= watched, ways


def part(drawn: Drawn) -> tuple[float, float]:
    found = logrank(*drawn)
    return float(found.observed[1] - found.expected[1]), float(found.variance[1, 1])


def test_the_sums_are_the_log_rank_test_within_each_maker():
    """As one test in which only reeds of one maker are compared; and each part as lifelines has it."""
    rng = np.random.default_rng(1)
    every = [reeds(rng, maker, 30, 1.8) for maker in range(4)]
    whole = logrank(
        *(np.concatenate(column) for column in zip(*every, strict=True)), strata=np.repeat(np.arange(4), 30)
    )
    more, variance = zip(*map(part, every), strict=True)
    assert sum(more) == pytest.approx(float(whole.observed[1] - whole.expected[1]))
    assert sum(variance) == pytest.approx(float(whole.variance[1, 1]))
    for (time, event, way), one, spread in zip(every, more, variance, strict=True):
        reference = logrank_test(time[way == 1], time[way == 0], event[way == 1], event[way == 0])
        assert one**2 / spread == pytest.approx(reference.test_statistic, rel=1e-6)
    found = ways_together(more, variance)
    assert found is not None
    assert found.ratio == pytest.approx(math.exp(sum(more) / sum(variance)))
    for limit in found.limits:
        away = (math.log(found.ratio) - math.log(limit)) * math.sqrt(sum(variance))
        assert log_e_value(away, sum(variance) / 0.25, USUAL_BELIEF.size) == pytest.approx(math.log(20))
    assert found.limits[0] < found.ratio < found.limits[1]


def test_looked_at_after_each_reed_a_way_that_does_nothing_is_seldom_settled():
    """Of 40 trials of four makers, whose lives differ, looked at 12 times: at most one ever at 95 in 100 (a belief
    of one in five that it matters allows one in twenty)."""
    rng, ever = np.random.default_rng(8), 0
    for _ in range(40):
        every = [reeds(rng, maker, 24) for maker in range(4)]
        for look in range(1, 13):
            parts = []
            for time, event, way in every:
                some = slice(0, 2 * look)
                if event[some].any() and len(set(way[some].tolist())) == 2:
                    try:
                        parts.append(part((time[some], event[some], way[some])))
                    except StatisticsError:
                        continue
            found = ways_together([one for one, _ in parts], [spread for _, spread in parts])
            if found is not None and found.evidence.chance >= 0.95:
                ever += 1
                break
    assert ever <= 1


def test_many_makers_settle_what_one_alone_does_not():
    rng, alone, together = np.random.default_rng(3), 0, 0
    for _ in range(40):
        parts = [part(reeds(rng, maker, 30, 2.2)) for maker in range(6)]
        whole, one = ways_together(*map(list, zip(*parts, strict=True))), ways_together([parts[0][0]], [parts[0][1]])
        assert whole is not None
        assert one is not None
        together += whole.evidence.chance >= 0.95 and whole.ratio > 1
        alone += one.evidence.chance >= 0.95
    assert together >= 28
    assert alone <= 5


def test_no_maker_counts_for_more_than_three_middle_ones():
    honest = ways_together([3.0, 2.0, 2.5, 3.0], [5.0, 5.0, 5.0, 5.0])
    wrong = ways_together([3.0, 2.0, 2.5, 3.0, -5000.0], [5.0, 5.0, 5.0, 5.0, 5000.0])
    assert honest is not None
    assert wrong is not None
    assert honest.ratio > 1.5
    # -5000 of 5000 counts as -15 of 15.
    assert wrong.ratio == pytest.approx(math.exp((10.5 - 15) / 35))
    assert wrong.p_alike < 0.001 < honest.p_alike


def test_one_maker_and_none():
    assert ways_together([], []) is None
    assert ways_together([0.0], [0.0]) is None
    one = ways_together([2.0, 0.0], [4.0, 0.0])
    assert one is not None
    assert (one.ratio, one.p_alike) == (pytest.approx(math.exp(0.5)), 1.0)


@pytest.mark.parametrize(("more", "variance"), [([1.0], [-1.0]), ([math.nan], [1.0]), ([1.0, 2.0], [1.0])])
def test_what_no_test_gives_is_refused(more: list[float], variance: list[float]):
    with pytest.raises(StatisticsError):
        ways_together(more, variance)


@pytest.mark.parametrize("information", [0.5, 4.0, 30.0])
def test_limits_lie_where_the_evidence_speaks_against_them_by_one_in_the_level(information: float) -> None:
    """With as many reeds of either way, what says the way has a standard deviation of a half."""
    against = log_e_value(reach(information, 0.05), information / 0.25, USUAL_BELIEF.size)
    assert against == pytest.approx(math.log(20))
