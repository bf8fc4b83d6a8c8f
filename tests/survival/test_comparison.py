"""The log-rank test: published values, the plain table, statsmodels and lifelines."""

from __future__ import annotations

import numpy as np
import pytest
from lifelines.statistics import multivariate_logrank_test
from statsmodels.duration.survfunc import survdiff
from tests.survival import brute_force
from tests.survival.published import freireich

from reedkin.survival import logrank


# Freireich et al. 1963, Blood 21:699-716; values of R's survival 3.5-3.
def test_published_value() -> None:
    data = freireich()
    test = logrank(data.stop, data.event, np.where(data.x[:, 0] == 1, "6-MP", "placebo"))
    assert (test.chi2, test.df) == (pytest.approx(16.792941, abs=1e-6), 1)
    assert test.p == pytest.approx(4.16881e-5, rel=1e-5)
    assert test.groups == ("6-MP", "placebo")
    assert test.observed.tolist() == [9, 21]
    assert test.expected[1] == pytest.approx(10.749499, abs=1e-6)
    assert test.variance[1, 1] == pytest.approx(6.256961, abs=1e-6)


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("strata", [1, 3])
def test_late_entry_and_strata_against_the_plain_table(seed: int, strata: int) -> None:
    rng = np.random.default_rng(seed)
    data = brute_force.spells(rng, 70, 1, strata=strata)
    group = rng.integers(0, 3, 70)
    test = logrank(data["stop"], data["event"], group, data["start"], data["strata"])
    chi2, expected, variance = brute_force.logrank(data, group)
    assert (test.chi2, test.df) == (pytest.approx(chi2), 2)
    assert test.expected == pytest.approx(expected)
    assert test.variance == pytest.approx(variance)


@pytest.mark.parametrize("seed", range(3))
def test_against_libraries(seed: int) -> None:
    rng = np.random.default_rng(seed)
    data = brute_force.spells(rng, 90, 1, late=False, strata=2)
    group = rng.integers(0, 4, 90)
    theirs = multivariate_logrank_test(data["stop"], group, data["event"])
    ours = logrank(data["stop"], data["event"], group)
    assert (ours.chi2, ours.p, ours.df) == (pytest.approx(theirs.test_statistic), pytest.approx(theirs.p_value), 3)
    chi2, p = survdiff(data["stop"], data["event"], group, strata=data["strata"])
    ours = logrank(data["stop"], data["event"], group, strata=data["strata"])
    assert (ours.chi2, ours.p) == (pytest.approx(chi2), pytest.approx(p))


def test_a_group_never_at_risk_beside_another_costs_no_degree_of_freedom() -> None:
    """The third group entered when all others had gone: the test is that of the first two."""
    two = logrank([3, 5, 6, 8], [1, 1, 1, 1], ["a", "b", "a", "b"], [0, 0, 0, 0])
    three = logrank([3, 5, 6, 8, 20, 21], [1] * 6, ["a", "b", "a", "b", "c", "c"], [0, 0, 0, 0, 10, 10])
    assert (three.chi2, three.df, three.p) == (pytest.approx(two.chi2), 1, pytest.approx(two.p))


def test_alike_groups_do_not_differ() -> None:
    test = logrank([1, 1, 2, 2], [1, 1, 1, 1], [0, 1, 0, 1])
    assert (test.chi2, test.p) == (0.0, 1.0)
