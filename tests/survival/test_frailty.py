"""What groups of lives share: the variance of other programs, the plain definition, planted values, false alarms."""

from __future__ import annotations

import numpy as np
import pytest
from lifelines.datasets import load_rossi
from tests.survival import brute_force

from reedkin.survival import CoxFit, RiskSets, cox, fit, less_sure, shared_frailty, student_p, two_sided_p
from reedkin.survival.cox_model import frailty, risks
from reedkin.survival.cox_model.risks import Risks, RunningRisks, TableRisks


def risks_of(model: CoxFit, kind: type[TableRisks] | type[RunningRisks]) -> Risks:
    likelihood = model.profile.likelihood
    score = np.einsum("i,in->n", model.profile.maximum.point.beta, likelihood.covariates)
    made = kind.of(likelihood.steps, likelihood.covariates, score)
    assert made is not None
    return made


@pytest.mark.parametrize("kind", [TableRisks, RunningRisks])
def test_what_is_summed_over_groups_is_that_of_other_programs(kind: type[TableRisks] | type[RunningRisks]) -> None:
    """
    Rossi's data, fin and prio, each a thousandth of a week later than the one before so that none ties, those of one
    age a group: the cluster-robust standard errors of lifelines 0.30.3 and statsmodels 0.15.0, which agree to 8 digits.
    """
    data = load_rossi()
    week = data["week"].to_numpy() + np.arange(len(data)) / 1000
    model = cox(week, data["arrest"], data[["fin", "prio"]].to_numpy(float), firth=False)
    steps, covariates = model.profile.likelihood.steps, model.profile.likelihood.covariates
    at = risks_of(model, kind)
    scores = -at.lived()[1]
    scores[:, steps.risk.dead] += covariates[:, steps.risk.dead] - at.mean
    age = data["age"].to_numpy()[steps.risk.rows]
    by_age = np.stack([scores[:, age == one].sum(axis=1) for one in np.unique(age)])
    inverse = np.linalg.inv(model.profile.maximum.point.information)
    error = np.sqrt(np.diag(inverse @ by_age.T @ by_age @ inverse)) / model.scale
    assert error == pytest.approx([0.19088451, 0.02923632], abs=1e-8)


def plainly(
    data: dict[str, np.ndarray], model: CoxFit, member: np.ndarray, group: np.ndarray, fitted: bool
) -> tuple[float, float, float]:
    """
    The definition, row by row and retirement by retirement; without ties: what is shared, how many times as large that
    makes the variance of the first coefficient, and how unsure it is where nothing is fitted. `fitted`: less what the
    fit takes.
    """
    x, beta = data["x"], model.coef
    weight, rows, size = np.exp(x @ beta), range(len(x)), x.shape[1]
    share = []
    for end in np.flatnonzero(data["event"]):
        time = data["stop"][end]
        here = (data["strata"] == data["strata"][end]) & (data["start"] < time) & (time <= data["stop"])
        share.append(np.where(here, weight, 0.0) / weight[here].sum())
    residual = data["event"] - np.sum(share, axis=0)
    apart = np.array([sum(one[row] * (x[row] - one @ x) for one in share) for row in rows]).reshape(-1, size)
    inverse = np.linalg.inv(model.information)
    above = below = moved = 0.0
    for sign, of in ((1, group), (-1, member)):
        places = [of == one for one in set(of.tolist())]
        variance = np.diag([sum(part[own].sum() for part in share) for own in places])
        if fitted:
            moves = [apart[own].sum(axis=0) for own in places]
            variance -= [[sum(p[a].sum() * p[b].sum() for p in share) for a in places] for b in places]
            variance -= [[one @ inverse @ other for one in moves] for other in moves]
        above += sign * (sum(residual[own].sum() ** 2 for own in places) - np.trace(variance))
        below += sign * np.sum((variance if sign > 0 else np.diag(variance)) ** 2)
        moved += sign * sum((inverse @ apart[own].sum(axis=0))[0] ** 2 for own in places)
    shared = max((above + 2) / (below + 10), 0.0) if below > 0 else 0.2  # believed before: 0.2, weighing 10
    hazard = np.array([sum(part[member == one].sum() for part in share) for one in np.unique(member)])
    alike = np.equal.outer(*2 * (np.array([group[member == one][0] for one in np.unique(member)]),)).astype(float)
    products, covariance = alike - np.eye(len(hazard)), np.diag(hazard) + shared * alike * np.outer(hazard, hazard)
    scatter = np.trace(products @ covariance @ products @ covariance) * (below > 0)
    unsure = 2 * (scatter + 10 * (1 + 2 * shared + 2 * shared**2)) / (below + 10) ** 2
    return shared, max(1 + shared * moved / inverse[0, 0], 1.0), unsure


