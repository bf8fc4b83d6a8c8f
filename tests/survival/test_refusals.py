"""What cannot be answered: each a clear error that says why, and never an infinity or a NaN in silence."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from reedkin.errors import ReedkinError
from reedkin.survival import (
    StatisticsError,
    benjamini_hochberg,
    cox,
    cumulative_incidence,
    kaplan_meier,
    logrank,
)

T, E, X = [1.0, 2, 3, 4, 5, 6], [1, 1, 0, 1, 1, 0], [1.0, 0, 1, 1, 0, 0]

CALLS: dict[str, Callable[..., Any]] = {
    "curve": lambda t, e, entry=None: kaplan_meier(t, e, entry),
    "comparison": lambda t, e, entry=None: logrank(t, e, [0, 1] * (len(t) // 2) + [0] * (len(t) % 2), entry),
    "regression": lambda t, e, entry=None: cox(t, e, np.arange(len(t), dtype=float), start=entry),
    "incidence": lambda t, e, entry=None: cumulative_incidence(t, e, entry),
}


@pytest.mark.parametrize("call", CALLS.values(), ids=CALLS.keys())
class TestEveryFunction:
    def test_no_reeds(self, call: Callable[..., Any]) -> None:
        with pytest.raises(StatisticsError):
            call([], [])

    @pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
    def test_times_that_are_no_times(self, call: Callable[..., Any], bad: float) -> None:
        with pytest.raises(StatisticsError, match="missing or infinite"):
            call([1.0, bad, 3.0], [1, 1, 0])
        with pytest.raises(StatisticsError, match="missing or infinite"):
            call([1.0, 2.0, 3.0], [1, 1, 0], [0, bad, 0])

    def test_negative_times(self, call: Callable[..., Any]) -> None:
        with pytest.raises(StatisticsError, match="negative"):
            call([1.0, -2.0, 3.0], [1, 1, 0])
        with pytest.raises(StatisticsError, match="negative"):
            call([1.0, 2.0, 3.0], [1, 1, 0], [0, -1, 0])

    @pytest.mark.parametrize("entry", [2.0, 2.5])
    def test_a_start_not_before_its_stop(self, call: Callable[..., Any], entry: float) -> None:
        with pytest.raises(StatisticsError, match=r"Row 2 starts at 2.* and stops at 2"):
            call([1.0, 2.0, 3.0], [1, 1, 0], [0, entry, 0])

    def test_columns_of_different_length(self, call: Callable[..., Any]) -> None:
        with pytest.raises(StatisticsError, match="entries"):
            call([1.0, 2.0, 3.0], [1, 1])
        with pytest.raises(StatisticsError, match="entries"):
            call([1.0, 2.0, 3.0], [1, 1, 0], [0, 0])

    def test_what_is_no_list_of_numbers(self, call: Callable[..., Any]) -> None:
        with pytest.raises(StatisticsError):
            call([[1.0, 2.0], [3.0, 4.0]], [1, 1])
        with pytest.raises(StatisticsError, match="numbers"):
            call(["soon", "later", "last"], [1, 1, 0])


@pytest.mark.parametrize("event", [[1, 2, 0], [1, 0.5, 0], [1, math.nan, 0], ["yes", "no", "no"]])
def test_events_are_true_or_false(event: list[Any]) -> None:
    with pytest.raises(StatisticsError):
        kaplan_meier([1, 2, 3], event)


def test_no_retirements() -> None:
    with pytest.raises(StatisticsError, match="No reed was retired"):
        cox(T, [0] * 6, X)
    with pytest.raises(StatisticsError, match="No reed was retired"):
        logrank(T, [0] * 6, X)


def test_one_reed() -> None:
    with pytest.raises(StatisticsError, match="never differs"):
        cox([3], [1], [2.0])
    with pytest.raises(StatisticsError, match="two groups"):
        logrank([3], [1], ["a"])


def test_groups_never_seen_together() -> None:
    with pytest.raises(StatisticsError, match="together"):
        logrank([1, 2, 8, 9], [1, 1, 1, 1], ["a", "a", "b", "b"], [0, 0, 5, 5])
    with pytest.raises(StatisticsError, match="together"):
        logrank([1, 2, 1, 2], [1, 1, 1, 1], ["a", "a", "b", "b"], strata=[0, 0, 1, 1])


@pytest.mark.parametrize("firth", [True, False])
class TestCovariates:
    def test_constant(self, firth: bool) -> None:
        with pytest.raises(StatisticsError, match="Covariate 2 never differs"):
            cox(T, E, np.column_stack((X, np.full(6, 1e9))), firth=firth)

    def test_constant_within_strata(self, firth: bool) -> None:
        with pytest.raises(StatisticsError, match="Covariate 1 never differs"):
            cox(T, E, [0.1, 0.1, 0.1, 7.3, 7.3, 7.3], strata=[0, 0, 0, 1, 1, 1], firth=firth)

    def test_constant_among_those_at_risk(self, firth: bool) -> None:
        """It differs only between reeds that were never in service together when one was retired."""
        with pytest.raises(StatisticsError, match="Covariate 1 never differs"):
            cox([2, 3, 8, 9], [1, 1, 1, 1], [1.0, 1, 0, 0], start=[0, 0, 5, 5], firth=firth)

    def test_following_from_others(self, firth: bool) -> None:
        other = np.array([3.0, 1, 4, 1, 5, 9])
        with pytest.raises(StatisticsError, match="Covariates 1, 3, 4 follow"):
            cox(T, E, np.column_stack((X, [0.0, 1, 1, 0, 2, 1], other, 2 * other - 5 * np.array(X) + 1)), firth=firth)

    def test_more_than_retirements(self, firth: bool) -> None:
        with pytest.raises(StatisticsError):
            cox([1, 2, 3], [1, 0, 0], np.random.default_rng(0).normal(size=(3, 4)), firth=firth)

    @pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
    def test_missing_or_infinite(self, firth: bool, bad: float) -> None:
        with pytest.raises(StatisticsError, match="Covariate 1 has missing or infinite"):
            cox(T, E, [1.0, bad, 0, 0, 1, 1], firth=firth)

    def test_shapes(self, firth: bool) -> None:
        for wrong in (np.zeros((6, 0)), np.zeros((5, 1)), np.zeros((6, 1, 1)), ["long"] * 6, 3.0):
            with pytest.raises(StatisticsError):
                cox(T, E, wrong, firth=firth)

    def test_extreme_sizes_are_only_units(self, firth: bool) -> None:
        expected = cox(T, E, X, firth=firth).coef[0]
        for unit in (1e-90, 1e90):
            model = cox(T, E, np.array(X) * unit, firth=firth)
            assert model.coef[0] * unit == pytest.approx(expected)
        for unit in (1e-150, 1e150, 1e307):
            with pytest.raises(StatisticsError, match="choose another unit"):
                cox(T, E, np.array(X) * unit, firth=firth)


def test_ties_by_a_rule_not_known() -> None:
    with pytest.raises(StatisticsError, match="'efron' or 'breslow'"):
        cox(T, E, X, ties="exact")  # type: ignore[arg-type]


@pytest.mark.parametrize("labels", [[None, 1, 2], [math.nan, 1.0, 2.0]])
def test_missing_labels(labels: list[Any]) -> None:
    with pytest.raises(StatisticsError, match="missing labels"):
        logrank([1, 2, 3], [1, 1, 1], labels)
    with pytest.raises(StatisticsError, match="missing labels"):
        cox([1, 2, 3], [1, 1, 1], [1, 0, 1], strata=labels)


def test_labels_that_cannot_be_sorted() -> None:
    mixed = np.array(["a", 1, "a", 1], dtype=object)
    assert logrank([1, 2, 3, 4], [1, 1, 1, 1], mixed).groups == ("a", 1)


def test_two_peaks_are_not_passed_over() -> None:
    """One reed a thousand times as extreme as the rest speaks against all others: the profile finds it out."""
    time = np.array([531011.0, 24, 114, 1e6, 1, 264, 43, 15, 121216, 1e6, 53762, 1e6])
    event = [1, 0, 1, 1, 1, 0, 0, 1, 1, 0, 0, 1]
    model = cox(time, event, np.array([2.0, 1, 1, 3, 0, 1, 1, 0, 2, 3, 2, 3]) ** 2)
    with pytest.raises(StatisticsError, match="two quite different effects"):
        _ = model.ci


def test_curves_beyond_what_is_known() -> None:
    curve = kaplan_meier([2, 4, 9], [1, 0, 0])
    with pytest.raises(StatisticsError, match="beyond 9"):
        curve.restricted_mean(10)
    with pytest.raises(StatisticsError, match="beyond 9"):
        curve.lasting(9)
    late = kaplan_meier([8, 9], [1, 0], [5, 5])
    with pytest.raises(StatisticsError, match="starts at 5"):
        late.lasting(4)
    with pytest.raises(StatisticsError, match="starts at 5"):
        late.restricted_mean(5)
    # A curve that has come to nothing is known for good.
    assert kaplan_meier([2, 4], [1, 1]).restricted_mean(100).value == 3.0


@pytest.mark.parametrize("p", [[0.1, 1.2], [-0.1], [math.nan]])
def test_p_values_that_are_none(p: list[float]) -> None:
    with pytest.raises(StatisticsError):
        benjamini_hochberg(p)


def test_the_error_is_one_of_ours() -> None:
    assert issubclass(StatisticsError, ReedkinError)
