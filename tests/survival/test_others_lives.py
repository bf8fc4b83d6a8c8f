"""What others' reeds say of one more maker's lives, before any of hers is known."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import norm

from reedkin.survival.errors import StatisticsError
from reedkin.survival.life_law import MEDIAN, MEDIAN_SD, SHAPE
from reedkin.survival.others_lives import median_of_one_more, share_of_one_more


def test_without_any_other_it_is_what_is_believed_of_any_maker():
    half, spread = median_of_one_more([], [])
    assert half == pytest.approx(MEDIAN, rel=1e-3)
    assert spread == pytest.approx(MEDIAN_SD, abs=0.02)


def test_others_who_agree_draw_it_after_them_and_narrow_it():
    half, spread = median_of_one_more([20, 21, 19, 20, 22], [30] * 5)
    assert 19 < half < 21.5
    assert spread < 0.25
    few = median_of_one_more([20, 21], [10, 10])
    assert MEDIAN < few[0] < half
    assert few[1] > spread


def test_it_is_what_bayes_rule_says_drawn_at_random():
    """The belief drawn two hundred thousand times, each draw weighed by how likely it makes the others' medians, one of
    whom is unlike them: half-normal deviations, and one maker in twenty spread wide (the module's own belief)."""
    rng = np.random.default_rng(1)
    deviation = np.abs(rng.normal(0, 0.25, 200_000))
    level = rng.normal(math.log(MEDIAN), math.sqrt(MEDIAN_SD**2 - 0.25**2), 200_000)
    medians, worn = [18.0, 21.0, 20.0, 17.0, 55.0], [30, 25, 40, 30, 30]
    weight = np.ones(200_000)
    for median, count in zip(medians, worn, strict=True):
        error = 1 / (count * (SHAPE * math.log(2)) ** 2) + (0.29 / median) ** 2
        alike = norm.pdf(math.log(median), level, np.sqrt(error + deviation**2))
        weight *= 0.95 * alike + 0.05 * norm.pdf(math.log(median), math.log(MEDIAN), math.sqrt(error + 1))
    middle = np.average(level, weights=weight)
    spread = math.sqrt(np.average(deviation**2 + (level - middle) ** 2, weights=weight))
    assert median_of_one_more(medians, worn) == (
        pytest.approx(math.exp(middle), rel=0.01),
        pytest.approx(spread, rel=0.02),
    )


def test_others_who_differ_leave_it_wide():
    half, spread = median_of_one_more([8, 24, 9, 20, 14], [40] * 5)
    assert 11 < half < 17
    assert spread > 0.35


def test_one_file_that_is_wrong_does_not_draw_it_away():
    good = median_of_one_more([12, 13, 11, 12, 14, 12, 13], [30] * 7)
    wrong = median_of_one_more([12, 13, 11, 12, 14, 12, 13, 900], [30] * 7 + [20_000])
    assert wrong[0] == pytest.approx(good[0], rel=0.03)


def test_it_comes_true_as_often_as_it_says():
    """Makers' medians about 15 h with a standard deviation of 0.3: of one more, 80% lie within the middle 80%."""
    rng, held = np.random.default_rng(4), 0
    for _ in range(300):
        true = np.exp(math.log(15) + 0.3 * rng.normal(size=7))
        worn = rng.integers(12, 60, size=7)
        told = np.round(true * np.exp(rng.normal(size=7) / np.sqrt(worn) / (SHAPE * math.log(2))))
        half, spread = median_of_one_more(told[1:].tolist(), worn[1:].tolist())
        held += abs(math.log(true[0] / half)) < 1.2816 * spread
    assert 0.72 < held / 300 < 0.88


def test_what_is_no_median_is_refused():
    for medians, worn in (([0.0], [10]), ([math.inf], [10]), ([12.0], [0]), ([12.0], [10, 10])):
        with pytest.raises(StatisticsError):
            median_of_one_more(medians, worn)


def test_the_share_of_blanks():
    assert share_of_one_more([], [], 2 / 3, 3.0) == pytest.approx(2 / 3)
    # By hand: 40 and 30 of 50 each, and two of three believed before.
    assert share_of_one_more([40, 30], [50, 50], 2 / 3, 3.0) == pytest.approx((2 + 70) / 103)
    # Nobody counts for more than three middle ones.
    assert share_of_one_more([0, 8, 8], [10_000, 10, 10], 2 / 3, 3.0) == pytest.approx((2 + 16) / (3 + 50))