@pytest.mark.parametrize("fitted", [True, False])
@pytest.mark.parametrize("table", [True, False])
def test_against_the_plain_definition(fitted: bool, table: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two covariates, strata, late entry, reeds of several rows; and as it is where retirements are many."""
    monkeypatch.setattr(frailty, "_MANY", 500 if fitted else 0)
    monkeypatch.setattr(risks, "SMALL_TABLE", 10_000 if table else 0)
    found = []
    for seed in range(4):
        rng = np.random.default_rng(seed)
        data = brute_force.spells(rng, 40, 2, strata=2)
        member, group = np.arange(40) // 2, np.arange(40) // 8
        data["x"][:, 0] = rng.normal(size=5)[group]
        lasting = np.exp(rng.normal(size=5))[group]
        data["stop"] = data["start"] + (data["stop"] - data["start"]) * lasting + np.arange(40) / 1000  # no ties
        model = cox(data["stop"], data["event"], data["x"], data["start"], data["strata"])
        shared, judged = shared_frailty(model, member, group), less_sure(model, member, group)
        variance, factor, unsure = plainly(data, model, member, group, fitted)
        assert shared.variance == pytest.approx(variance, abs=1e-9)
        assert judged.factors == pytest.approx([factor], abs=1e-9)
        if not fitted:
            assert shared.unsure == pytest.approx(unsure, abs=1e-9)
        added = (factor - 1) / factor / variance if variance else 0.0
        assert judged.df == pytest.approx(2 / shared.unsure / added**2 if added else np.inf)
        found.append(factor)
    assert sum(factor > 1.1 for factor in found) >= 1


def groups(
    rng: np.random.Generator, count: int, variance: float, watched: float, size: int = 5
) -> tuple[RiskSets, np.ndarray]:
    """Lives in groups of a size, whose hazards a number of each group multiplies (gamma, of mean 1), and the groups."""
    group = np.repeat(np.arange(count), size)
    hazard = rng.gamma(1 / variance, variance, count)[group]
    life, end = rng.exponential(1 / hazard), rng.exponential(watched, len(group))
    return RiskSets.of(np.minimum(life, end), life <= end), group


def test_a_planted_variance_is_found() -> None:
    """Of lives watched so briefly that the first of a group to end tells little of how the others go on."""
    rng = np.random.default_rng(5)
    for planted in (0.5, 1.0):
        risk, group = groups(rng, 2000, planted, 0.15)
        x = rng.normal(size=len(group))
        model, member = fit(risk, x), np.arange(len(group))
        assert shared_frailty(model, member, group).variance == pytest.approx(planted, rel=0.25)
        judged = less_sure(model, member, group)
        assert judged.factors == pytest.approx([1.0], abs=0.05)  # it goes by no group
        assert judged.df > 1000


def test_two_groups_cannot_tell_what_groups_share() -> None:
    """Nor what a habit does that goes by them: what was believed before makes it less sure, and no more than that."""
    rng = np.random.default_rng(2)
    group = np.repeat([0, 1], 10)
    model = cox(rng.exponential(1, 20), np.ones(20), group.astype(float))
    assert shared_frailty(model, np.arange(20), group).variance == pytest.approx(0.2)
    judged = less_sure(model, np.arange(20), group)
    assert 1.3 < judged.factors[0] < 4
    assert judged.df < 2
    alone = less_sure(model, np.arange(20), np.arange(20))
    assert alone.factors == pytest.approx([1])
    assert alone.df == np.inf


def test_groups_alike_in_size_are_as_many_degrees_of_freedom_less_two() -> None:
    """For a habit that goes by them: one is the mean of all, and the habit takes one. Where one group has half of all
    lives they are fewer."""
    rng = np.random.default_rng(4)
    by_group, life = rng.permuted(np.repeat([-1.0, 1.0], 6)), rng.exponential(1, 240)
    even, uneven = np.repeat(np.arange(12), 20), np.repeat(np.arange(12), [130] + [10] * 11)
    of_even, of_uneven = (
        less_sure(cox(life, np.ones(240), by_group[group]), np.arange(240), group).df for group in (even, uneven)
    )
    assert of_even == pytest.approx(10, rel=0.2)
    assert of_uneven < 0.6 * of_even


@pytest.mark.parametrize(("count", "size", "most"), [(25, 5, 5), (5, 20, 5)])
def test_what_goes_by_groups_is_no_more_often_told_than_is_said(count: int, size: int, most: int) -> None:
    """Where lives of a group are alike, of 60 habits that go by groups, and do nothing: with p below 0.05, by all
    lives, with what groups share in their variance, and judged by Student's t besides."""
    rng = np.random.default_rng(1)
    alone = wider = held = 0
    for _ in range(60):
        risk, group = groups(rng, count, 0.7, 3.0, size)
        model = fit(risk, rng.normal(size=count)[group])
        z, judged = float(model.coef[0] / model.se[0]), less_sure(model, np.arange(count * size), group)
        alone += two_sided_p(z) < 0.05
        wider += two_sided_p(z / judged.factors[0] ** 0.5) < 0.05
        held += student_p(z / judged.factors[0] ** 0.5, judged.df) < 0.05
    assert alone >= 10
    assert wider > most or count > 20  # of few groups the variance alone is not enough
    assert held <= most
