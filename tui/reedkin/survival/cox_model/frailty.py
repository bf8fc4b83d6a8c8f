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

from reedkin.survival.arrays import FloatArray, IntArray, tally
from reedkin.survival.cox_model.regression import CoxFit
from reedkin.survival.cox_model.risks import Risks, risks_at
from reedkin.survival.errors import StatisticsError

_MANY = 300
"""With so many events a fit takes little from the residuals of a group."""

_BELIEVED, _WEIGHT = 0.2, 10.0
"""The variance that is believed before; that counts as much as five pairs of lives of a group, seen to their ends.
Common practice, no source: a handful of groups alone would tell anything from 0 to 100."""


@dataclass(frozen=True, slots=True)
class SharedFrailty:
    """
    variance  of what the hazards of a group are multiplied by, as the residuals show it and was believed; at least 0.
    factor    how many times as large it makes the variance of the coefficient, at least 1.
    """

    variance: float
    factor: float


def shared_frailty(fit: CoxFit, member: IntArray, group: IntArray, which: int = 0) -> SharedFrailty:
    """What groups share, for one coefficient of a fit. member, group (n,): for each row that the risk sets were made
    of, the reed that it belongs to, and what that was made with."""
    likelihood = fit.profile.likelihood
    point = fit.profile.maximum.point
    risk = likelihood.steps.risk
    risks = risks_at(likelihood.steps, likelihood.covariates, point.beta)
    if risks is None:
        raise StatisticsError("What lives share cannot be told: the effects are too large to reckon with.")
    covariance = np.asarray(np.linalg.inv(point.information), dtype=np.float64)
    hazard, apart = risks.lived()
    ended = tally(risk.dead, np.ones(risk.events), len(risk.rows))
    taken = np.einsum("ij,jr->ir", covariance, apart)
    above = below = moved = 0.0
    # What two members of a group have in common is what the group has, less what each has by itself.
    for sign, of in ((1.0, group), (-1.0, member)):
        codes, place = np.unique(of[risk.rows], return_inverse=True)
        residual, variance, move = (tally(place, one, len(codes)) for one in (ended - hazard, hazard, taken[which]))
        if risk.events < _MANY:
            fitted = _fitted(risks, apart, covariance, place, len(codes))
            variance -= np.sum(fitted**2, axis=0)
            if sign > 0.0:  # of single reeds next to nothing
                below += _beside_diagonal(fitted)
        above += sign * float(np.sum(residual**2 - variance))
        below += sign * float(np.sum(variance**2))
        moved += sign * float(np.sum(move**2))
    if below <= 0.0:  # too few groups to tell
        above = below = 0.0
    of_groups = max((above + _BELIEVED * _WEIGHT) / (below + _WEIGHT), 0.0)
    return SharedFrailty(of_groups, max(1.0 + of_groups * moved / float(covariance[which, which]), 1.0))


def _fitted(risks: Risks, apart: FloatArray, covariance: FloatArray, place: IntArray, size: int) -> FloatArray:
    """(m + p, size) F: by F'F the residuals of groups vary less than the hazards that these lived through, since the
    baseline and the coefficients are fitted to them as well."""
    own = np.array([tally(place, one, size) for one in apart])
    values, axes = np.linalg.eigh(covariance)
    roots = np.sqrt(np.maximum(values, 0.0))
    return np.vstack((risks.shares(place, size), roots[:, None] * np.einsum("ji,jg->ig", axes, own)))


def _beside_diagonal(fitted: FloatArray) -> float:
    """The sum of the squares of F'F but for its diagonal: what the fit takes from one group for what another has."""
    return float(np.sum(np.einsum("fa,fb->ab", fitted, fitted) ** 2) - np.sum(np.sum(fitted**2, axis=0) ** 2))
