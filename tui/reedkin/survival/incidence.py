"""Several ways for a life to end: the share of reeds ended by each cause, when the others are also at work."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from reedkin.survival.arrays import FloatArray, IntArray, same_length
from reedkin.survival.errors import StatisticsError
from reedkin.survival.life_table import LifeTable


@dataclass(frozen=True, eq=False)
class CumulativeIncidence:
    """
    time       (k,) the times at which reeds ended by any cause, ascending.
    incidence  for each cause, (k,) the share of reeds ended by it at or before each time. With the curve of those still
               in service, `survival` (k,), the shares of all causes add up to 1.
    se         for each cause, (k,) the standard errors of `incidence`.
    at_risk    (k,) reeds under observation just before each time.
    counts     for each cause, how many reeds it ended.
    start, warnings: as of a survival curve.
    """

    time: FloatArray
    incidence: Mapping[Any, FloatArray]
    se: Mapping[Any, FloatArray]
    survival: FloatArray
    at_risk: IntArray
    counts: Mapping[Any, int]
    start: float
    warnings: tuple[str, ...]

    def at(self, cause: Hashable, when: float) -> float:
        """The share of reeds ended by `cause` at or before `when`; 0 before the first end."""
        place = int(np.searchsorted(self.time, when, side="right"))
        return float(self.incidence[cause][place - 1]) if place else 0.0


def cumulative_incidence(
    time: ArrayLike, cause: ArrayLike | Sequence[Hashable], entry: ArrayLike | None = None
) -> CumulativeIncidence:
    """
    The Aalen-Johansen estimate for n reeds: Aalen & Johansen 1978, Scandinavian Journal of Statistics 5:141-150.

    time (n,) and entry (n,): as for `kaplan_meier`. cause (n,): a word or number for what ended each reed; None, an
    empty word, 0, False and NaN all mean that it was still under observation. Causes come sorted, or in order of first
    appearance where they cannot be compared. Raises StatisticsError as `kaplan_meier` does.
    """
    causes = _causes(cause)
    happened = np.array([one is not None for one in causes], dtype=bool)
    same_length(len(np.atleast_1d(np.asarray(time))), causes=causes)
    table = LifeTable.of(time, happened, entry)
    ended = [causes[row] for row in table.rows.tolist()]
    survival = table.survival
    before = np.concatenate(([1.0], survival[:-1]))
    incidence: dict[Any, FloatArray] = {}
    se: dict[Any, FloatArray] = {}
    for name in _in_order(ended):
        chosen = np.array([one == name for one in ended], dtype=bool)
        deaths = np.bincount(table.place[chosen], minlength=len(table.time))
        incidence[name] = np.cumsum(before * deaths / table.at_risk)
        se[name] = _standard_error(table, incidence[name], before, deaths)
    return CumulativeIncidence(
        time=table.time,
        incidence=incidence,
        se=se,
        survival=survival,
        at_risk=table.at_risk,
        counts={name: ended.count(name) for name in incidence},
        start=table.start,
        warnings=table.warnings,
    )


def _standard_error(table: LifeTable, incidence: FloatArray, before: FloatArray, deaths: IntArray) -> FloatArray:
    """
    By the delta method: Marubini & Valsecchi 1995, Analysing Survival Data, 10.2. At t it is the sum over times u <= t
    of (I(t) - I(u))^2 d / (n (n - d)), and of S(u-)^2 c (n - c) / n^3, less twice (I(t) - I(u)) S(u-) c / n^2, where c
    of the d ends at u have this cause. The squares are multiplied out so that running sums do for every t at once.
    """
    n = table.at_risk.astype(np.float64)
    g = table.greenwood
    cross = before * deaths / n**2
    own = before**2 * deaths * (n - deaths) / n**3
    squared = incidence**2 * np.cumsum(g) - 2.0 * incidence * np.cumsum(g * incidence) + np.cumsum(g * incidence**2)
    crossed = incidence * np.cumsum(cross) - np.cumsum(incidence * cross)
    variance = squared + np.cumsum(own) - 2.0 * crossed
    return np.sqrt(np.maximum(variance, 0.0))


def _causes(cause: ArrayLike | Sequence[Hashable]) -> list[Any]:
    """The causes as a list, with None for each reed still under observation."""
    listed = np.asarray(cause).tolist() if isinstance(cause, np.ndarray) else list(cause)  # type: ignore[arg-type]
    if any(isinstance(one, list) for one in listed):
        raise StatisticsError("The causes must be a plain list with one for each reed.")
    return [None if one is None or one != one or not one else one for one in listed]


def _in_order(causes: list[Any]) -> list[Any]:
    distinct = list(dict.fromkeys(causes))
    try:
        return sorted(distinct)
    except TypeError:
        return distinct
