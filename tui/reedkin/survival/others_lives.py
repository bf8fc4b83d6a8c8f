"""What other makers' reeds say of one more maker's lives and blanks before any of hers is known."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from reedkin.survival.distributions import normal_density
from reedkin.survival.errors import StatisticsError
from reedkin.survival.life_law import MEDIAN, MEDIAN_SD, SHAPE
from reedkin.survival.makers import UNLIKE, tempered

_BETWEEN = 0.25
"""How far makers' median lives are believed to differ: the scale of a half-normal distribution of the standard
deviation of their logarithm (common practice, no source)."""
_LEVELS = np.log(MEDIAN) + np.linspace(-2.0, 2.0, 161)
_DEVIATIONS = np.linspace(0.0, 1.0, 21)
_STRANGE = 1.0
"""The standard deviation, in the logarithm, of the median life of a maker who is unlike the others."""
_ROUNDED = 0.29
"""The standard deviation, in hours, that rounding to whole hours brings with it."""
_LEAST = 0.1
"""Nobody's median life is known better than this, in the logarithm, from others' reeds."""


def median_of_one_more(medians: Sequence[float], worn: Sequence[int]) -> tuple[float, float]:
    """
    What is believed of one more maker's median life: hours, and the standard deviation of their logarithm.

    medians, worn (k,): the others' medians by Kaplan and Meier, in whole hours, and the reeds worn out behind each. The
    variance of the logarithm of such a median of Weibull lives is about 1 / (d (b log 2)^2), with d reeds worn out and
    the shape b. Raises StatisticsError for what is no median.
    """
    half, count = np.asarray(medians, dtype=np.float64), np.asarray(worn, dtype=np.float64)
    if half.shape != count.shape or not (np.isfinite(half).all() and (half > 0).all() and (count >= 1).all()):
        raise StatisticsError("A median life is a number of hours above 0, from one reed or more.")
    variance = tempered(1.0 / (count * (SHAPE * np.log(2.0)) ** 2)) + (_ROUNDED / half) ** 2
    level, deviation = (one.ravel() for one in np.meshgrid(_LEVELS, _DEVIATIONS, indexing="ij"))
    # What is believed of one maker without any other is that of the level and of the deviation together.
    wide = MEDIAN_SD**2 - _BETWEEN**2
    log = -0.5 * (level - np.log(MEDIAN)) ** 2 / wide - 0.5 * (deviation / _BETWEEN) ** 2
    log[deviation == 0.0] -= np.log(2.0)  # the end of the grid, by the trapezoidal rule
    for own, error in zip(np.log(half), variance, strict=True):
        alike = normal_density(own - level, error + deviation**2)
        log = log + np.log((1 - UNLIKE) * alike + UNLIKE * normal_density(own - np.log(MEDIAN), error + _STRANGE**2))
    weight = np.exp(log - log.max())
    weight /= weight.sum()
    middle = float(weight @ level)
    spread = float(np.sqrt(weight @ (deviation**2 + (level - middle) ** 2)))
    return float(np.exp(middle)), max(spread, _LEAST)


def share_of_one_more(good: Sequence[int], settled: Sequence[int], usual: float, worth: float) -> float:
    """The part of one more maker's blanks that comes good: the others' taken together, none of them counting for more
    than three middle ones, and `usual` counting as `worth` blanks."""
    count = np.asarray(settled, dtype=np.float64)
    counted = 1.0 / tempered(1.0 / count) if len(count) else count
    share = np.asarray(good, dtype=np.float64) / np.maximum(count, 1.0)
    return float((usual * worth + share @ counted) / (worth + counted.sum()))
