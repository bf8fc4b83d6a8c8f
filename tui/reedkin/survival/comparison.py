"""Are the lives of several groups of reeds alike? The log-rank test."""

from __future__ import annotations

import math
from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from reedkin.survival.arrays import FloatArray, IntArray, labelled, same_length
from reedkin.survival.cox_model.frailty import SharedFrailty, shared_beside
from reedkin.survival.cox_model.risks import risks_at
from reedkin.survival.cox_model.ties import Steps
from reedkin.survival.distributions import f_tail
from reedkin.survival.errors import StatisticsError
from reedkin.survival.risk_sets import RiskSets


@dataclass(frozen=True, eq=False)
class LogRank:
    """
    chi2, df, p  the test that all groups share one hazard (within strata). Where it is known what was made together,
                 chi2 is less by what that has in common, and p that of an F of chi2 / df on df and `below` degrees of
                 freedom; these have no end where nothing in common makes it less sure, and p is chi-square's.
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
    below: float = math.inf


def logrank(
    time: ArrayLike,
    event: ArrayLike,
    group: ArrayLike | Sequence[Hashable],
    entry: ArrayLike | None = None,
    strata: ArrayLike | Sequence[Hashable] | None = None,
    member: IntArray | None = None,
    together: IntArray | None = None,
) -> LogRank:
    """
    Compare the lives of n reeds in two or more groups: Mantel 1966, Cancer Chemotherapy Reports 50:163-170.

    time, event, entry (n,): as for `kaplan_meier`. group (n,): labels. strata (n,): labels; only reeds of one stratum
    are compared. member, together (n,): which reed a row is of, where one may have several, and with which others that
    was made; what is made together lasts alike (`cox_model/frailty.py`), so that groups which go by it differ by that
    alone. Without `together` all are taken for independent.

    The degrees of freedom are the rank of the variance: groups less one, but fewer where a group was never at risk
    beside another when a reed was retired. Raises StatisticsError where that leaves nothing to compare, and whatever
    `RiskSets.of` refuses.
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
    axes = _axes(variance)
    df = len(axes)
    if not df:
        raise StatisticsError("No two groups were ever under observation together when a reed was retired.")
    turned = axes @ (observed - expected)
    chi2, below = float(np.sum(turned**2)), math.inf
    if together is not None:
        same_length(risk.total, together=together)
        beside = _shared(risk, used, len(names), axes, observed - expected, member, together)
        apart, more = np.linalg.eigh(axes @ beside.pulls @ axes.T)
        judged = beside.less_sure(apart)
        chi2, below = float(np.sum((more.T @ turned) ** 2 / judged.factors)), judged.df
    return LogRank(
        chi2=chi2,
        df=df,
        p=f_tail(chi2 / df, df, below),
        groups=names,
        n=np.bincount(codes, minlength=len(names)),
        observed=observed,
        expected=expected,
        variance=variance,
        below=below,
    )


def _axes(variance: FloatArray) -> FloatArray:
    """(rank, g) A, with A'A a generalised inverse of the variance (g, g), so that A times what varies by it varies by
    one in each of as many directions as there are."""
    values, vectors = np.linalg.eigh(variance)
    real = values > 1e-9 * max(float(values.max()), 1e-300)
    return np.asarray(vectors.T[real] / np.sqrt(values[real])[:, None])


def _shared(
    risk: RiskSets, used: IntArray, groups: int, axes: FloatArray, score: FloatArray, member: IntArray | None,
    together: IntArray,
) -> SharedFrailty:  # fmt: skip
    """What is shared beside the groups, `used` (r,) by the rows at risk; the test is that of a Cox model with no
    coefficients, and `axes` make the inverse of its information."""
    steps = Steps(risk, "breslow")
    risks = risks_at(steps, (used == np.arange(groups)[:, None]).astype(np.float64), np.zeros(groups))
    assert risks is not None
    return shared_beside(
        risks, risk, axes.T @ axes, score, np.arange(risk.total) if member is None else member, together
    )
