"""Does an effect stay the same through a reed's life? The test of proportional hazards."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from reedkin.survival.arrays import FloatArray, along
from reedkin.survival.cox_model.regression import CoxFit
from reedkin.survival.cox_model.risks import risks_at
from reedkin.survival.distributions import ChiSquareTest, chi_square_tail
from reedkin.survival.errors import StatisticsError


@dataclass(frozen=True, eq=False)
class Proportionality:
    """
    chi2, df, p  the test that every effect is the same at all ages.
    each         the same for each of the p covariates alone, on one degree of freedom.
    change       (p,) about how much each coefficient changes from the earliest retirements to the latest (one Newton
                 step): of the sign of the coefficient where an effect grows with age, of the other where it fades.
    """

    chi2: float
    df: int
    p: float
    each: tuple[ChiSquareTest, ...]
    change: FloatArray


def proportionality(fit: CoxFit) -> Proportionality:
    """
    The score test that no coefficient b changes with time as b + c g(t): Grambsch & Therneau 1994, Biometrika
    81:515-526, in its exact form (with the covariance of the covariates at each retirement, and not its average).

    g is the rank of the time among all retirements, the mean rank for ties, brought to 0 ... 1: neither a few very long
    lives nor late entry can sway it. The score of c is made orthogonal to that of b, so that the test holds at Firth's
    estimate too, where the score of b is not quite 0 (Neyman's C(alpha)). Raises StatisticsError where all retirements
    fall at one time.
    """
    likelihood = fit.profile.likelihood
    steps = likelihood.steps
    risks = risks_at(steps, likelihood.covariates, fit.profile.maximum.point.beta)
    age = _ranks(steps.risk.time[steps.risk.dead_set])
    if risks is None or age is None:
        raise StatisticsError("Whether an effect changes with age needs retirements at two or more different ages.")
    residual = likelihood.covariates[:, steps.risk.dead] - risks.mean
    information = risks.information()
    mixed = risks.information(age)
    solved = np.linalg.solve(information, mixed)
    score = along(residual, age) - solved.T @ residual.sum(axis=1)
    variance = risks.information(age**2) - mixed @ solved
    size = likelihood.size
    # One coefficient at a time: the variance of its own score of c, all the b being estimated.
    own = np.diag(variance)
    if own.min() <= 1e-9 * float(np.diag(information).min()):
        raise StatisticsError("Too few retirements at different ages to tell whether an effect changes with age.")
    chi2 = float(score @ np.linalg.lstsq(variance, score, rcond=None)[0])
    return Proportionality(
        chi2=chi2,
        df=size,
        p=chi_square_tail(chi2, size),
        each=tuple(ChiSquareTest.of(float(value), 1) for value in score**2 / own),
        change=score / own / fit.scale,
    )


def _ranks(time: FloatArray) -> FloatArray | None:
    """The mean ranks of the times, from 0 for the earliest to 1 for the latest; None if all are the same."""
    distinct, place, count = np.unique(time, return_inverse=True, return_counts=True)
    if len(distinct) < 2:
        return None
    mean_rank = np.cumsum(count) - (count - 1) / 2.0
    return np.asarray((mean_rank - mean_rank[0])[place] / (mean_rank[-1] - mean_rank[0]))
