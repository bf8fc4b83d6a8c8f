"""Firth's penalty: a published-data value, brute force, separation, and how often its intervals hold the truth."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from tests.survival import brute_force
from tests.survival.published import appendix_e_2, freireich

from reedkin.survival import CoxFit, RiskSets, StatisticsError, cox
from reedkin.survival.cox_model import risks
from reedkin.survival.cox_model.partial_likelihood import PartialLikelihood
from reedkin.survival.cox_model.ties import Steps


def fit_of(data: dict[str, Any]) -> CoxFit:
    return cox(data["stop"], data["event"], data["x"], data["start"], data["strata"])


def test_textbook_data() -> None:
    """
    Heinze & Schemper 2001, Biometrics 57:114-119, on test 2 of Therneau & Grambsch 2000, appendix E, with Efron's ties;
    values by brute force in another program.
    """
    data = appendix_e_2()
    model = cox(data.stop, data.event, data.x, start=data.start)
    assert model.coef == pytest.approx([-0.056132], abs=1e-6)
    assert model.ci[0] == pytest.approx([-1.534585, 1.503299], abs=1e-6)


@pytest.mark.parametrize(("seed", "p"), [(0, 1), (3, 2)])
def test_against_brute_force(seed: int, p: int) -> None:
    """Estimate, likelihoods, interval and p-value; ties, late entry and strata."""
    data = brute_force.spells(np.random.default_rng(seed), 22, p, strata=2)
    model = fit_of(data)
    best, value = brute_force.highest(lambda b: brute_force.penalised(data, b), np.zeros(p))
    assert model.coef == pytest.approx(best, abs=1e-5)
    assert model.penalised_log_likelihood == pytest.approx(value, abs=1e-9)
    assert model.log_likelihood == pytest.approx(brute_force.partial_likelihood(data, model.coef)[0], abs=1e-9)
    null = brute_force.penalised(data, np.zeros(p))
    assert model.null_penalised_log_likelihood == pytest.approx(null, abs=1e-9)
    assert model.likelihood_ratio.chi2 == pytest.approx(2 * (value - null), abs=1e-8)
    assert model.ci[0] == pytest.approx(brute_force.profile_interval(data, 0, best, value), abs=1e-5)
    if p == 1:
        assert model.p[0] == pytest.approx(model.likelihood_ratio.p, rel=1e-6)
    else:
        _, held = brute_force.highest(lambda b: brute_force.penalised(data, np.array([0.0, *b])), best[1:])
        assert brute_force.chi2_distribution.sf(2 * (value - held), 1) == pytest.approx(model.p[0], abs=1e-6)


def test_an_interval_and_its_test_agree() -> None:
    """The limit of one coefficient is the value at which its test, moved there, has p = 0.05."""
    data = brute_force.spells(np.random.default_rng(8), 40, 3)
    model = fit_of(data)
    for which in range(3):
        lo, hi = model.ci[which]
        assert lo < model.coef[which] < hi
        assert (model.p[which] < 0.05) == (lo > 0 or hi < 0)


def separated() -> dict[str, Any]:
    """Of reeds watched together, one with the habit always goes first: no finite coefficient fits best."""
    return {
        "start": np.zeros(12),
        "stop": np.arange(1.0, 13.0),
        "event": np.array([1, 1, 1, 1, 1, 0, 0, 0, 0, 0, 0, 0], dtype=bool),
        "strata": np.zeros(12, dtype=int),
        "x": np.array([[1.0] * 5 + [0.0] * 7]).T,
    }


def test_separation() -> None:
    data = separated()
    with pytest.raises(StatisticsError, match="No finite effect"):
        cox(data["stop"], data["event"], data["x"], firth=False)
    model = fit_of(data)
    best, value = brute_force.highest(lambda b: brute_force.penalised(data, b), np.zeros(1))
    assert model.coef == pytest.approx(best, abs=1e-5)
    assert model.ci[0] == pytest.approx(brute_force.profile_interval(data, 0, best, value), abs=1e-4)
    assert model.ci[0, 0] > 0
    assert model.p[0] < 0.01


def test_separation_by_one_of_two_and_by_a_mix() -> None:
    data = separated()
    rng = np.random.default_rng(2)
    beside = rng.normal(size=12)
    for x in (
        np.column_stack((data["x"][:, 0], beside)),
        np.column_stack((data["x"][:, 0] + beside, beside)),
    ):
        with pytest.raises(StatisticsError, match="No finite effect"):
            cox(data["stop"], data["event"], x, firth=False)
        model = cox(data["stop"], data["event"], x)
        assert np.isfinite(model.coef).all()
        assert np.isfinite(model.ci).all()
        assert model.p[0] < 0.05


def test_strong_is_not_separated() -> None:
    """One reed out of order, and a finite estimate exists, however strong."""
    data = separated()
    x = data["x"].copy()
    x[2] = 0.0
    model = cox(data["stop"], data["event"], x, firth=False)
    value, _ = brute_force.partial_likelihood(data | {"x": x}, model.coef)
    for step in (-0.01, 0.01):
        assert brute_force.partial_likelihood(data | {"x": x}, model.coef + step)[0] < value


def test_the_smallest_of_samples() -> None:
    """Two reeds and one retirement: p = 3/4 for the odds that the penalised likelihood favours, so log 3."""
    model = cox([1, 2], [1, 0], [1, 0])
    assert model.coef == pytest.approx([np.log(3)])
    assert model.ci[0, 0] < 0 < model.ci[0, 1] < np.inf


def test_no_penalty_to_speak_of_in_large_samples() -> None:
    data = brute_force.spells(np.random.default_rng(5), 4000, 2)
    with_penalty, without = (
        cox(data["stop"], data["event"], data["x"], data["start"], firth=firth) for firth in (True, False)
    )
    assert with_penalty.coef == pytest.approx(without.coef, abs=1e-3)
    assert with_penalty.ci == pytest.approx(without.ci, abs=2e-3)
    assert with_penalty.p == pytest.approx(without.p, abs=2e-3)


@pytest.mark.parametrize("seed", range(4))
def test_both_ways_to_the_moments_agree(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Small data go through a table and large through running sums: the numbers are the same."""
    data = brute_force.spells(np.random.default_rng(seed), 50, 3, strata=2)
    fits = []
    for cells in (0, 10**9):
        monkeypatch.setattr(risks, "SMALL_TABLE", cells)
        model = fit_of(data)
        fits.append(np.concatenate((model.coef, model.se, model.ci.ravel(), model.p)))
    assert fits[0] == pytest.approx(fits[1], rel=1e-7, abs=1e-9)


