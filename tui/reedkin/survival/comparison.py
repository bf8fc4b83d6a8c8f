"""Are the lives of several groups of reeds alike? The log-rank test."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from reedkin.survival.arrays import FloatArray, IntArray, labelled, same_length
from reedkin.survival.distributions import chi_square_tail
from reedkin.survival.errors import StatisticsError
from reedkin.survival.risk_sets import RiskSets


@dataclass(frozen=True, eq=False)
class LogRank:
    """
    chi2, df, p  the test that all groups share one hazard (within strata).
    groups       the labels of the g groups, sorted where they can be; the arrays below are in this order.
    n            (g,) rows in each; observed (g,) retirements; expected (g,) as many as it would have had if alike.
    variance     (g, g) the covariance of observed - expected.
    """

    chi2: float
    df: int
    p: float
    groups: tuple[Any, ...]
    n: IntArray
    observed: FloatArray
    expected: FloatArray
    variance: FloatArray


def logrank(
    time: ArrayLike,
    event: ArrayLike,
    group: ArrayLike | Sequence[Hashable],
    entry: ArrayLike | None = None,
    strata: ArrayLike | Sequence[Hashable] | None = None,
) -> LogRank:
    """
    Compare the lives of n reeds in two or more groups: Mantel 1966, Cancer Chemotherapy Reports 50:163-170.

    time, event, entry (n,): as for `kaplan_meier`. group (n,): labels. strata (n,): labels; only reeds of one stratum
    are compared. The degrees of freedom are the rank of the variance: groups less one, but fewer where a group was
    never at risk beside another when a reed was retired. Raises StatisticsError where that leaves nothing to compare,
    and whatever `RiskSets.of` refuses.
    """
    risk = RiskSets.of(time, event, entry, strata)
    codes, names = labelled(group, "The groups")
    same_length(risk.total, groups=codes)
    if len(names) < 2:
        raise StatisticsError("A comparison needs at least two groups.")
    if not risk.events:
        raise StatisticsError("No reed was retired: there is nothing to compare yet.")
    used = codes[risk.rows]
    at_risk = np.stack([risk.counts(used == code) for code in range(len(names))]).astype(np.float64)
    total = risk.at_risk.astype(np.float64)
    deaths = risk.deaths.astype(np.float64)
    observed = np.bincount(used[risk.dead], minlength=len(names)).astype(np.float64)
    expected = at_risk @ (deaths / total)
    # The hypergeometric variance; a risk set of one has none.
    spread = deaths * (total - deaths) / np.maximum(total - 1.0, 1.0)
    share = at_risk / total
    variance = np.diag(share @ spread) - (share * spread) @ share.T
    chi2, df = _quadratic(observed - expected, variance)
    if not df:
        raise StatisticsError("No two groups were ever under observation together when a reed was retired.")
    return LogRank(
        chi2=chi2,
        df=df,
        p=chi_square_tail(chi2, df),
        groups=names,
        n=np.bincount(codes, minlength=len(names)),
        observed=observed,
        expected=expected,
        variance=variance,
    )


def _quadratic(difference: FloatArray, variance: FloatArray) -> tuple[float, int]:
    """difference' variance^- difference, and the rank of the variance."""
    values, vectors = np.linalg.eigh(variance)
    real = values > 1e-9 * max(float(values.max()), 1e-300)
    turned = vectors.T[real] @ difference
    return float(np.sum(turned**2 / values[real])), int(np.count_nonzero(real))
