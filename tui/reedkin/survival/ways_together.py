"""Two ways compared in the reeds of several makers, each of whom drew by chance for her own: by the log-rank test,
stratified by maker.

Each maker tells how many more of the second way wore out than if both were alike, and the variance of that. The sums of
both are those of one test in which only reeds of one maker are compared (Mantel 1966, Cancer Chemotherapy Reports
50:163-170), so makers whose reeds last longer, or who tie more of one way, lend nothing to either. The evidence of it
may be looked at at any time (see `evidence`), and so may that of the sums, whoever looks and whenever a maker joins.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from reedkin.survival.distributions import chi_square_tail
from reedkin.survival.errors import StatisticsError
from reedkin.survival.evidence import Evidence
from reedkin.survival.makers import tempered
from reedkin.survival.two_ways import evidence_of_ways, reach


@dataclass(frozen=True, slots=True)
class WaysTogether:
    """
    ratio      how many times as fast lives end with the second way, about (one step from none: Yusuf et al. 1985,
               Progress in Cardiovascular Diseases 27:335-371, from memory); limits: they hold it at every look.
    evidence   that one way is the better.
    p_alike    the p-value that all makers have the same.
    """

    ratio: float
    limits: tuple[float, float]
    evidence: Evidence
    p_alike: float


def ways_together(more_worn: Sequence[float], variances: Sequence[float]) -> WaysTogether | None:
    """
    What the makers (k,) say together: how many more of the second way wore out than expected, and the variances.

    None of them counts for more than three middle ones of the others. None where nobody has anything to compare yet.
    Raises StatisticsError for what no test gives.
    """
    more, variance = np.asarray(more_worn, dtype=np.float64), np.asarray(variances, dtype=np.float64)
    if more.ndim != 1 or more.shape != variance.shape or not (np.isfinite(more).all() and np.isfinite(variance).all()):
        raise StatisticsError("Each maker's test has a difference and its variance.")
    if (variance < 0).any():
        raise StatisticsError("A variance is not below 0.")
    told = variance > 0
    if not told.any():
        return None
    more, variance = more[told], variance[told]
    # What one tells is its variance; tempered as a standard error is, whose square is one over it.
    share = 1.0 / tempered(1.0 / variance) / variance
    more, variance = share * more, share * variance
    sum_more, total = float(more.sum()), float(variance.sum())
    wide = reach(total) / math.sqrt(total)
    middle = sum_more / total
    apart = max(float((more**2 / variance).sum()) - sum_more**2 / total, 0.0)
    return WaysTogether(
        math.exp(middle),
        (math.exp(max(middle - wide, -700.0)), math.exp(min(middle + wide, 700.0))),
        evidence_of_ways(sum_more / math.sqrt(total), total),
        chi_square_tail(apart, len(more) - 1) if len(more) > 1 else 1.0,
    )
