"""
Everyone's risk at given coefficients, and the moments of the covariates that a Cox fit is made of.

At step s (one for each event, see `ties`) the rows at risk have weights c exp(x'b), with c = 1, or less for the rows of
a tie that are partly gone. E_s is the mean under them. There are two ways to the same numbers.

`RunningRisks` takes sums over all risk sets at once from running sums, in time proportional to the rows. The
information is the sum over steps of E_s[x x'] - mean_s mean_s', and its first terms add up to X' diag(a) X, with a
row's a its weight times the baseline hazard that it lived through; so no array of rows x p x p is needed. The gradient
of Firth's penalty, a sum of third moments, reduces in the same way.

`TableRisks` writes the weights out, one line for each step, and is the definition as it stands. It needs memory for
steps x rows, but loses nothing to differences of large numbers: with few retirements and strong effects, where a curve
is nearly flat and an interval reaches far, that decides whether there is an answer.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np

from reedkin.survival.arrays import FloatArray, IntArray, along, gram, tally
from reedkin.survival.cox_model.ties import Steps

SMALL_TABLE = 10_000
"""Up to so many steps x rows, the table is as fast as the running sums."""

_LOST = 1e-7
"""Where a running sum falls to this part of what it was, too few digits are left."""


class Risks(Protocol):
    """log_total (m,) the log of the sum of weights at each step; mean (p, m) the means of the covariates under them."""

    @property
    def log_total(self) -> FloatArray: ...

    @property
    def mean(self) -> FloatArray: ...

    def information(self, importance: FloatArray | None = None) -> FloatArray:
        """(p, p) the sum over steps, each of some importance (m,) or all of 1, of the covariates' covariance."""

    def root(self, information: FloatArray) -> FloatArray:
        """(p, p) lower triangular L with L L' the information, which is given. Raises LinAlgError if it is singular."""

    def trace(self, root: FloatArray) -> FloatArray:
        """
        (p,) the trace of I^-1 dI/db_r, I the information, L = `root` (p, p) with L L' = I.

        With z = L^-1 x and its mean zm_s it is the sum over steps of E_s[|z - zm_s|^2 (x_r - mean_s)].
        """

    def lived(self) -> tuple[FloatArray, FloatArray]:
        """For each row, the hazard that it lived through (r,): how many events were to be expected of it; and (p, r)
        the same, each step's share times how far the covariates lie from their mean there."""

    def shares(self, place: IntArray, size: int) -> FloatArray:
        """(m, size) the share that the rows of each of so many groups have of the risk at each step; place (r,) is the
        group of each row."""


@dataclass(frozen=True, eq=False)
class RunningRisks:
    """
    weight (r,) is exp(x'b) over its largest, total (m,) its sum at each step, hazard (r,) a row's weight times the
    hazard that it lived through.
    """

    steps: Steps
    covariates: FloatArray
    log_total: FloatArray
    mean: FloatArray
    weight: FloatArray
    total: FloatArray
    hazard: FloatArray
    exact: bool

    @classmethod
    def of(cls, steps: Steps, covariates: FloatArray, score: FloatArray) -> RunningRisks | None:
        """From scores x'b (r,). None where the weights at some step are all too small for a float."""
        shift = float(score.max())
        weight = np.exp(score - shift)
        total = steps.sums(weight)
        largest_so_far = np.maximum.accumulate(total[::-1])[::-1]
        exact = bool(np.any(total < _LOST * largest_so_far))
        if exact:
            total = steps.sums(weight, exact)
            if not total.min() > np.finfo(float).tiny / np.finfo(float).eps:
                return None
        mean = np.empty((len(covariates), len(total)))
        # One covariate at a time: what a column needs then stays in the processor's cache.
        for covariate, out in zip(covariates, mean, strict=True):
            np.divide(steps.sums(covariate * weight, exact), total, out=out)
        hazard = weight * steps.spread(1.0 / total, exact)
        return cls(steps, covariates, shift + np.log(total), mean, weight, total, hazard, exact)

    def information(self, importance: FloatArray | None = None) -> FloatArray:
        """As `Risks` says."""
        if importance is None:
            return gram(self.covariates, self.hazard) - gram(self.mean)
        hazard = self.weight * self.steps.spread(importance / self.total, self.exact)
        return gram(self.covariates, hazard) - gram(self.mean, importance)

    def root(self, information: FloatArray) -> FloatArray:
        """As `Risks` says."""
        return np.asarray(np.linalg.cholesky(information), dtype=np.float64)

    def trace(self, root: FloatArray) -> FloatArray:
        """
        As `Risks` says. Multiplied out, E[|z - zm|^2 (x_r - mean)] is E[|z|^2 x_r] - E[|z|^2] mean
        - 2 sum_j zm_j (E[z_j x_r] - zm_j mean): the terms with x_r are sums over rows, the others sums over steps.
        """
        inverse = np.linalg.inv(root)
        z = np.einsum("ij,jn->in", inverse, self.covariates)
        z_mean = np.einsum("ij,jm->im", inverse, self.mean)
        length = np.einsum("ij,ij->j", z, z)
        mean_length = self.steps.sums(self.weight * length, self.exact) / self.total
        across = np.zeros(len(self.weight))
        for covariate, mean in zip(z, z_mean, strict=True):
            across += covariate * self.steps.spread(mean / self.total, self.exact)
        by_row = self.hazard * length - 2.0 * self.weight * across
        by_step = 2.0 * np.einsum("ij,ij->j", z_mean, z_mean) - mean_length
        return along(self.covariates, by_row) + along(self.mean, by_step)

    def lived(self) -> tuple[FloatArray, FloatArray]:
        """As `Risks` says."""
        means = np.array([self.steps.spread(mean / self.total, self.exact) for mean in self.mean])
        return self.hazard, self.covariates * self.hazard - self.weight * means

    def shares(self, place: IntArray, size: int) -> FloatArray:
        """As `Risks` says, but that what is partly gone in a tie counts whole."""
        risk = self.steps.risk
        come, gone = (
            tally(at * size + place, self.weight, (risk.sets + 1) * size).reshape(-1, size)
            for at in (risk.first, risk.last)
        )
        return np.cumsum(come - gone, axis=0).take(risk.dead_set, axis=0) / self.total[:, None]


