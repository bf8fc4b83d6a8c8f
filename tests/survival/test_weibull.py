"""Weibull's law of lives, against scipy."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import weibull_min

from reedkin.survival import StatisticsError
from reedkin.survival.weibull import Weibull, weibull


def test_with_many_lives_it_is_that_of_scipy():
    lives = weibull_min.rvs(2.6, scale=14, size=3000, random_state=3)
    shape, _, scale = weibull_min.fit(lives, floc=0)
    found = weibull(lives, np.ones(3000))
    assert found.shape == pytest.approx(shape, rel=0.02)  # shapes are tried two hundredths apart
    assert found.scale == pytest.approx(scale, rel=0.01)


def test_late_entries_and_losses_from_view():
    rng = np.random.default_rng(4)
    lives = 14 * rng.weibull(2.6, 6000)
    entry, lost = rng.uniform(0, 8, 6000), rng.uniform(4, 30, 6000)
    seen = np.minimum(lives, lost)
    kept = seen > entry
    found = weibull(seen[kept], (lives <= lost)[kept], entry[kept])
    assert found.shape == pytest.approx(2.6, abs=0.12)
    assert found.scale == pytest.approx(14, rel=0.02)


def test_lives_that_are_known_to_end_at_different_rates():
    """Half of them end eight times as fast. Taken for alike, they seem to scatter more than they do."""
    ratios = np.tile([1.0, 8.0], 1500)
    lives = 14 * np.random.default_rng(5).weibull(2.6, 3000) / ratios ** (1 / 2.6)
    ended = np.ones(3000, dtype=bool)
    found = weibull(lives, ended, ratios=ratios)
    assert found.shape == pytest.approx(2.6, rel=0.05)
    assert found.scale == pytest.approx(14, rel=0.03)
    assert weibull(lives, ended).shape < 1.9


@pytest.mark.parametrize(("ratio", "after"), [(1, 0), (2, 0), (0.3, 0), (2, 8), (0.5, 8), (1.5, 40)])
def test_the_mean_life(ratio: float, after: float):
    law = Weibull(2.3, 14)

    def left(t: float) -> float:
        spent = lambda one: (one / 14) ** 2.3  # noqa: E731
        return math.exp(-(spent(min(t, after)) + ratio * (spent(max(t, after)) - spent(after))))

    expected = quad(left, 0, 200, points=[after], limit=500)[0]
    assert law.mean(ratio, after) == pytest.approx(expected, rel=1e-3)


def test_one_life_says_little_of_the_shape():
    assert weibull([10.0], [True]).shape == pytest.approx(2.3, rel=0.5)


def test_without_an_end():
    with pytest.raises(StatisticsError, match="retired"):
        weibull([10.0], [False])
