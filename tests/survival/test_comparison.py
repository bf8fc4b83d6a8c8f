"""The log-rank test: published values, the plain table, statsmodels and lifelines."""

from __future__ import annotations

import numpy as np
import pytest
from lifelines.statistics import multivariate_logrank_test
from scipy.stats import f
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


def made_together(rng: np.random.Generator, count: int, size: int, variance: float) -> tuple[np.ndarray, ...]:
    """Lives, whether they ended, and what they were made together with: so many of each, with a hazard of its own."""
    together = np.repeat(np.arange(count), size)
    life, watched = (
        rng.exponential(1 / np.exp(rng.normal(0, variance**0.5, count))[together]),
        rng.exponential(3, 10**4),
    )
    return np.minimum(life, watched[: count * size]), life <= watched[: count * size], together


def test_groups_that_go_by_what_was_made_together_are_no_more_often_told_apart_than_is_said() -> None:
    """Of 40 logs in each of which three groups take turns on twelve evenings of eight reeds that last alike."""
    rng = np.random.default_rng(7)
    alone = held = 0
    for _ in range(40):
        time, event, together = made_together(rng, 12, 8, 0.5)
        group = rng.permutation(12)[together] % 3
        apart = logrank(time, event, group, together=together)
        assert apart.p == pytest.approx(float(f.sf(apart.chi2 / 2, 2, apart.below)))
        alone += logrank(time, event, group).p < 0.05
        held += apart.p < 0.05
    assert alone >= 12
    assert held <= 4


def test_groups_within_what_was_made_together_are_told_apart_as_well() -> None:
    """And where nothing was made together, or all of it, the test is the plain one."""
    rng = np.random.default_rng(8)
    time, event, together = made_together(rng, 12, 8, 0.5)
    group = np.arange(96) % 2
    plain, within = logrank(time, event, group), logrank(time, event, group, together=together)
    assert within.chi2 == pytest.approx(plain.chi2, rel=0.05)
    assert within.below > 100
    # One evening each, in whatever order: what rounding leaves of nothing in common is not judged as if it were some.
    for own in (np.arange(96), *(rng.permutation(96) for _ in range(8)), np.zeros(96, dtype=int)):
        same = logrank(time, event, group, together=own)
        assert (same.chi2, same.p) == (pytest.approx(plain.chi2), pytest.approx(plain.p))


def test_rows_of_one_reed_are_one_reed() -> None:
    """Cut in two, with the same group in both rows, lives are told apart as whole ones are."""
    rng = np.random.default_rng(9)
    time, event, together = made_together(rng, 10, 5, 0.5)
    group = together % 2
    whole = logrank(time, event, group, together=together)
    half = time / 2
    cut = logrank(
        np.concatenate((half, time)), np.concatenate((np.zeros(50, dtype=bool), event)), np.tile(group, 2),
        np.concatenate((np.zeros(50), half)), member=np.tile(np.arange(50), 2), together=np.tile(together, 2),
    )  # fmt: skip
    assert (cut.chi2, cut.below) == (pytest.approx(whole.chi2), pytest.approx(whole.below))
