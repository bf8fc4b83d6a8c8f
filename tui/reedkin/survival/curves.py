"""Survival curves: the share of reeds still in service, with its uncertainty and its median."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from reedkin.survival.arrays import FloatArray, IntArray
from reedkin.survival.distributions import Z
from reedkin.survival.life_table import LifeTable

_ROUNDING = 1e-9
"""A product of fractions that should be exactly one half may miss it by rounding."""


@dataclass(frozen=True, eq=False)
class SurvivalCurve:
    """
    A step function that falls at `time`. Times are in the unit of the times given.

    time       (k,) the times at which reeds were retired, ascending. Times at which reeds only went out of view are
               not among them: see `censored`. The curve is 1 before the first.
    survival   (k,) the share still in service just after each time.
    lo, hi     (k,) the 95% limits, by the log-log transform, at that time alone. Where the curve is 0 the formula gives
               none: there lo is 0 and hi is the last limit before, since a share cannot rise again.
    se         (k,) Greenwood's standard error of `survival`; 0 where the curve is 0.
    at_risk    (k,) reeds under observation just before each time; events (k,) reeds retired then.
    median     the first time at which the curve is at or below one half (so 2, not 2.5, for lives of 1, 2, 3, 4); None
               if it never is.
    median_ci  the first times at which lo and hi are at or below one half, leaving out those where the curve is 0
               (Brookmeyer & Crowley 1982, Biometrics 38:29-41); None for a limit that is not reached.
    n          reeds counted; `start`: the curve is the share of those that lasted to here, 0 but for late entry.
    last_observed: when the longest watched was last seen; beyond it nothing is known unless the curve is 0.
    warnings   plain sentences on what the data cannot tell.
    """

    time: FloatArray
    survival: FloatArray
    lo: FloatArray
    hi: FloatArray
    se: FloatArray
    at_risk: IntArray
    events: IntArray
    censored: FloatArray
    median: float | None
    median_ci: tuple[float | None, float | None]
    n: int
    start: float
    last_observed: float
    warnings: tuple[str, ...]


def kaplan_meier(time: ArrayLike, event: ArrayLike, entry: ArrayLike | None = None) -> SurvivalCurve:
    """
    The Kaplan-Meier curve of n reeds, one row for each.

    time (n,): how long each was watched, best in whole numbers, since sums of floats break ties. event (n,): true or 1
    if it was retired then, false or 0 if it went out of view. entry (n,): the age at which observation of it began,
    before its time, or None if all were watched from new. Without any retirement the curve has no points and no median.
    Raises StatisticsError for no reeds, lengths that differ, missing, infinite or negative times, and an entry that is
    not before its time.
    """
    table = LifeTable.of(time, event, entry)
    survival = table.survival
    summed = np.cumsum(table.greenwood)
    alive = survival > 0.0
    lo, hi = np.zeros(len(survival)), np.ones(len(survival))
    shrink = np.exp(Z * np.sqrt(summed[alive]) / -np.log(survival[alive]))
    lo[alive] = survival[alive] ** shrink
    hi[alive] = survival[alive] ** (1.0 / shrink)
    if alive.any() and not alive.all():
        hi[~alive] = hi[alive][-1]
    return SurvivalCurve(
        time=table.time,
        survival=survival,
        lo=lo,
        hi=hi,
        se=survival * np.sqrt(summed),
        at_risk=table.at_risk,
        events=table.events,
        censored=table.censored,
        median=_first_at_or_below(table.time, survival, 0.5),
        median_ci=(
            _first_at_or_below(table.time[alive], lo[alive], 0.5),
            _first_at_or_below(table.time[alive], hi[alive], 0.5),
        ),
        n=table.n,
        start=table.start,
        last_observed=table.last_observed,
        warnings=table.warnings,
    )


def _first_at_or_below(time: FloatArray, values: FloatArray, share: float) -> float | None:
    reached = np.flatnonzero(values <= share + _ROUNDING)
    return float(time[reached[0]]) if len(reached) else None
