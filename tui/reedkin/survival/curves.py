"""Survival curves: the share of reeds still in service, with its uncertainty, its median and its mean."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import ArrayLike

from reedkin.survival.arrays import FloatArray, IntArray, same_length
from reedkin.survival.cox_model.frailty import LessSure
from reedkin.survival.curve_together import less_sure_curve
from reedkin.survival.distributions import LEVEL, Z, student_quantile
from reedkin.survival.errors import StatisticsError
from reedkin.survival.life_table import LifeTable, lasting
from reedkin.survival.risk_sets import RiskSets

_FAR = 700.0
"""The largest power of e that a float holds, nearly."""

_ROUNDING = 1e-9
"""A product of fractions that should be exactly one half may miss it by rounding."""


@dataclass(frozen=True)
class RestrictedMean:
    """The mean life up to `horizon`, counting a reed that lasts longer as lasting to it; with 95% limits."""

    value: float
    se: float
    lo: float
    hi: float
    horizon: float


@dataclass(frozen=True, eq=False)
class SurvivalCurve:
    """
    A step function that falls at `time`. Times are in the unit of the times given.

    time       (k,) the times at which reeds were retired, ascending. Times at which reeds only went out of view are
               not among them: see `censored`. The curve is 1 before the first.
    survival   (k,) the share still in service just after each time.
    lo, hi     (k,) the 95% limits, by the log-log transform, at that time alone. Where the curve is 0 the formula gives
               none: there lo is 0 and hi is the last limit before, since a share cannot rise again.
    se         (k,) Greenwood's standard error of `survival`; 0 where the curve is 0. Where it is known what was made
               together it is as much larger as that has in common, and the limits are of Student's t.
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
    _table: LifeTable = field(repr=False)

    def at(self, when: ArrayLike) -> FloatArray:
        """The share still in service at each time of `when` (any shape), as an array of the same shape."""
        return _step(self.time, self.survival, 1.0, when)

    def limits_at(self, when: ArrayLike) -> tuple[FloatArray, FloatArray]:
        """The 95% limits at each time of `when`: both 1 before the first retirement, when nothing is yet known."""
        return _step(self.time, self.lo, 1.0, when), _step(self.time, self.hi, 1.0, when)

    def quantile(self, share: float) -> float | None:
        """The first time at which the curve is at or below `share`; None if it never is."""
        return _first_at_or_below(self.time, self.survival, share)

    def lasting(self, age: float) -> SurvivalCurve:
        """
        The curve of reeds that lasted to `age`: its `at(t)` is the chance of lasting to t given that.

        Its median less `age` is what half of such reeds still have before them. Its limits take all for independent,
        whatever was made together. Raises StatisticsError where no reed is known to have lasted so long.
        """
        if age < self.start:
            raise StatisticsError(f"The curve starts at {self.start:g} and says nothing of reeds of {age:g}.")
        if age >= self.last_observed or float(self.at(age)) == 0.0:
            raise StatisticsError(f"No reed is known to have lasted beyond {age:g}.")
        return _curve(lasting(self._table, age))

    def restricted_mean(self, horizon: float | None = None) -> RestrictedMean:
        """
        The mean life up to `horizon` (the end of what is known if None): the area under the curve.

        For a curve that starts late it is the mean of those that lasted to its start. Its variance is the sum over
        events of d / (n (n - d)) times the squared area to the right (Klein & Moeschberger 2003, Survival Analysis,
        4.5), all being taken for independent, whatever was made together. Raises StatisticsError for a horizon before
        the start, or beyond what is known.
        """
        end = self.last_observed if horizon is None else float(horizon)
        gone = bool(len(self.survival)) and self.survival[-1] == 0.0
        if not end > self.start:
            raise StatisticsError(f"The curve starts at {self.start:g}: choose a horizon beyond it.")
        if end > self.last_observed and not gone:
            raise StatisticsError(
                f"No reed was watched beyond {self.last_observed:g}: choose a horizon no longer than that."
            )
        inside = self.time <= end
        edges = np.concatenate(([self.start], self.time[inside], [end]))
        areas = np.diff(edges) * np.concatenate(([1.0], self.survival[inside]))
        to_the_right = areas[:0:-1].cumsum()[::-1]
        value = self.start + float(areas.sum())
        se = float(np.sqrt(np.sum(to_the_right**2 * self._table.greenwood[inside])))
        return RestrictedMean(value, se, max(value - Z * se, self.start), min(value + Z * se, end), end)


def kaplan_meier(
    time: ArrayLike, event: ArrayLike, entry: ArrayLike | None = None, member: IntArray | None = None,
    together: IntArray | None = None,
) -> SurvivalCurve:  # fmt: skip
    """
    The Kaplan-Meier curve of n reeds, one row for each.

    time (n,): how long each was watched, best in whole numbers, since sums of floats break ties. event (n,): true or 1
    if it was retired then, false or 0 if it went out of view. entry (n,): the age at which observation of it began,
    before its time, or None if all were watched from new. Without any retirement the curve has no points and no median.
    member, together (n,): which reed a row is of, where one may have several, and with which others that was made; what
    is made together lasts alike, so that limits are wider (`curve_together`). Without `together` all are taken for
    independent, each row a reed.

    Raises StatisticsError for no reeds, lengths that differ, missing, infinite or negative times, and an entry that is
    not before its time.
    """
    table = LifeTable.of(time, event, entry)
    if together is None or not len(table.time):
        return _curve(table)
    risk = RiskSets.of(time, event, entry)
    member = np.arange(risk.total) if member is None else member
    same_length(risk.total, together=together, member=member)
    return _curve(table, less_sure_curve(risk, member, together, risk.sets - len(table.time)))


def _curve(table: LifeTable, judged: LessSure | None = None) -> SurvivalCurve:
    survival = table.survival
    summed, far = np.cumsum(table.greenwood), Z
    if judged is not None:
        summed, far = summed * judged.factors, student_quantile(0.5 + LEVEL / 2, judged.df)
    alive = survival > 0.0
    lo, hi = np.zeros(len(survival)), np.ones(len(survival))
    shrink = np.exp(np.minimum(far * np.sqrt(summed[alive]) / -np.log(survival[alive]), _FAR))
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
        _table=table,
    )


def _first_at_or_below(time: FloatArray, values: FloatArray, share: float) -> float | None:
    reached = np.flatnonzero(values <= share + _ROUNDING)
    return float(time[reached[0]]) if len(reached) else None


def _step(time: FloatArray, values: FloatArray, before: float, when: ArrayLike) -> FloatArray:
    """The value of a step function at each time of `when`: `before` until the first time."""
    place = np.searchsorted(time, np.asarray(when, dtype=np.float64), side="right")
    return np.asarray(np.concatenate(([before], values))[place])
