"""The quantiles and tails that are needed, from the standard library alone: importing scipy takes half a second."""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from reedkin.survival.arrays import FloatArray
from reedkin.survival.errors import StatisticsError

LEVEL = 0.95
"""The confidence of every interval."""


@dataclass(frozen=True)
class ChiSquareTest:
    """A test whose statistic follows chi-square on `df` degrees of freedom if there is nothing to find."""

    chi2: float
    df: int
    p: float

    @classmethod
    def of(cls, chi2: float, df: int) -> ChiSquareTest:
        """The test of a statistic; one that rounding has put below zero counts as zero."""
        return cls(max(chi2, 0.0), df, chi_square_tail(chi2, df))


def normal_quantile(probability: float) -> float:
    """The standard normal quantile of a probability strictly between 0 and 1."""
    if not 0.0 < probability < 1.0:
        raise StatisticsError(f"A probability must lie between 0 and 1, and {probability} does not.")
    return NormalDist().inv_cdf(probability)


def normal_density(distance: FloatArray, variance: FloatArray | float) -> FloatArray:
    """The density of a normal distribution so far from its mean."""
    return np.asarray(np.exp(-0.5 * distance**2 / variance) / np.sqrt(2 * np.pi * variance))


def normal_cdf(z: float) -> float:
    """The chance that a standard normal falls below `z`."""
    return math.erfc(-z / math.sqrt(2.0)) / 2.0


Z = normal_quantile(0.5 + LEVEL / 2)
"""Half the width of an interval, in standard errors."""


def two_sided_p(z: float) -> float:
    """The chance that a standard normal falls at least as far from zero as `z`."""
    return math.erfc(abs(z) / math.sqrt(2.0))


def chi_square_tail(chi2: float, df: int) -> float:
    """
    The chance that a chi-square on `df` (whole, at least 1) degrees of freedom exceeds `chi2`.

    The closed finite sums of Abramowitz & Stegun 1964, 26.4.4 and 26.4.5: with h = chi2 / 2, exp(-h) times the sum of
    h^j / Gamma(j + 1) over j = 0, 1, ..., df/2 - 1 for an even df; over j = 1/2, 3/2, ..., df/2 - 1, and the normal
    tail added, for an odd one.
    """
    if df < 1:
        raise StatisticsError("A chi-square needs at least one degree of freedom.")
    if chi2 <= 0.0:
        return 1.0
    half = chi2 / 2.0
    odd = df % 2 == 1
    total = math.erfc(math.sqrt(half)) if odd else 0.0
    power = 0.5 if odd else 0.0
    while power < df / 2.0:
        total += math.exp(power * math.log(half) - half - math.lgamma(power + 1.0))
        power += 1.0
    return min(total, 1.0)
