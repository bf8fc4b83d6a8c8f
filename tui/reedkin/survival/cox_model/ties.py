"""
Events that share a time. Efron 1977, JASA 72:557-565: of d reeds retired together, the l-th (l = 0, ..., d - 1) leaves
a risk set from which the share l / d of all d has already gone. Breslow 1974, Biometrics 30:89-99: each from the whole.
"""

from __future__ import annotations

from functools import cached_property
from typing import Literal

import numpy as np

from reedkin.survival.arrays import FloatArray, IntArray, tally
from reedkin.survival.errors import StatisticsError
from reedkin.survival.risk_sets import RiskSets

Ties = Literal["efron", "breslow"]


class Steps:
    """
    One step for each of the m events, in the order of `risk.dead`, and sums over who is at risk at each.

    A row counts for 1 in the steps that it is at risk in, but for 1 - l / d in step l of its own tie. `sums` goes from
    rows to steps and `spread` is its adjoint, from steps to rows: everything in a Cox fit is made of these two.
    """

    def __init__(self, risk: RiskSets, ties: Ties) -> None:
        if ties not in ("efron", "breslow"):
            raise StatisticsError(f"Ties are handled by 'efron' or 'breslow', and not by {ties!r}.")
        self.risk = risk
        self.gone: FloatArray | None = None
        tied = risk.events > risk.sets
        self._set: IntArray | None = risk.dead_set if tied else None
        if tied and ties == "efron":
            order_in_tie = np.arange(risk.events) - risk.set_start[risk.dead_set]
            self.gone = order_in_tie / risk.deaths[risk.dead_set]

    @property
    def cells(self) -> int:
        """The size of `table`."""
        return self.risk.events * len(self.risk.rows)

    @cached_property
    def table(self) -> FloatArray:
        """(m, r) what each row counts for in each step, written out."""
        risk = self.risk
        step = risk.dead_set[:, None]
        counts = ((risk.first <= step) & (step < risk.last)).astype(np.float64)
        if self.gone is not None:
            own = np.full(len(risk.rows), -1)
            own[risk.dead] = risk.dead_set
            counts -= (own == step) * self.gone[:, None]
        return counts

    def sums(self, values: FloatArray, exact: bool = False) -> FloatArray:
        """At each step, the sum of the values (r,) of the rows at risk: (m,)."""
        steps = self._each(self.risk.over_rows(values, exact))
        if self.gone is not None:
            steps -= self.gone * self._each(self._by_set(values.take(self.risk.dead)))
        return steps

    def spread(self, values: FloatArray, exact: bool = False) -> FloatArray:
        """For each row, the sum of the values (m,) of the steps that it is at risk in: (r,)."""
        rows = self.risk.over_sets(self._by_set(values), exact)
        if self.gone is not None:
            rows[self.risk.dead] -= self._each(self._by_set(self.gone * values))
        return rows

    def _each(self, sets: FloatArray) -> FloatArray:
        return sets if self._set is None else sets.take(self._set)

    def _by_set(self, steps: FloatArray) -> FloatArray:
        return steps if self._set is None else tally(self._set, steps, self.risk.sets)
