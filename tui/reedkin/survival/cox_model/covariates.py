"""Covariates made ready for a fit: centred within strata, of one size, and refused where they cannot be told apart."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from reedkin.survival.arrays import FloatArray, tally
from reedkin.survival.errors import StatisticsError
from reedkin.survival.risk_sets import RiskSets

_NOTHING = 1e-9
"""A share of a variance that rounding alone could leave."""
_ROUNDING = 1e-13
"""A share of a value that rounding alone could leave when the mean is taken away."""
_SMALLEST, _LARGEST = 1e-100, 1e100
"""Sizes whose squares a float can hold."""


@dataclass(frozen=True, eq=False)
class Scaled:
    """
    values (p, r), of mean 0 in each stratum and mean square 1, one column for each of `risk.rows`; scale (p,) the size
    that each had. A coefficient of `values` is `scale` times the coefficient of the covariate itself.

    Neither step changes the fit: within a risk set only differences count. Both keep digits.
    """

    values: FloatArray
    scale: FloatArray

    @classmethod
    def of(cls, risk: RiskSets, covariates: FloatArray) -> Scaled:
        """From covariates (n, p) of all rows; StatisticsError where one is not finite or never varies."""
        values = np.ascontiguousarray(covariates[risk.rows].T)
        scale = np.empty(len(values))
        stratum = risk.row_stratum
        members = np.maximum(np.bincount(stratum), 1)
        for which, column in enumerate(values):
            peak = float(np.abs(column).max())
            if not np.isfinite(peak):
                raise StatisticsError(f"Covariate {which + 1} has missing or infinite values: leave those rows out.")
            # Division first, so that neither a sum nor a square can overflow.
            column /= peak or 1.0
            column -= (tally(stratum, column, len(members)) / members)[stratum]
            size = float(np.sqrt(np.mean(column * column)))
            if size < _ROUNDING:
                raise _constant(which)
            column /= size
            scale[which] = peak * size
            if not _SMALLEST < scale[which] < _LARGEST:
                raise StatisticsError(f"Covariate {which + 1} is too large or too small: choose another unit for it.")
        return cls(values, scale)


def refuse_unidentified(information: FloatArray) -> None:
    """
    StatisticsError unless the information (p, p), at coefficients of zero, determines every coefficient.

    Whether it does is the same at any coefficients, since everyone at risk has some weight at all of them.
    """
    own = np.diag(information)
    for which in np.flatnonzero(own < _NOTHING):
        raise _constant(int(which))
    correlation = information / np.sqrt(np.outer(own, own))
    values, vectors = np.linalg.eigh(correlation)
    if values[0] < _NOTHING:
        mixed = np.flatnonzero(np.abs(vectors[:, 0]) > 1e-3) + 1
        raise StatisticsError(
            f"Covariates {', '.join(map(str, mixed))} follow from one another: leave one of them out."
        )


def _constant(which: int) -> StatisticsError:
    return StatisticsError(
        f"Covariate {which + 1} never differs between reeds in service together when one was retired: leave it out."
    )
