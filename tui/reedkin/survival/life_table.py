"""The counts behind a curve: how many were at risk and how many retired at each time, and where a curve may begin."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from reedkin.survival.arrays import BoolArray, FloatArray, IntArray
from reedkin.survival.errors import StatisticsError
from reedkin.survival.risk_sets import RiskSets, spells


@dataclass(frozen=True, eq=False)
class LifeTable:
    """
    time, at_risk, events (k,): the event times from `start` on, how many were at risk just before and how many retired.
    rows (events,), place (events,): the row of each event that counts, and its place in `time`.
    start: the curve holds for reeds that lasted this long. last_observed: when the longest watched was last seen.
    censored: the times, ascending, at which reeds went out of view alive.
    warnings: plain sentences on what the data cannot tell.
    """

    time: FloatArray
    at_risk: IntArray
    events: IntArray
    rows: IntArray
    place: IntArray
    start: float
    last_observed: float
    censored: FloatArray
    warnings: tuple[str, ...]

    @classmethod
    def of(cls, time: ArrayLike, event: ArrayLike, entry: ArrayLike | None = None) -> LifeTable:
        """
        Count n reeds: time (n,), event (n,) true or 1 if retired then, entry (n,) when observation began, or None.

        With late entry the few that are watched at first may all retire while others are still to come. Their deaths
        would bring the curve to nothing for good, whatever the others do after. The table then starts at the last time
        that this happens, with a warning. Raises StatisticsError for no reeds, and whatever `RiskSets.of` refuses.
        """
        ends, happened, begins = spells(time, event, entry)
        if not len(ends):
            raise StatisticsError("There are no reeds to draw a curve from.")
        risk = RiskSets.of(ends, happened, begins)
        start = 0.0 if begins is None else float(begins.min())
        warnings = (_unseen_before(start),) if start > 0 else ()
        emptied = np.flatnonzero((risk.deaths == risk.at_risk) & (risk.time < ends.max()))
        skip = 0
        if len(emptied):
            skip = int(emptied[-1]) + 1
            start = float(risk.time[skip - 1])
            warnings = (_emptied(int(risk.deaths[skip - 1]), start),)
        counted = risk.dead_set >= skip
        later = (ends > start) | (skip == 0)
        return cls(
            time=risk.time[skip:],
            at_risk=risk.at_risk[skip:],
            events=risk.deaths[skip:],
            rows=risk.rows[risk.dead[counted]],
            place=risk.dead_set[counted] - skip,
            start=start,
            last_observed=float(ends.max()),
            censored=np.sort(ends[later & ~happened]),
            warnings=warnings if begins is None else warnings + _gaps(begins[later], ends[later], start),
        )

    @property
    def n(self) -> int:
        """How many reeds were seen after `start`."""
        return len(self.rows) + len(self.censored)

    @property
    def greenwood(self) -> FloatArray:
        """(k,) the terms d / (n (n - d)) of Greenwood's sum; 0 where nobody is left, where the curve is 0 anyway."""
        left = self.at_risk - self.events
        return np.where(left > 0, self.events / (self.at_risk * np.maximum(left, 1.0)), 0.0)

    @property
    def survival(self) -> FloatArray:
        """(k,) the product-limit estimate after each time: Kaplan & Meier 1958, JASA 53:457-481."""
        return np.asarray(np.cumprod((self.at_risk - self.events) / self.at_risk), dtype=np.float64)


def lasting(table: LifeTable, age: float) -> LifeTable:
    """The table of those that lasted to `age`: what comes after, as if the clock of every one had begun there."""
    after: BoolArray = table.time > age
    skip = int(np.count_nonzero(~after))
    counted = table.place >= skip
    return LifeTable(
        time=table.time[after],
        at_risk=table.at_risk[after],
        events=table.events[after],
        rows=table.rows[counted],
        place=table.place[counted] - skip,
        start=max(age, table.start),
        last_observed=table.last_observed,
        censored=table.censored[table.censored > age],
        warnings=table.warnings,
    )


def _emptied(deaths: int, start: float) -> str:
    who = "The only reed" if deaths == 1 else f"All {deaths} reeds"
    was = "was" if deaths == 1 else "were"
    return (
        f"{who} under observation at {start:g} {was} retired then, while others were still to come: "
        f"the curve starts at {start:g} and holds for reeds that lasted that long."
    )


def _unseen_before(start: float) -> str:
    return f"No reed was under observation before {start:g}: the curve holds for reeds that lasted that long."


def _gaps(begins: FloatArray, ends: FloatArray, start: float) -> tuple[str, ...]:
    """Sentences on the stretches of life after `start` in which nobody was watched."""
    order = np.argsort(begins)
    begun = np.maximum(begins[order], start)
    seen_until = np.maximum.accumulate(np.concatenate(([start], ends[order])))[:-1]
    return tuple(
        f"No reed was under observation from {seen_until[place]:g} to {begun[place]:g}: the curve is flat there for "
        "want of knowledge."
        for place in np.flatnonzero(begun > seen_until)
    )
