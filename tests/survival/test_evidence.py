"""The chance that a habit matters, against an integral by brute force, and its promise that one may look every day."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import norm

from reedkin.survival import Belief, StatisticsError, evidence, information_needed
from reedkin.survival.evidence import log_e_value


def density(at: float, sd: float) -> float:
    """Of the normal law about nought; scipy's own takes forty times as long for a single number."""
    return math.exp(-((at / sd) ** 2) / 2) / (sd * math.sqrt(2 * math.pi))


def by_integral(z: float, information: float, belief: Belief, among: int = 1) -> tuple[float, float]:
    """The chance that it matters and, if so, that its sign is right: the effect integrated out."""
    estimate, error = z / math.sqrt(information), 1 / math.sqrt(information)

    def weight(effect: float) -> float:
        return density(estimate - effect, error) * density(effect, belief.size)

    reach = 12 * belief.size + abs(estimate) + 12 * error
    points = [0.0, estimate]
    right = quad(lambda one: weight(math.copysign(one, z)), 0, reach, points=[abs(estimate)], limit=500)[0]
    every = quad(weight, -reach, reach, points=points, limit=500)[0]
    prior = 1 / belief.one_in
    odds = every / density(estimate, error) * prior / (1 - prior) / among
    return odds / (1 + odds), right / every


@pytest.mark.parametrize(("z", "among"), [(0.5, 6), (-1.3, 1), (3.1, 6), (-4.5, 1)])
@pytest.mark.parametrize("information", [5.0, 40.0, 300.0])
@pytest.mark.parametrize("belief", [Belief(), Belief(2, 0.7), Belief(50, 0.1)])
def test_as_an_integral_by_brute_force(z: float, information: float, belief: Belief, among: int):
    found = evidence(z, information, belief, among)
    matters, sign = by_integral(z, information, belief, among)
    assert found.matters == pytest.approx(matters, rel=1e-6)
    assert found.sign == pytest.approx(sign, rel=1e-6)
    assert found.chance == pytest.approx(matters * sign, rel=1e-6)
    assert found.chance + found.against == pytest.approx(found.matters)


def test_without_information_the_belief_stays():
    found = evidence(0.0, 0.0)
    assert (found.matters, found.sign) == (pytest.approx(0.2), 0.5)


def test_the_formula_with_one_habit_in_five():
    """e / (e + 4)."""
    e = math.exp(log_e_value(2.6, 44.0, 0.35))
    assert evidence(2.6, 44.0).matters == pytest.approx(e / (e + 4))


def test_a_harmless_habit_is_hardly_ever_called_clear_at_any_look():
    """Ville's inequality: an e-value reaches 1 / alpha at some look, ever, with a chance of alpha at most. A chance of
    0.95 that it matters takes an e-value of 76."""
    rng = np.random.default_rng(5)
    steps = rng.normal(size=(4000, 300)).cumsum(axis=1)
    looks = np.arange(1, 301)
    z = steps / np.sqrt(looks)
    told = looks * 0.35**2
    log_e = z**2 * told / (2 * (1 + told)) - np.log1p(told) / 2
    assert log_e[7, 99] == pytest.approx(log_e_value(z[7, 99], 100, 0.35))
    assert (log_e.max(axis=1) >= math.log(76)).mean() < 1 / 76 + 0.006
    assert (abs(z).max(axis=1) > 1.96).mean() > 0.4  # as a test for one look would


def test_chances_come_true_if_the_belief_is_true():
    rng = np.random.default_rng(6)
    matters = rng.random(40_000) < 0.2
    effect = np.where(matters, rng.normal(0, 0.35, 40_000), 0.0)
    z = effect * math.sqrt(60) + rng.normal(size=40_000)
    chance = np.array([evidence(one, 60).chance for one in z])
    right = matters & (effect * z > 0)
    for low, high in ((0.1, 0.3), (0.4, 0.6), (0.7, 0.85), (0.85, 0.95)):
        told = (chance >= low) & (chance < high)
        assert right[told].mean() == pytest.approx(chance[told].mean(), abs=0.06)


def test_information_needed_is_enough_and_no_more():
    effect = math.log(2)
    needed = information_needed(effect, 0.95)
    assert needed is not None
    for information, enough in ((needed, True), (0.98 * needed, False)):
        passes = norm.ppf(0.2) + effect * math.sqrt(information)
        assert (evidence(passes, information).chance >= 0.95) is enough
    assert information_needed(0.0, 0.95) is None


@pytest.mark.parametrize(("one_in", "size"), [(1, 0.35), (0.5, 0.35), (math.nan, 0.35), (5, 0), (5, -1)])
def test_a_belief_that_cannot_be(one_in: float, size: float):
    with pytest.raises(StatisticsError):
        Belief(one_in, size)


@pytest.mark.parametrize(("z", "information", "among"), [(math.nan, 1, 1), (1, -1, 1), (1, math.inf, 1), (1, 1, 0)])
def test_numbers_that_no_estimate_has(z: float, information: float, among: int):
    with pytest.raises(StatisticsError):
        evidence(z, information, among=among)
