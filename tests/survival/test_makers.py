"""What other makers' logs say as a belief for one more, against a slow reckoning, and against files that are wrong."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import norm

from reedkin.survival.errors import StatisticsError
from reedkin.survival.evidence import Belief, evidence
from reedkin.survival.makers import ALL_ALIKE, DIFFER, MOST_WEIGHT, UNLIKE, ForHer, Makers, tempered

T = 0.35


def asked(values: list[float], errors: list[float], own: tuple[float, float] | None = None) -> ForHer:
    others = Makers(values, errors, 1.0).others()
    return others.alone() if own is None else others.after(*own)


def slowly(values: list[float], errors: list[float], own: tuple[float, float]) -> tuple[float, float]:
    """The chance that one more maker's effect is above 0, and that it is below, by sums over all that is not known."""
    theta = np.linspace(-9 * T, 9 * T, 181)
    wide = sum(norm.pdf(theta, 0, k * T) for k in (1, 2, 4)) / 3 * UNLIKE

    def fits(mean: float, deviation: float) -> float:
        product = 1.0
        for value, error in zip(values, errors, strict=True):
            far = sum(norm.pdf(value, 0, math.hypot(error, k * T)) for k in (1, 2, 4)) / 3
            product *= (1 - UNLIKE) * norm.pdf(value, mean, math.hypot(error, deviation)) + UNLIKE * far
        return product

    means, deviations = np.linspace(-3.2, 3.2, 17) * T, np.linspace(0.05, 2.0, 8) * T
    density, total = np.zeros(len(theta)), 0.0
    belief = {(m, d): math.exp(-0.5 * (m / T) ** 2 - 0.5 * (d / T / DIFFER) ** 2) for m in means for d in deviations}
    all_beliefs = sum(belief.values())
    for (mean, deviation), weight in belief.items():
        joint = weight / all_beliefs * fits(mean, deviation)
        density, total = density + joint * norm.pdf(theta, mean, deviation), total + joint
    few = np.linspace(-4, 4, 41) * ALL_ALIKE * T
    weights = norm.pdf(few, 0, ALL_ALIKE * T)
    nothing = float(sum(w * fits(m, 0.0) for m, w in zip(few, weights, strict=True)) / weights.sum())
    matters = 0.2 * total / (0.2 * total + 0.8 * nothing)
    step = theta[1] - theta[0]
    real = ((1 - UNLIKE) * matters * density / total + wide) * norm.pdf(own[0], theta, own[1]) * step
    harmless = (1 - UNLIKE) * (1 - matters) * norm.pdf(own[0], 0, math.hypot(own[1], ALL_ALIKE * T))
    whole = float(real.sum()) + harmless
    return float(real[theta > 0].sum()) / whole, float(real[theta < 0].sum()) / whole


@pytest.mark.parametrize(
    ("values", "errors", "own"),
    [([0.3, 0.5], [0.2, 0.3], (0.2, 0.25)), ([0.1, -0.2, 0.9], [0.2, 0.2, 0.2], (-0.3, 0.2))],
)
def test_as_a_slow_reckoning_has_it(values: list[float], errors: list[float], own: tuple[float, float]):
    above, below = slowly(values, errors, own)
    told = asked(values, errors, own)
    assert told.chance == pytest.approx(max(above, below), abs=0.015)
    assert (told.value > 0) == (above > below)


def test_nobody_else_leaves_ones_own_log_about_as_sure():
    for z in (0.5, 1.5, 2.5, 3.5):
        alone = evidence(z, 30.0).chance
        assert asked([], [], (z / math.sqrt(30), 1 / math.sqrt(30))).chance == pytest.approx(alone, abs=0.09)


def test_others_who_agree_make_it_sure_and_those_who_see_nothing_unsure():
    own = (0.3, 0.2)
    assert asked([], [], own).chance < 0.5
    agreed = asked([0.35, 0.5, 0.4, 0.6], [0.2] * 4, own)
    assert agreed.chance > 0.95
    assert agreed.lo < 0.3 < agreed.hi
    assert asked([0.0] * 6, [0.2] * 6, own).chance < 0.1
    # Each alone tells little.
    assert evidence(0.35 / 0.2, 25).chance < 0.5


