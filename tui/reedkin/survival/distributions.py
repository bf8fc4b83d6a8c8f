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


_AS_NORMAL = 1e4
"""With so many degrees of freedom Student's t is normal, but for less than anybody reads."""
_AS_CHI_SQUARE = 1e8
"""With so many below the line an F is a chi-square to seven digits, and logarithms of the gamma function of larger
numbers have lost as many."""
_CLOSE, _MOST_STEPS, _MOST_TERMS = 1e-13, 100, 10_000
_LEAST = 1e-300
"""Floats hold hardly anything smaller."""


def student_p(t: float, df: float) -> float:
    """The chance that Student's t on `df` (above 0, whole or not) degrees of freedom falls at least as far from zero as
    `t`: Abramowitz & Stegun 1964, 26.7.1 with 26.5.27."""
    return two_sided_p(t) if df >= _AS_NORMAL else beta_below(df / (df + t * t), df / 2.0, 0.5)


def student_quantile(probability: float, df: float) -> float:
    """The quantile of Student's t on `df` (above 0) degrees of freedom for a probability from 0.5 to 1: Newton's method
    from that of the normal law, which is nearer; between logarithms, where the far tail is a straight line."""
    normal = normal_quantile(probability)
    if probability < 0.5 or not df > 0.0:
        raise StatisticsError("Student's t needs a probability from 0.5 to 1 and more than no degrees of freedom.")
    if df >= _AS_NORMAL or not normal:
        return normal
    wanted, t = 2.0 * (1.0 - probability), normal
    size = math.lgamma((df + 1.0) / 2.0) - math.lgamma(df / 2.0) - math.log(df * math.pi) / 2.0
    for _ in range(_MOST_STEPS):
        p = student_p(t, df)
        density = math.exp(size - (df + 1.0) / 2.0 * math.log1p(t * t / df))
        step = p * math.log(p / wanted) / (2.0 * t * density)
        t *= math.exp(step)
        if abs(step) < _CLOSE:
            break
    return t


def normal_score(t: float, df: float) -> float:
    """The standard normal value that is as far out as `t` is in Student's t on `df` degrees of freedom."""
    if df >= _AS_NORMAL:
        return t
    return math.copysign(-NormalDist().inv_cdf(max(student_p(t, df), _LEAST) / 2.0), t)


def f_tail(ratio: float, above: int, below: float) -> float:
    """The chance that an F on `above` (whole, at least 1) and `below` (above 0) degrees of freedom exceeds `ratio`:
    Abramowitz & Stegun 1964, 26.6.2 with 26.5.28; with many below it is a chi-square over its degrees of freedom."""
    if below >= _AS_CHI_SQUARE or ratio <= 0.0:
        return chi_square_tail(ratio * above, above)
    return beta_below(below / (below + above * ratio), below / 2.0, above / 2.0)


def beta_below(x: float, a: float, b: float) -> float:
    """The incomplete beta ratio I_x(a, b), a and b above 0: the continued fraction of DLMF 8.17.22, by Lentz's method
    (Thompson & Barnett 1986, Journal of Computational Physics 64:490-509), from the side on which it settles fast."""
    if x <= 0.0 or x >= 1.0:
        return 0.0 if x <= 0.0 else 1.0
    if x > (a + 1.0) / (a + b + 2.0):
        return 1.0 - beta_below(1.0 - x, b, a)
    first = math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log1p(-x)
    found, above, below = 1.0, 1.0, 0.0
    for place in range(_MOST_TERMS):
        m = place // 2
        if not place:
            term = 1.0
        elif place % 2:
            term = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1.0))
        else:
            term = m * (b - m) * x / ((a + 2 * m - 1.0) * (a + 2 * m))
        below = 1.0 / _off_zero(1.0 + term * below)
        above = _off_zero(1.0 + term / above)
        found *= above * below
        if place and abs(above * below - 1.0) < 1e-15:
            break
    return min(math.exp(first) * (found - 1.0) / a, 1.0)


def _off_zero(value: float) -> float:
    return value if abs(value) > _LEAST else _LEAST


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


def chi_square_quantile(probability: float, df: int) -> float:
    """What a chi-square on `df` (whole, at least 1) degrees of freedom stays below with this probability, above 0 and
    below 1, to nine digits: by halves, from bounds that hold it."""
    if not 0.0 < probability < 1.0:
        raise StatisticsError("A quantile needs a probability between 0 and 1.")
    low, high = 0.0, float(df)
    while chi_square_tail(high, df) > 1.0 - probability:
        low, high = high, 2.0 * high
    while high - low > 1e-9 * high:
        middle = (low + high) / 2.0
        low, high = (middle, high) if chi_square_tail(middle, df) > 1.0 - probability else (low, middle)
    return high