def test_weights_too_unlike_for_running_sums(monkeypatch: pytest.MonkeyPatch) -> None:
    """A few reeds with a risk e^25 times that of the others: sums must not be what is left over from larger ones."""
    rng = np.random.default_rng(11)
    x = np.concatenate((rng.normal(size=(80, 1)), rng.normal(size=(6, 1)) + 25.0))
    start = np.concatenate((np.zeros(80), np.full(6, 3.0)))
    stop = np.concatenate((np.ceil(rng.exponential(20.0 * np.exp(-x[:80, 0]))), np.full(6, 4.0) + np.arange(6)))
    event = np.ones(86, dtype=bool)
    event[-3:] = False
    beta = np.array([1.3])
    data = {"start": start, "stop": stop, "event": event, "strata": np.zeros(86, int), "x": x}
    value, information = brute_force.partial_likelihood(data, beta)
    monkeypatch.setattr(risks, "SMALL_TABLE", 0)
    steps = Steps(RiskSets.of(stop, event, start), "efron")
    point = PartialLikelihood(steps, np.ascontiguousarray(x[steps.risk.rows].T), firth=True).at(beta)
    assert point.log_likelihood == pytest.approx(value, abs=1e-7)
    assert point.information == pytest.approx(information, rel=1e-6)
    assert point.value == pytest.approx(brute_force.penalised(data, beta), abs=1e-6)


def test_how_often_the_interval_holds_the_truth() -> None:
    """Small samples and no true effect: 95 in 100 intervals should hold 0, and tests raise as few alarms."""
    rng = np.random.default_rng(2024)
    held, alarms, runs = 0, 0, 100
    for _ in range(runs):
        x = rng.integers(0, 2, 25).astype(float)
        life, watched = np.ceil(rng.exponential(600, 25)), np.ceil(rng.exponential(1200, 25))
        x[:2] = 0, 1
        model = cox(np.minimum(life, watched), life <= watched, x)
        held += model.ci[0, 0] <= 0 <= model.ci[0, 1]
        alarms += model.p[0] < 0.05
    assert held + alarms == runs
    # Three standard errors of a share of 0.95 in 100 are 0.065.
    assert 0.885 < held / runs < 0.995


def test_leukaemia_with_the_penalty_is_a_little_nearer_to_nothing() -> None:
    data = freireich()
    model = cox(data.stop, data.event, data.x)
    assert -1.572125 < model.coef[0] < -1.5
    assert model.ci[0, 1] < 0
    assert model.p[0] < 1e-3
