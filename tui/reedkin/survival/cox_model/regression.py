"""Cox regression: how covariates go with the hazard of retirement."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from reedkin.survival.arrays import FloatArray, same_length
from reedkin.survival.cox_model.covariates import Scaled, refuse_unidentified
from reedkin.survival.cox_model.maximise import maximise
from reedkin.survival.cox_model.partial_likelihood import PartialLikelihood
from reedkin.survival.cox_model.profile import Profile
from reedkin.survival.cox_model.ties import Steps, Ties
from reedkin.survival.distributions import ChiSquareTest, Z, two_sided_p
from reedkin.survival.errors import StatisticsError
from reedkin.survival.risk_sets import RiskSets


@dataclass(frozen=True, eq=False)
class CoxFit:
    """
    A Cox model of p covariates. Coefficients are log hazard ratios for one unit of the covariate as it was given.

    coef (p,), se (p,)       estimates, and standard errors from the information at them.
    covariance (p, p)        the inverse of `information` (p, p), which is that of the partial likelihood.
    ci (p, 2), p (p,)        95% limits, and p-values that a coefficient is 0. With Firth's penalty from the profile of
                             the penalised likelihood, and finite always; without, Wald's. Worked out when first asked
                             for.
    log_likelihood           the partial log likelihood at `coef`; null_log_likelihood, at 0.
    penalised_log_likelihood the same with log|information| / 2 added, which is what Firth's fit maximises; None without
                             the penalty. null_penalised_log_likelihood, at 0.
    rows, events             rows at risk at some retirement, and retirements.
    """

    coef: FloatArray
    se: FloatArray
    covariance: FloatArray
    information: FloatArray
    log_likelihood: float
    null_log_likelihood: float
    penalised_log_likelihood: float | None
    null_penalised_log_likelihood: float | None
    rows: int
    events: int
    firth: bool
    profile: Profile = field(repr=False)
    scale: FloatArray = field(repr=False)

    @cached_property
    def ci(self) -> FloatArray:
        """(p, 2) the 95% limits of each coefficient. With the penalty, may raise StatisticsError as a fit may."""
        if self.firth:
            return np.array([self.interval(which) for which in range(len(self.coef))])
        return np.column_stack((self.coef - Z * self.se, self.coef + Z * self.se))

    def interval(self, which: int) -> tuple[float, float]:
        """The limits of one coefficient from the profile, without seeking those of the others."""
        lo, hi = self.profile.interval(which)
        return lo / float(self.scale[which]), hi / float(self.scale[which])

    @cached_property
    def p(self) -> FloatArray:
        """(p,) the p-value of each coefficient. With the penalty, may raise StatisticsError as a fit may."""
        if self.firth:
            return np.array([self.profile.test(which).p for which in range(len(self.coef))])
        return np.array([two_sided_p(z) for z in self.coef / self.se])

    @property
    def likelihood_ratio(self) -> ChiSquareTest:
        """The (penalised) likelihood-ratio test that all coefficients are 0."""
        gain = self.log_likelihood - self.null_log_likelihood
        if self.penalised_log_likelihood is not None and self.null_penalised_log_likelihood is not None:
            gain = self.penalised_log_likelihood - self.null_penalised_log_likelihood
        return ChiSquareTest.of(2.0 * gain, len(self.coef))


def cox(
    stop: ArrayLike,
    event: ArrayLike,
    covariates: ArrayLike,
    start: ArrayLike | None = None,
    strata: ArrayLike | Sequence[Hashable] | None = None,
    ties: Ties = "efron",
    firth: bool = True,
) -> CoxFit:
    """
    Fit a Cox model to n rows, each a spell (start, stop] of a reed.

    stop, event, start, strata (n,): as for `RiskSets.of`. covariates (n, p), or (n,) for one: their values during the
    spell, known before it begins. ties: 'efron' or 'breslow'. firth: with Firth's penalty, finite even where every reed
    with a habit is still in service. Times should be whole numbers (minutes): sums of floats break ties.

    Raises StatisticsError, naming the trouble, for no retirements; for covariates that never vary among those at risk,
    or that follow from one another; for values missing or infinite; without the penalty for separation, where no finite
    estimate exists; and whatever `RiskSets.of` refuses.
    """
    return fit(RiskSets.of(stop, event, start, strata), covariates, ties, firth)


def fit(risk: RiskSets, covariates: ArrayLike, ties: Ties = "efron", firth: bool = True) -> CoxFit:
    """
    `cox` on risk sets made ready before, so that many models of the same rows sort them only once.

    covariates (n, p) or (n,): one row for each that the risk sets were made of, those left out by `risk.keep` among
    them; only the values of rows that are at risk at some retirement are looked at.
    """
    if not risk.events:
        raise StatisticsError("No reed was retired: there is nothing to learn from yet.")
    scaled = Scaled.of(risk, _table(risk, covariates))
    likelihood = PartialLikelihood(Steps(risk, ties), scaled.values, firth)
    null = likelihood.at(np.zeros(likelihood.size))
    refuse_unidentified(null.information)
    maximum = maximise(likelihood, null)
    best = maximum.point
    information = best.information * np.outer(scaled.scale, scaled.scale)
    covariance = np.linalg.inv(best.information) / np.outer(scaled.scale, scaled.scale)
    # The penalty depends on the units: log|information| grows by twice the log of each scale.
    units = float(np.log(scaled.scale).sum())
    return CoxFit(
        coef=best.beta / scaled.scale,
        se=np.sqrt(np.diag(covariance)),
        covariance=covariance,
        information=information,
        log_likelihood=best.log_likelihood,
        null_log_likelihood=null.log_likelihood,
        penalised_log_likelihood=best.value + units if firth else None,
        null_penalised_log_likelihood=null.value + units if firth else None,
        rows=len(risk.rows),
        events=risk.events,
        firth=firth,
        profile=Profile(likelihood, maximum),
        scale=scaled.scale,
    )


def _table(risk: RiskSets, covariates: ArrayLike) -> FloatArray:
    """The covariates (n, p) as floats, checked where they will be used."""
    try:
        table = np.asarray(covariates, dtype=np.float64)
    except (TypeError, ValueError, OverflowError) as error:
        raise StatisticsError(f"The covariates must be numbers: {error}.") from error
    if table.ndim == 1:
        table = table[:, None]
    if table.ndim != 2 or not table.shape[1]:
        raise StatisticsError("The covariates must have one row for each spell and at least one column.")
    same_length(risk.total, covariates=table)
    return table
