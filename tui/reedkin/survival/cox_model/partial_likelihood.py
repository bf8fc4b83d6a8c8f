"""
Cox's partial likelihood with Firth's penalty, its gradient and its information, at any coefficients.

Cox 1972, JRSS B 34:187-220; Firth 1993, Biometrika 80:27-38, and for this model Heinze & Schemper 2001, Biometrics
57:114-119.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from reedkin.survival.arrays import FloatArray
from reedkin.survival.cox_model.risks import risks_at
from reedkin.survival.cox_model.ties import Steps


@dataclass(frozen=True, eq=False)
class Evaluation:
    """
    The likelihood at the coefficients `beta` (p,).

    value         what is maximised: log_likelihood, with the penalty log|information| / 2 if there is one. It is -inf
                  where it cannot be computed, and then the rest means nothing.
    gradient      (p,) of `value`; penalty_gradient (p,) the part of it that comes from the penalty.
    information   (p, p) of the partial likelihood alone.
    """

    beta: FloatArray
    value: float
    log_likelihood: float
    gradient: FloatArray
    penalty_gradient: FloatArray
    information: FloatArray


class PartialLikelihood:
    """The likelihood of covariates (p, r), one column for each of `steps.risk.rows`; best centred and of like size."""

    def __init__(self, steps: Steps, covariates: FloatArray, firth: bool) -> None:
        self.steps = steps
        self.covariates = covariates
        self.firth = firth
        self._sum_of_dead = covariates[:, steps.risk.dead].sum(axis=1)

    @property
    def size(self) -> int:
        """p, the number of covariates."""
        return len(self.covariates)

    def at(self, beta: FloatArray) -> Evaluation:
        """The likelihood at beta (p,)."""
        with np.errstate(all="ignore"):  # What overflows far out is caught below: nothing infinite is let through.
            return self._at(beta)

    def _at(self, beta: FloatArray) -> Evaluation:
        risks = risks_at(self.steps, self.covariates, beta)
        if risks is None:
            return self._nowhere(beta)
        log_likelihood = float(self._sum_of_dead @ beta - risks.log_total.sum())
        gradient = self._sum_of_dead - risks.mean.sum(axis=1)
        information = risks.information()
        value, penalty_gradient = log_likelihood, np.zeros(self.size)
        if self.firth:
            try:
                root = risks.root(information)
                penalty_gradient = 0.5 * risks.trace(root)
            except np.linalg.LinAlgError:
                return self._nowhere(beta)
            value += float(np.log(np.diag(root)).sum())
        if not all(np.isfinite(part).all() for part in (value, gradient, penalty_gradient, information)):
            return self._nowhere(beta)
        return Evaluation(beta, value, log_likelihood, gradient + penalty_gradient, penalty_gradient, information)

    def rises_for_ever(self, direction: FloatArray) -> bool:
        """
        Whether the partial likelihood rises without end along `direction` (p,): complete or quasi-complete separation.

        It does if at every event the row that ends has the greatest score x'direction of those at risk. Up to a part in
        a thousand, since a direction found by climbing is never exact.
        """
        score = np.einsum("i,in->n", direction, self.covariates)
        risk = self.steps.risk
        beaten_by = risk.tree.largest(score)[risk.dead_set] - score[risk.dead]
        return bool(beaten_by.max() <= 1e-3 * float(np.ptp(score)))

    def _nowhere(self, beta: FloatArray) -> Evaluation:
        nothing = np.zeros(self.size)
        return Evaluation(beta, -np.inf, -np.inf, nothing, nothing, np.zeros((self.size, self.size)))
