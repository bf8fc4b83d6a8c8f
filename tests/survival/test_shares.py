"""Small formulas: many p-values, shares, tails, sample size."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.special import betainc
from scipy.stats import chi2, f, norm, t
from statsmodels.stats.multitest import multipletests
from statsmodels.stats.proportion import proportion_confint

from reedkin.survival import (
    StatisticsError,
    benjamini_hochberg,
    chi_square_tail,
    events_needed,
    normal_quantile,
    normal_score,
    student_p,
    student_quantile,
    two_sided_p,
    wilson_interval,
)
from reedkin.survival.distributions import beta_below, f_tail

# Benjamini & Hochberg 1995, JRSS B 57:289-300, section 4: four of the fifteen are rejected at 0.05.
FIFTEEN = [
    0.0001,
    0.0004,
    0.0019,
    0.0095,
    0.0201,
    0.0278,
    0.0298,
    0.0344,
    0.0459,
    0.324,
    0.4262,
    0.5719,
    0.6528,
    0.759,
    1,
]
ADJUSTED = [0.0015, 0.003, 0.0095, 0.035625, 0.0603, 0.0638571, 0.0638571, 0.0645, 0.0765]
ADJUSTED += [0.486, 0.581182, 0.714875, 0.753231, 0.813214, 1]


def test_published_false_discovery_rates() -> None:
    adjusted = benjamini_hochberg(FIFTEEN)
    assert adjusted == pytest.approx(ADJUSTED, abs=1e-6)
    assert np.count_nonzero(adjusted <= 0.05) == 4


def test_false_discovery_rates_keep_their_places() -> None:
    order = np.random.default_rng(1).permutation(15)
    shuffled = np.array(FIFTEEN)[order]
    assert benjamini_hochberg(shuffled) == pytest.approx(np.array(ADJUSTED)[order], abs=1e-6)
    assert benjamini_hochberg(shuffled) == pytest.approx(multipletests(shuffled, method="fdr_bh")[1])
    assert benjamini_hochberg([]).tolist() == []
    assert benjamini_hochberg([0.2]).tolist() == [0.2]


# Wilson 1927, JASA 22:209-212; values of R's prop.test without continuity correction.
@pytest.mark.parametrize(
    ("k", "n", "interval"),
    [(0, 10, (0, 0.277533)), (3, 20, (0.0523687, 0.360419)), (81, 263, (0.255289, 0.366210))],
)
def test_published_shares(k: int, n: int, interval: tuple[float, float]) -> None:
    assert wilson_interval(k, n) == pytest.approx(interval, abs=1e-6)
    assert wilson_interval(k, n) == pytest.approx(proportion_confint(k, n, method="wilson"), abs=1e-12)
    low, high = wilson_interval(k, n)
    assert wilson_interval(n - k, n) == pytest.approx((1 - high, 1 - low), abs=1e-12)


@pytest.mark.parametrize(("k", "n"), [(0, 0), (-1, 5), (6, 5)])
def test_no_such_share(k: int, n: int) -> None:
    with pytest.raises(StatisticsError, match="share"):
        wilson_interval(k, n)


def test_tails_against_scipy() -> None:
    for df in range(1, 31):
        for value in (1e-12, 0.01, 0.5, 1.0, 3.84, 10.0, 60.0, 300.0):
            assert chi_square_tail(value, df) == pytest.approx(float(chi2.sf(value, df)), rel=1e-12)
    assert chi_square_tail(0.0, 3) == 1.0
    for z in (0.0, 0.3, -1.96, 6.0):
        assert two_sided_p(z) == pytest.approx(2 * float(norm.sf(abs(z))), rel=1e-12)
    for q in (1e-6, 0.025, 0.5, 0.975):
        assert normal_quantile(q) == pytest.approx(float(norm.ppf(q)), abs=1e-12)
    with pytest.raises(StatisticsError):
        normal_quantile(1.0)
    with pytest.raises(StatisticsError):
        chi_square_tail(1.0, 0)


def test_retirements_needed() -> None:
    """
    Schoenfeld 1983, Biometrics 39:499-503, worked by hand: (1.959964 + 0.841621)^2 = 7.848880; for a doubled hazard and
    halves, over 0.25 x 0.480453 is 65.35; for a ratio of 1.5 and 30 in 100, over 0.21 x 0.164402 is 227.34; at a power
    of nine in ten (1.959964 + 1.281552)^2 = 10.507425, which for the first is 87.48.
    """
    assert events_needed(2.0, share=0.5) == events_needed(0.5, share=0.5) == 66
    assert events_needed(1.5, share=0.3) == 228
    assert events_needed(2.0, share=0.5, power=0.9) == 88
    # A share is a variance: Hsieh & Lavori 2000, Controlled Clinical Trials 21:552-560.
    assert events_needed(1.5, variance=0.21) == 228
    assert events_needed(1.0, share=0.5) is None


@pytest.mark.parametrize(
    "wrong",
    [
        {"share": 0.0},
        {"share": 1.0},
        {"variance": 0.0},
        {"variance": float("nan")},
        {},
        {"share": 0.5, "variance": 1.0},
    ],
)
def test_impossible_plans(wrong: dict[str, float]) -> None:
    with pytest.raises(StatisticsError):
        events_needed(2.0, **wrong)
    with pytest.raises(StatisticsError):
        events_needed(0.0, share=0.5)


@pytest.mark.parametrize("df", [0.1, 0.7, 1.0, 2.4, 3.0, 11.5, 101.0, 9999.0, 1e6])
def test_student_on_any_degrees_of_freedom_against_scipy(df: float) -> None:
    for probability in (0.5, 0.6, 0.9, 0.975, 0.9995):
        assert student_quantile(probability, df) == pytest.approx(float(t.ppf(probability, df)), rel=1e-5)
    for value in (0.0, 0.3, 1.0, 4.0, 50.0):
        assert student_p(value, df) == pytest.approx(2 * float(t.sf(value, df)), rel=1e-8 if df < 1e4 else 0.1)
        assert student_p(-value, df) == student_p(value, df)
    for value in (-3.0, 0.5, 2.0):
        assert normal_score(value, df) == pytest.approx(float(norm.ppf(t.cdf(value, df))), abs=1e-5)
    assert normal_score(1e200, df) > 3
    with pytest.raises(StatisticsError):
        student_quantile(0.4, df)
    with pytest.raises(StatisticsError):
        student_quantile(0.9, 0.0)


def test_the_published_quantiles_of_student() -> None:
    """Student's t, 0.975, on 1, 2, 5 and 30 degrees of freedom: Abramowitz & Stegun 1964, table 26.10."""
    found = [round(student_quantile(0.975, df), 3) for df in (1, 2, 5, 30)]
    assert found == [12.706, 4.303, 2.571, 2.042]


def test_f_and_beta_against_scipy() -> None:
    for above in (1, 2, 7, 25):
        for below in (0.3, 2.0, 9.4, 200.0):
            for ratio in (0.0, 0.1, 1.0, 3.0, 40.0):
                assert f_tail(ratio, above, below) == pytest.approx(float(f.sf(ratio, above, below)), rel=1e-9)
            for many in (1e9, 1e16, 1e30, math.inf):
                assert f_tail(ratio, above, many) == pytest.approx(float(chi2.sf(ratio * above, above)), rel=1e-7)
    for x in (-1.0, 0.0, 1e-9, 0.2, 0.8, 1.0):
        for a, b in ((0.05, 0.5), (3.0, 0.5), (0.5, 40.0), (900.0, 6.0)):
            assert beta_below(x, a, b) == pytest.approx(float(betainc(a, b, max(x, 0.0))), rel=1e-9)
