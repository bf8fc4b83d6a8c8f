"""
Lives that share more than is known: those of what was made together are not so many lives.

What is made together shares cane, weather and hand, so that it lasts longer or shorter together, and a habit that goes
by it seems to matter. If the hazards of a group are all multiplied by a number of its own, of mean 1 and some variance
(a shared frailty: Clayton 1978, Biometrika 65:141-151), the coefficient of a Cox model stays what it is, but for a part
toward none, and its variance grows by what the members of each group say together: that is the variance of Lee, Wei &
Amato 1992 (in Survival Analysis: State of the Art, 237-247, after Lin & Wei 1989, JASA 84:1074-1078), with what two
members have in common reckoned from the one variance. Theirs takes it from each coefficient's own residuals, and of
some twenty groups these tell little: it misled as often, by simulation, and lost more.

The variance is that which the residuals show (the sums of whose squares test it: Commenges & Andersen 1995, Lifetime
Data Analysis 1:145-156), less what the fit itself takes from residuals, which of few groups is much: without that it
came out at six tenths of what it was. Of lives watched to their end it is smaller than the variance of that number
(about half of it, where that is 1), as their residuals are alike by so much less; and it is this that counts. A stated
belief keeps it within reason where groups are few.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from reedkin.survival.arrays import FloatArray, IntArray, gram, tally
from reedkin.survival.cox_model.regression import CoxFit
from reedkin.survival.cox_model.risks import Risks, risks_at
from reedkin.survival.cox_model.ties import Steps
from reedkin.survival.errors import StatisticsError
from reedkin.survival.risk_sets import RiskSets

_MANY, _MANY_GROUPS = 300, 500
"""With so many events, or so many groups to share them, a fit takes little from the residuals of a group: of 500
groups it changes the degrees of freedom by 6 in 100, by simulation, and it would take minutes of thousands."""

_BELIEVED, _WEIGHT = 0.2, 10.0
"""The variance that is believed before; that counts as much as five pairs of lives of a group, seen to their ends.
Common practice, no source: a handful of groups alone would tell anything from 0 to 100."""

_LEAST_DF = 0.1
"""Fewer degrees of freedom tell nothing either."""
_ROUNDED = 1e-9
"""What adds no more than this to a variance is what rounding leaves of nothing, as where each life is a group."""


@dataclass(frozen=True, slots=True)
class LessSure:
    """
    What groups share makes of the variances of some effects.

    factors  (r,) how many times as large each is, at least 1.
    df       on how many degrees of freedom of Student's t, or below the line of F, they are to be judged.
    """

    factors: FloatArray
    df: float


@dataclass(frozen=True, eq=False)
class SharedFrailty:
    """
    variance  of what the hazards of a group are multiplied by, as the residuals show it and was believed; at least 0.
    unsure    the variance of that estimate.
    pulls     (p, p) what each unit of it adds to the covariance of the score.
    """

    variance: float
    unsure: float
    pulls: FloatArray

    def less_sure(self, added: FloatArray) -> LessSure:
        """`added` (r,): what each unit of it adds to the variances of effects that do not go together, beside these.
        The degrees of freedom are those of a chi-square that varies as much as the estimated variance does
        (Satterthwaite 1946, Biometrics Bulletin 2:110-114); of several effects, the harmonic mean of theirs."""
        added = np.where(added > _ROUNDED, added, 0.0)
        factors = 1.0 + self.variance * added
        estimated = self.unsure * float(np.sum((added / factors) ** 2))
        return LessSure(factors, max(2.0 * len(added) / estimated, _LEAST_DF) if estimated > 0.0 else np.inf)


def shared_frailty(fit: CoxFit, member: IntArray, group: IntArray) -> SharedFrailty:
    """What groups share, beside a fit. member, group (n,): for each row that the risk sets were made of, the reed that
    it belongs to, and what that was made with. `pulls` are those of the covariates as they were given."""
    likelihood = fit.profile.likelihood
    point = fit.profile.maximum.point
    risks = risks_at(likelihood.steps, likelihood.covariates, point.beta)
    if risks is None:
        raise StatisticsError("What lives share cannot be told: the effects are too large to reckon with.")
    inverse = np.asarray(np.linalg.inv(point.information), dtype=np.float64)
    found = shared_beside(risks, likelihood.steps.risk, inverse, np.zeros(len(inverse)), member, group)
    return SharedFrailty(found.variance, found.unsure, found.pulls * np.outer(fit.scale, fit.scale))


def shared_alone(risk: RiskSets, member: IntArray, group: IntArray) -> SharedFrailty:
    """What groups share where nothing is compared; of no coefficients there are no pulls. The arguments are those of
    `shared_frailty`."""
    nothing = np.zeros((1, 1))
    risks = risks_at(Steps(risk, "breslow"), np.zeros((1, len(risk.rows))), np.zeros(1))
    assert risks is not None
    return shared_beside(risks, risk, nothing, np.zeros(1), member, group)


def less_sure(fit: CoxFit, member: IntArray, group: IntArray, which: int = 0) -> LessSure:
    """What groups share makes of one coefficient of a fit; the arguments are those of `shared_frailty`."""
    shared = shared_frailty(fit, member, group)
    own = fit.covariance[which]
    return shared.less_sure(np.array([np.einsum("i,ij,j->", own, shared.pulls, own) / own[which]]))


def shared_beside(
    risks: Risks, risk: RiskSets, inverse: FloatArray, score: FloatArray, member: IntArray, group: IntArray
) -> SharedFrailty:
    """
    What groups share beside p covariates, at coefficients whose `risks` these are. inverse (p, p): of the information;
    score (p,): that of the covariates there, of which residuals are freed by a step toward where it is none.
    """
    hazard, apart = risks.lived()
    ended = tally(risk.dead, np.ones(risk.events), len(risk.rows))
    left = ended - hazard - np.einsum("ir,i->r", apart, inverse @ score)
    of_group, of_member = (np.unique(of[risk.rows], return_inverse=True)[1] for of in (group, member))
    groups, members = (int(of.max()) + 1 for of in (of_group, of_member))
    variances, own = tally(of_group, hazard, groups), tally(of_member, hazard, members)
    by_group, by_member = _sums(apart, of_group, groups), _sums(apart, of_member, members)
    together = np.diag(variances) if risk.events < _MANY and groups < _MANY_GROUPS else None
    if together is not None:
        together -= gram(_fitted(risks, by_group, inverse, of_group).T)
        own = own - np.sum(_fitted(risks, by_member, inverse, of_member) ** 2, axis=0)
        variances = np.diag(together)
    squares = variances**2 if together is None else gram(together)
    # What two members of a group have in common is what the group has, less what each has by itself.
    above = float(np.sum(tally(of_group, left, groups) ** 2 - variances))
    above -= float(np.sum(tally(of_member, left, members) ** 2 - own))
    below = float(np.sum(squares if together is None else np.diag(squares))) - float(np.sum(own**2))
    pulls = gram(by_group) - gram(by_member)
    if below <= 0.0:  # too few groups to tell
        above = below = 0.0
    variance = max((above + _BELIEVED * _WEIGHT) / (below + _WEIGHT), 0.0)
    scatter = _WEIGHT * (1.0 + 2.0 * variance + 2.0 * variance**2)
    if below > 0.0:
        their_group = np.zeros(members, dtype=np.intp)
        their_group[of_member] = of_group
        alone = [tally(their_group, own**power, groups) for power in (2, 3)]
        whole = variances + variance * squares if together is None else together + variance * squares
        scatter += max(_scatter(whole, variances, alone, variance), 0.0)
    return SharedFrailty(variance, 2.0 * scatter / (below + _WEIGHT) ** 2, pulls)


def _scatter(whole: FloatArray, variances: FloatArray, alone: list[FloatArray], shared: float) -> float:
    """
    Half the variance of the sum of the products of two members' residuals, over all groups, were these normal.

    With S their covariance it is the sum of (1'S1)^2 - 2 1'S S1 + tr(S S): the first of groups, `whole`, as they vary
    together; the others of members, by the sums of the squares and the cubes of their variances in each group, `alone`.
    """
    second, third = alone
    by_member = -2.0 * second * (1.0 + shared * variances) ** 2 + second + 2.0 * shared * third + (shared * second) ** 2
    return float(np.sum(whole**2)) + float(np.sum(by_member))


def _sums(rows: FloatArray, place: IntArray, size: int) -> FloatArray:
    """(p, size) the sums of rows (p, r) over the places."""
    return np.array([tally(place, one, size) for one in rows])


def _fitted(risks: Risks, sums: FloatArray, inverse: FloatArray, place: IntArray) -> FloatArray:
    """(m + p, size) F: by F'F the residuals of groups vary less than the hazards that these lived through, since the
    baseline and the coefficients are fitted to them as well."""
    values, axes = np.linalg.eigh(inverse)
    roots = np.sqrt(np.maximum(values, 0.0))
    return np.vstack((risks.shares(place, sums.shape[1]), roots[:, None] * (axes.T @ sums)))
