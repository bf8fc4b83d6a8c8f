"""Many tests at once: the false discovery rate."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from reedkin.survival.arrays import FloatArray, finite
from reedkin.survival.errors import StatisticsError


def benjamini_hochberg(p: ArrayLike) -> FloatArray:
    """
    The adjusted p-values (q-values) of `p` (m,), in the same order: Benjamini & Hochberg 1995, JRSS B 57:289-300.

    Rejecting those at or below q keeps the expected share of false ones among the rejected at or below q. Raises
    StatisticsError for a p outside 0 to 1.
    """
    values = finite(p, "p-values")
    if np.any((values < 0) | (values > 1)):
        raise StatisticsError("p-values must lie between 0 and 1.")
    order = np.argsort(values)[::-1]
    count = len(values)
    rank = np.arange(count, 0, -1)
    adjusted = np.empty(count)
    adjusted[order] = np.minimum.accumulate(values[order] * count / rank)
    return adjusted