def test_where_makers_differ_the_others_decide_nothing_for_one_more():
    others = Makers([0.6, -0.5, 0.7, -0.6, 0.5, -0.7], [0.12] * 6, 1.0).others()
    assert others.matters > 0.95
    assert others.other_way > 0.35
    assert others.alone().chance < 0.65
    assert others.after(0.7, 0.15).chance > 0.95
    assert others.after(-0.7, 0.15).value < -0.4


def test_a_maker_who_is_unlike_is_seen_and_not_drawn_under():
    told = asked([0.5] * 7, [0.15] * 7, (-0.8, 0.15))
    assert told.value == pytest.approx(-0.8, abs=0.12)
    assert told.unlike > 0.9
    assert asked([0.5] * 7, [0.15] * 7, (0.3, 0.15)).unlike < 0.1
    unlike = Makers([*([0.5] * 7), -1.5], [0.2] * 8, 1.0).others().unlike
    assert unlike[-1] > 0.95
    assert max(unlike[:-1]) < 0.1


@settings(max_examples=30)
@given(st.floats(-8, 8), st.floats(0.005, 2))
def test_one_file_of_eight_turns_no_clear_answer_about(value: float, error: float):
    """Whatever it says and however sure it claims to be."""
    honest, own = ([0.5, 0.35, 0.4, 0.6, 0.3, 0.45, 0.4], [0.2, 0.25, 0.2, 0.3, 0.2, 0.22, 0.2]), (0.35, 0.22)
    told = asked([*honest[0], value], [*honest[1], error], own)
    assert told.value > 0.15
    assert told.chance > 0.85
    harmless = asked([0.05, -0.1, 0.1, 0.0, -0.05, 0.1, -0.1, value], [*honest[1], error], (0.0, 0.22))
    assert harmless.chance < 0.25


def test_no_file_tells_more_than_three_middle_ones():
    assert tempered(np.array([0.04, 0.05, 0.06, 1e-6])).tolist() == [0.04, 0.05, 0.06, 0.05 / MOST_WEIGHT]
    assert tempered(np.array([1e-6])).tolist() == [1e-6]
    assert tempered(np.array([0.3, 1e-6])) == pytest.approx([0.3, 0.1])


def test_without_one_is_as_if_that_file_had_never_been():
    makers = Makers([0.4, 0.5, 0.3, 2.0], [0.2, 0.2, 0.2, 0.2], 1.0)
    less, never = makers.others(without=3), Makers([0.4, 0.5, 0.3], [0.2] * 3, 1.0).others()
    assert less.after(0.2, 0.2) == never.after(0.2, 0.2)
    assert len(less.unlike) == less.count == 3


def test_the_scale_is_that_of_the_habit():
    """A habit counted in steps of half the size has half the effect for each."""
    whole = Makers([0.4, 0.5], [0.2, 0.2], 1.0).others().after(0.3, 0.2)
    half = Makers([0.2, 0.25], [0.1, 0.1], 2.0).others().after(0.15, 0.1)
    assert half.chance == pytest.approx(whole.chance)
    assert half.value == pytest.approx(whole.value / 2)
    keen = Makers([0.4, 0.5], [0.2, 0.2], 1.0, Belief(2.0)).others().after(0.3, 0.2)
    assert keen.chance > whole.chance


@pytest.mark.parametrize(
    ("values", "errors", "spread"),
    [([math.inf], [0.2], 1.0), ([0.1], [0.0], 1.0), ([0.1], [math.nan], 1.0), ([0.1], [0.2, 0.2], 1.0),
     ([0.1], [0.2], 0.0), ([0.1], [0.2], math.inf)],
)  # fmt: skip
def test_what_is_no_estimate_is_refused(values: list[float], errors: list[float], spread: float):
    with pytest.raises(StatisticsError):
        Makers(values, errors, spread)


def test_an_own_estimate_without_an_end_is_refused_and_one_far_off_is_told():
    others = Makers([0.4], [0.2], 1.0).others()
    for own in ((math.inf, 0.2), (0.1, 0.0), (0.1, math.nan)):
        with pytest.raises(StatisticsError):
            others.after(*own)
    assert others.after(2.5, 0.3).chance > 0.95
    with pytest.raises(StatisticsError, match="beyond"):
        others.after(1e6, 1e-3)