@dataclass(frozen=True, eq=False)
class TableRisks:
    """chance (m x r,) the weights at each step, made to add up to 1; apart (p, m x r) each covariate less its mean."""

    log_total: FloatArray
    mean: FloatArray
    chance: FloatArray
    apart: FloatArray

    @classmethod
    def of(cls, steps: Steps, covariates: FloatArray, score: FloatArray) -> TableRisks:
        """From scores x'b (r,). Each step has a largest weight of its own, so none is ever too small."""
        counts = steps.table
        largest = np.where(counts > 0.0, score, -np.inf).max(axis=1)
        weight = counts * np.exp(np.minimum(score - largest[:, None], 0.0))
        total = weight.sum(axis=1)
        chance = weight / total[:, None]
        mean = covariates @ chance.T
        apart = covariates[:, None, :] - mean[:, :, None]
        return cls(largest + np.log(total), mean, chance.ravel(), apart.reshape(len(covariates), -1))

    def information(self, importance: FloatArray | None = None) -> FloatArray:
        """As `Risks` says."""
        if importance is None:
            return gram(self.apart, self.chance)
        return gram(self.apart, self.chance * np.repeat(importance, len(self.chance) // len(importance)))

    def root(self, information: FloatArray) -> FloatArray:
        """As `Risks` says, but by rotations and not from the information: they keep twice the digits."""
        _, upper = np.linalg.qr((self.apart * np.sqrt(self.chance)).T)
        lower = np.asarray((upper * np.sign(np.diag(upper))[:, None]).T, dtype=np.float64)
        if len(lower) != len(self.apart) or not np.all(np.diag(lower) > 0.0):
            raise np.linalg.LinAlgError("The information is singular.")
        return lower

    def trace(self, root: FloatArray) -> FloatArray:
        """As `Risks` says."""
        z = np.einsum("ij,jn->in", np.linalg.inv(root), self.apart)
        return along(self.apart, self.chance * np.einsum("ij,ij->j", z, z))

    def lived(self) -> tuple[FloatArray, FloatArray]:
        """As `Risks` says."""
        shape = len(self.log_total), -1
        chance, apart = self.chance.reshape(shape), self.apart.reshape(len(self.apart), *shape)
        return chance.sum(axis=0), (apart * chance).sum(axis=1)

    def shares(self, place: IntArray, size: int) -> FloatArray:
        """As `Risks` says."""
        found = np.zeros((size, len(self.log_total)))
        np.add.at(found, place, self.chance.reshape(len(self.log_total), -1).T)
        return found.T


def risks_at(steps: Steps, covariates: FloatArray, beta: FloatArray) -> Risks | None:
    """The risks of rows with covariates (p, r) at coefficients beta (p,); None where floats cannot hold them."""
    score = np.einsum("i,in->n", beta, covariates)
    if not np.isfinite(score).all():
        return None
    if steps.cells <= SMALL_TABLE:
        return TableRisks.of(steps, covariates, score)
    return RunningRisks.of(steps, covariates, score)
