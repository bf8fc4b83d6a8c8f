"""Estimates of the same thing by several makers, taken together: random effects, since makers differ."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from reedkin.survival.distributions import LEVEL, chi_square_tail, student_quantile
from reedkin.survival.errors import StatisticsError

_STEPS = 200
_CLOSE = 1e-10


@dataclass(frozen=True)
class Combined:
    """
    estimate, se  the mean of the makers and its standard error after Hartung & Knapp.
    ci            its 95% interval, by Student's t on one degree of freedom fewer than there are makers.
    tau2          the variance between makers (0 where they differ by no more than chance).
    prediction    where the next maker's own value lies, 95%.
    q, p          Cochran's test that all makers are alike; i2 is the part of the scatter that is between them, 0 to 1.
    drawn         each maker's own value (k,) drawn towards the mean as far as it is uncertain; drawn_se (k,) beside.
    """

    estimate: float
    se: float
    ci: tuple[float, float]
    tau2: float
    prediction: tuple[float, float]
    q: float
    p: float
    i2: float
    drawn: tuple[float, ...]
    drawn_se: tuple[float, ...]


def combine(estimates: Sequence[float], variances: Sequence[float]) -> Combined:
    """
    Combine estimates (k,) with their sampling variances (k,), k at least 2, by REML and with the interval of Hartung &
    Knapp.

    REML: Viechtbauer 2005, Journal of Educational and Behavioral Statistics 30:261-293. The interval: Hartung & Knapp
    2001, Statistics in Medicine 20:3875-3889; never narrower than the plain one, as Jackson et al. 2017, Statistics in
    Medicine 36:3923-3934, advise (all from memory). Raises StatisticsError for fewer than two, or what is no estimate.
    """
    y, v = np.asarray(estimates, dtype=np.float64), np.asarray(variances, dtype=np.float64)
    if y.ndim != 1 or y.shape != v.shape or len(y) < 2:
        raise StatisticsError("To combine takes at least two estimates, each with its variance.")
    if not (np.isfinite(y).all() and np.isfinite(v).all() and (v > 0).all()):
        raise StatisticsError("An estimate must be a number, and its variance a number above 0.")
    tau2 = reml(y, v)
    weights = 1 / (v + tau2)
    mean = float((weights * y).sum() / weights.sum())
    plain = float(1 / weights.sum())
    scatter = float((weights * (y - mean) ** 2).sum() / (len(y) - 1))
    se = math.sqrt(max(scatter, 1.0) * plain)
    wide = student_quantile(0.5 + LEVEL / 2, len(y) - 1)
    next_one = wide * math.sqrt(tau2 + se * se)
    fixed = 1 / v
    q = float((fixed * (y - (fixed * y).sum() / fixed.sum()) ** 2).sum())
    own = tau2 / (tau2 + v)
    return Combined(
        estimate=mean,
        se=se,
        ci=(mean - wide * se, mean + wide * se),
        tau2=tau2,
        prediction=(mean - next_one, mean + next_one),
        q=q,
        p=chi_square_tail(q, len(y) - 1),
        i2=max(0.0, (q - (len(y) - 1)) / q) if q > 0 else 0.0,
        drawn=tuple((own * y + (1 - own) * mean).tolist()),
        drawn_se=tuple(np.sqrt(own * v + (1 - own) ** 2 * plain).tolist()),
    )


def reml(y: np.ndarray[tuple[int], np.dtype[np.float64]], v: np.ndarray[tuple[int], np.dtype[np.float64]]) -> float:
    """The variance between makers that restricted maximum likelihood finds, by Fisher scoring; 0 at the least. The
    likelihood rises at `lo` and falls at `hi`: where scoring would leave these, or swing from one side of the summit
    to the other and back, the middle is tried."""
    tau2 = max(0.0, float(np.var(y, ddof=1) - v.mean()))
    lo, hi = 0.0, math.inf
    for _ in range(_STEPS):
        weights = 1 / (v + tau2)
        total = weights.sum()
        projected = np.diag(weights) - np.outer(weights, weights) / total
        py = projected @ y
        step = float((py @ py - np.trace(projected)) / (projected * projected).sum())
        lo, hi = (max(lo, tau2), hi) if step > 0 else (lo, min(hi, tau2))
        after = tau2 + step
        if abs(step) > (hi - lo) / 2 or not lo <= after <= hi:
            after = (lo + hi) / 2 if hi > _CLOSE else 0.0
        if abs(after - tau2) <= _CLOSE * max(1.0, tau2):
            return after
        tau2 = after
    raise StatisticsError("How much the makers differ cannot be told: their estimates do not settle.")
