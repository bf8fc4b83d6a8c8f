"""Several makers' estimates taken together, against a published example and reference libraries."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from statsmodels.stats.meta_analysis import combine_effects

from reedkin.survival.combining import combine, reml
from reedkin.survival.errors import StatisticsError

RATIOS = [-0.889311, -1.585389, -1.348073, -1.441551, -0.217547, -0.786116, -1.620898, 0.011952, -0.469418, -1.371345,
          -0.339359, 0.445913, -0.017314]  # fmt: skip
VARIANCES = [0.325585, 0.194581, 0.415368, 0.020010, 0.051210, 0.006906, 0.223017, 0.003962, 0.056434, 0.073025,
             0.012412, 0.532506, 0.071405]  # fmt: skip
"""Colditz et al. 1994, JAMA 271:698-702: log risk ratios of 13 trials of BCG vaccine; R's metadat::dat.bcg."""


def test_the_vaccine_trials_as_metafor_combines_them() -> None:
    """metafor 3.8, rma(method="REML", test="knha"), from R."""
    found = combine(RATIOS, VARIANCES)
    assert found.tau2 == pytest.approx(0.313243, abs=2e-6)
    assert found.estimate == pytest.approx(-0.714532, abs=1e-6)
    assert found.se == pytest.approx(0.180792, abs=1e-6)
    assert found.ci == pytest.approx((-1.108444, -0.320621), abs=2e-6)
    assert found.q == pytest.approx(152.233, rel=1e-4)  # the data above are rounded
    assert found.i2 == pytest.approx(0.9212, abs=1e-4)
    assert found.drawn[:4] == pytest.approx((-0.800234, -1.251706, -0.986903, -1.397898), abs=2e-6)
    assert found.drawn_se[0] == pytest.approx(0.409930, abs=2e-6)


def test_the_next_maker_is_less_sure_than_the_mean() -> None:
    """metafor's own interval, by the normal distribution and the plain error, is -1.866692 to 0.437628; Student's t
    makes it wider."""
    lo, hi = combine(RATIOS, VARIANCES).prediction
    assert lo < -1.866692
    assert hi > 0.437628
    assert hi - lo < 1.2 * (0.437628 + 1.866692)


makers = st.lists(st.tuples(st.floats(-3, 3), st.floats(0.01, 2)), min_size=2, max_size=12).map(
    lambda pairs: tuple(np.array(one) for one in zip(*pairs, strict=True))
)


ALL_BUT_ONE = np.array([0.0, 0.0, 0.0, 0.0, 1.0]), np.array([1.0, 1.0, 1.0, 1.0, 0.125])
"""Scoring alone swings from one side of the likeliest variance to the other and back."""


@example(ALL_BUT_ONE)
@given(makers)
def test_no_other_variance_between_makers_is_likelier(given_) -> None:
    y, v = given_

    def likelihood(tau2: float) -> float:
        weights = 1 / (v + tau2)
        mean = (weights * y).sum() / weights.sum()
        return float(
            0.5 * np.log(weights).sum() - 0.5 * np.log(weights.sum()) - 0.5 * (weights * (y - mean) ** 2).sum()
        )

    found = reml(y, v)
    best = likelihood(found)
    assert all(likelihood(other) <= best + 1e-7 for other in (0.0, *np.geomspace(1e-4, 30, 200)))


@given(makers)
def test_makers_are_drawn_towards_the_mean_and_never_beyond(given_) -> None:
    y, v = given_
    found = combine(y, v)
    for own, drawn in zip(y, found.drawn, strict=True):
        assert min(own, found.estimate) - 1e-9 <= drawn <= max(own, found.estimate) + 1e-9
    assert found.ci[0] <= found.estimate <= found.ci[1]
    assert found.prediction[0] <= found.ci[0] + 1e-9


@pytest.mark.filterwarnings("ignore::RuntimeWarning")
def test_makers_who_are_alike_have_the_mean_of_a_reference_library() -> None:
    y, v = np.array([0.4, 0.5, 0.45, 0.6]), np.array([0.09, 0.1, 0.12, 0.2])
    found = combine(y, v)
    theirs = combine_effects(y, v, method_re="chi2").summary_frame()
    assert found.tau2 == 0
    assert found.estimate == pytest.approx(theirs.loc["fixed effect", "eff"])
    # So alike that Hartung and Knapp alone would be surer than the makers themselves: held at the plain error.
    assert found.se == pytest.approx(theirs.loc["fixed effect", "sd_eff"])


@pytest.mark.parametrize(
    ("y", "v"),
    [([0.1], [0.2]), ([0.1, 0.2], [0.2]), ([0.1, float("nan")], [0.2, 0.2]), ([0.1, 0.2], [0.2, 0.0]),
     ([0.1, 0.2], [0.2, float("inf")])],
)  # fmt: skip
def test_what_cannot_be_combined_is_refused(y: list[float], v: list[float]) -> None:
    with pytest.raises(StatisticsError):
        combine(y, v)


@pytest.mark.filterwarnings("ignore::RuntimeWarning")  # of the library, where there is no difference at all
@settings(max_examples=40)
@given(makers)
def test_as_a_reference_library_has_it_for_the_same_variance_between_makers(given_) -> None:
    """statsmodels' own methods find another variance (DerSimonian & Laird, Paule & Mandel); with the one found here its
    formulas give the same mean, and Q does not hang on it."""
    y, v = given_
    found, reference = combine(y, v), combine_effects(y, v, method_re="dl")
    weights = 1 / (v + found.tau2)
    assert found.estimate == pytest.approx(float((weights * y).sum() / weights.sum()), rel=1e-6, abs=1e-8)
    assert found.q == pytest.approx(float(reference.q), rel=1e-6, abs=1e-8)
    if found.q > 1e-6:  # without any difference theirs is what rounding left, divided by as little
        assert found.i2 == pytest.approx(max(float(reference.i2), 0.0), abs=1e-6)


def test_makers_without_any_difference() -> None:
    found = combine([0.4, 0.4, 0.4], [0.04, 0.09, 0.01])
    assert (found.tau2, found.q, found.i2, found.p) == pytest.approx((0.0, 0.0, 0.0, 1.0), abs=1e-12)
    assert found.estimate == pytest.approx(0.4)
    assert found.prediction == pytest.approx(found.ci)
