"""Groups compared, small ones among them."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from reedkin.answers.lives.groups import FEWEST_EXPECTED, compared
from reedkin.survival import StatisticsError, logrank


def lives(rng: np.random.Generator, n: int) -> tuple[NDArray[np.float64], NDArray[np.bool_], NDArray[np.float64]]:
    """Lives of n reeds that are all alike, watched from new for some time: ends, whether retired, beginnings."""
    life, watched = 17 * rng.weibull(2.5, n), rng.uniform(5, 40, n)
    return np.minimum(life, watched), life <= watched, np.zeros(n)


def test_many_small_groups_do_not_make_a_difference() -> None:
    """A test at the level of 5% should reject in about 5 of 100 logs."""
    rng = np.random.default_rng(20261125)
    names = np.repeat([f"lot {number}" for number in range(26)], [1] * 20 + [5] * 4 + [20] * 2)
    every, larger = [], []
    for _ in range(100):
        stop, event, start = lives(rng, len(names))
        test, without_small = compared(stop, event, names, start, None)
        assert without_small is not None
        every.append(test.p < 0.05)
        larger.append(without_small.p < 0.05)
    assert np.mean(every) > 0.5
    assert 0.02 < np.mean(larger) < 0.10


def test_groups_that_are_all_large_are_compared_once() -> None:
    stop, event, start = lives(np.random.default_rng(1), 60)
    names = np.repeat(["a", "b"], 30)
    test, larger = compared(stop, event, names, start, None)
    assert larger is test
    assert test.expected.min() >= FEWEST_EXPECTED


def test_the_larger_groups_are_compared_as_if_the_others_were_not_there() -> None:
    stop, event, start = lives(np.random.default_rng(2), 62)
    names = np.repeat(["a", "b", "c"], [30, 30, 2])
    strata = np.tile([0, 1], 31)
    test, larger = compared(stop, event, names, start, strata)
    assert larger is not None
    assert (len(test.groups), larger.groups) == (3, ("a", "b"))
    alone = logrank(stop[:60], event[:60], names[:60], start[:60], strata[:60])
    assert (larger.chi2, larger.df, larger.p) == (alone.chi2, alone.df, alone.p)


def test_where_only_one_group_is_large_nothing_is_said_of_all() -> None:
    stop, event, start = lives(np.random.default_rng(3), 31)
    names = np.repeat(["a", "b"], [30, 1])
    assert compared(stop, event, names, start, None)[1] is None


def test_without_a_retirement_there_is_nothing_to_compare() -> None:
    stop, start = np.array([1.0, 2.0]), np.zeros(2)
    with pytest.raises(StatisticsError):
        compared(stop, np.zeros(2, dtype=bool), np.array(["a", "b"]), start, None)
