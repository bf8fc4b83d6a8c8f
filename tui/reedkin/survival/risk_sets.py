"""
Who was under observation at each event: the one structure that curves, comparisons and regressions are all built on.

Rows are half-open spells (start, stop]: a row is at risk at t when start < t <= stop, and a reed may have many rows.
Each distinct event time of each stratum is a *risk set*, numbered 0 ... sets - 1 by stratum and then by time. A row is
at risk in an unbroken run of them, first <= k < last, so a sum over every risk set is a difference of two running sums
and no loop over events or reeds is needed.

Sorting happens once, in `RiskSets.of`. A covariate with missing values takes `keep(mask)`, which does not sort again.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from reedkin.survival.arrays import (
    BoolArray,
    FloatArray,
    IntArray,
    finite,
    flags,
    labelled,
    same_length,
    tally,
)
from reedkin.survival.errors import StatisticsError
from reedkin.survival.range_tree import RangeTree


@dataclass(frozen=True, eq=False)
class RiskSets:
    """
    The risk sets of n rows. Rows that live through no event tell nothing of risk and are left out of `rows`.

    total      n, the rows given.
    rows       (r,) the rows at risk in some set, as places in the arrays given; the arrays below refer to places in it.
    first,last (r,) row i is at risk in the sets first[i] <= k < last[i].
    dead       (m,) the rows that end in an event, ordered by set.
    dead_set   (m,) the set of each event, ascending.
    time       (sets,) the time of each set.
    stratum    (sets,) its stratum, as a code.
    strata     the labels that the codes stand for.
    """

    total: int
    rows: IntArray
    first: IntArray
    last: IntArray
    dead: IntArray
    dead_set: IntArray
    time: FloatArray
    stratum: IntArray
    strata: tuple[Any, ...]

    @classmethod
    def of(
        cls,
        stop: ArrayLike,
        event: ArrayLike,
        start: ArrayLike | None = None,
        strata: ArrayLike | Sequence[Hashable] | None = None,
    ) -> RiskSets:
        """
        Sort n rows into risk sets.

        stop (n,): when observation of the row ended. event (n,): true or 1 if it ended in an event. start (n,): when it
        began, strictly before stop; None if every row was watched from the beginning. strata (n,): labels; rows of
        different strata are never compared. Raises StatisticsError for lengths that differ, values that are missing,
        infinite or negative, and a start that is not before its stop.
        """
        ends, happened, begins = spells(stop, event, start)
        codes, names = _strata(strata, len(ends))
        times = np.unique(ends[happened])
        stride = len(times) + 1
        reached = np.searchsorted(times, ends, side="right")
        keys, dead_set = np.unique(codes[happened] * stride + reached[happened], return_inverse=True)
        passed = np.zeros(len(ends), dtype=np.intp) if begins is None else np.searchsorted(times, begins, side="right")
        first, last = passed, reached
        if len(names) > 1:
            first = np.searchsorted(keys, codes * stride + passed, side="right")
            last = np.searchsorted(keys, codes * stride + reached, side="right")
        order = np.argsort(dead_set, kind="stable")
        everyone = cls(
            total=len(ends),
            rows=np.arange(len(ends)),
            first=first,
            last=last,
            dead=np.flatnonzero(happened)[order],
            dead_set=dead_set[order],
            time=times[keys % stride - 1] if len(keys) else np.empty(0),
            stratum=keys // stride,
            strata=names,
        )
        return everyone._without_idle_rows()

    @property
    def sets(self) -> int:
        """How many risk sets there are."""
        return len(self.time)

    @property
    def events(self) -> int:
        """How many rows end in an event."""
        return len(self.dead)

    @cached_property
    def set_start(self) -> IntArray:
        """(sets,) where the events of each set begin in `dead`."""
        return np.searchsorted(self.dead_set, np.arange(self.sets))

    @cached_property
    def deaths(self) -> IntArray:
        """(sets,) how many events each set has."""
        return np.bincount(self.dead_set, minlength=self.sets)

    @cached_property
    def at_risk(self) -> IntArray:
        """(sets,) how many rows are at risk in each set."""
        return self.counts(np.ones(len(self.rows), dtype=bool))

    @cached_property
    def row_stratum(self) -> IntArray:
        """(r,) the stratum of each row, as a code."""
        return self.stratum[self.first]

    @cached_property
    def tree(self) -> RangeTree:
        """The slow and exact way to the sums of `over_rows` and `over_sets`."""
        return RangeTree(self.first, self.last, self.sets)

    def counts(self, chosen: BoolArray) -> IntArray:
        """(sets,) how many of the chosen (r,) rows are at risk in each set."""
        change = np.bincount(self.first[chosen], minlength=self.sets + 1)
        change -= np.bincount(self.last[chosen], minlength=self.sets + 1)
        return np.cumsum(change[: self.sets])

    def over_rows(self, values: FloatArray, exact: bool = False) -> FloatArray:
        """
        In each set, the sum of the values (r,) of the rows at risk: (sets,).

        The running sum goes from the last set to the first, since later sets are as a rule the smaller ones, and a
        small sum must not be what is left over from a large one. Where weights differ so much that even this loses
        digits, ask for `exact`.
        """
        if exact:
            return self.tree.sums(values)
        change = tally(self.last, values, self.sets + 1)
        change -= tally(self.first, values, self.sets + 1)
        return np.cumsum(change[:0:-1])[::-1]

    def over_sets(self, values: FloatArray, exact: bool = False) -> FloatArray:
        """For each row, the sum of the values (sets,) of the sets that it is at risk in: (r,)."""
        if exact:
            return self.tree.totals(values)
        running = np.zeros(self.sets + 1)
        np.cumsum(values, out=running[1:])
        rows = running.take(self.last)
        rows -= running.take(self.first)
        return rows

    def keep(self, mask: BoolArray) -> RiskSets:
        """
        The risk sets of the rows where the mask (n,) is true, as if the others had never been given.

        Row numbers (`rows`, `total`) still refer to the arrays first given. Takes time in proportion to n.
        """
        if len(mask) != self.total or mask.dtype != np.bool_:
            raise StatisticsError(f"A mask needs true or false for each of the {self.total} rows.")
        chosen = mask[self.rows]
        if chosen.all():
            return self
        dead = chosen[self.dead]
        still = np.zeros(self.sets, dtype=bool)
        still[self.dead_set[dead]] = True
        new_set = np.concatenate(([0], np.cumsum(still)))
        new_row = np.cumsum(chosen) - 1
        kept = RiskSets(
            total=self.total,
            rows=self.rows[chosen],
            first=new_set[self.first[chosen]],
            last=new_set[self.last[chosen]],
            dead=new_row[self.dead[dead]],
            dead_set=new_set[self.dead_set[dead]],
            time=self.time[still],
            stratum=self.stratum[still],
            strata=self.strata,
        )
        return kept._without_idle_rows()

    def _without_idle_rows(self) -> RiskSets:
        """The same, less the rows that are at risk in no set."""
        busy = self.first < self.last
        if busy.all():
            return self
        return RiskSets(
            total=self.total,
            rows=self.rows[busy],
            first=self.first[busy],
            last=self.last[busy],
            dead=(np.cumsum(busy) - 1)[self.dead],
            dead_set=self.dead_set,
            time=self.time,
            stratum=self.stratum,
            strata=self.strata,
        )


def spells(
    stop: ArrayLike, event: ArrayLike, start: ArrayLike | None = None
) -> tuple[FloatArray, BoolArray, FloatArray | None]:
    """The times, events and starts of n rows, checked: see `RiskSets.of` for what is refused."""
    ends = finite(stop, "The times")
    happened = flags(event, "The events")
    begins = None if start is None else finite(start, "The entry times")
    same_length(len(ends), events=happened, entry_times=begins)
    if np.any(ends < 0) or (begins is not None and np.any(begins < 0)):
        raise StatisticsError("A time is negative: count times from when service began.")
    if begins is not None and np.any(begins >= ends):
        row = int(np.argmax(begins >= ends))
        raise StatisticsError(
            f"Row {row + 1} starts at {begins[row]:g} and stops at {ends[row]:g}: it must start before it stops."
        )
    return ends, happened, begins


def _strata(strata: ArrayLike | Sequence[Hashable] | None, rows: int) -> tuple[IntArray, tuple[Any, ...]]:
    if strata is None:
        return np.zeros(rows, dtype=np.intp), (None,)
    codes, names = labelled(strata, "The strata")
    same_length(rows, strata=codes)
    return codes, names
