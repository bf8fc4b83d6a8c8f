"""Reeds in groups, by what they are or by a habit, each group with its survival curve."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from reedkin.study.habits import Habit
from reedkin.study.lives import Clock
from reedkin.study.playings import BoolArray, FloatArray, IntArray
from reedkin.study.rows import Rows, best_watched
from reedkin.study.study import Study
from reedkin.survival import LogRank, StatisticsError, SurvivalCurve, kaplan_meier, logrank

if TYPE_CHECKING:
    from reedkin.contract.lives import GroupJson

FEWEST_EXPECTED = 2.0
"""Retirements to be expected in a group before the log-rank test holds for it. One early end in a group of one or two
reeds looks like a great difference: with twenty such groups beside six larger ones and no difference at all, the test
of all groups finds one in 84 of 100 logs, that of the larger in 6 (by simulation)."""


@dataclass(frozen=True, slots=True)
class Group:
    """n reeds (by id in `reeds`), of which `retired` were retired for wear while in this group, and their curve; begun
    on these `evenings`, numbered as in `Rows` (none where nobody asks)."""

    name: str
    n: int
    retired: int
    curve: SurvivalCurve
    reeds: tuple[str, ...]
    evenings: frozenset[int] = frozenset()

    def to_json(self) -> GroupJson:
        curve = self.curve
        points = zip(curve.time, curve.survival, curve.lo, curve.hi, curve.at_risk, strict=True)
        return {
            "name": self.name,
            "n": self.n,
            "retired": self.retired,
            "median": curve.median,
            "median_ci": list(curve.median_ci),
            "curve": [
                {"t": float(t), "survival": float(s), "lo": float(lo), "hi": float(hi), "at_risk": int(at_risk)}
                for t, s, lo, hi, at_risk in points
            ],
        }


@dataclass(frozen=True, slots=True)
class Grouping:
    """
    The lives in groups. Where a habit in use changes, a reed goes over from one group to the other at that moment
    (Simon & Makuch 1984, Statistics in Medicine 3:35-44), so that each curve shows how reeds fare while in its group.

    split    for a number, the value at which the reeds of each instrument were split: its median.
    test     the log-rank test of the groups among reeds of one instrument (of instruments against each other, if they
             are the groups), as far as they differ by more than the evenings that they are of; None where there is
             nothing to compare, and then `untested` says why.
    larger   the same of the groups that are large enough for it to hold; None where fewer than two are.
    unknown  reeds of which the habit is not known at all.
    """

    by: Habit
    clock: Clock
    groups: tuple[Group, ...]
    split: Mapping[str, float]
    test: LogRank | None
    larger: LogRank | None
    untested: str
    unknown: int


def grouped(study: Study, by: Habit, clock: Clock) -> Grouping:
    """The lives in groups: by a word, by yes or no, or by a number split at its median within each instrument."""
    rows = study.rows_for(by, clock)
    split: dict[str, float] = {}
    if by.measure == "category":
        names = study.words(by, rows)
        order = sorted(set(names.tolist()) - {""}, key=_as_people_count)
    else:
        names, split = _halves(study, by, rows)
        order = [name for name in _half_names(by, split) if name in names]
    groups = [_group(study, rows, name, names == name) for name in order]
    test, larger, untested = None, None, "There is only one group."
    if len(groups) > 1:
        known = names != ""
        strata = None if by.name == "instrument" else rows.stratum[known]
        try:
            test, larger = compared(
                rows.stop[known], rows.event[known], names[known], rows.start[known], strata, rows.life[known],
                rows.evening[known],
            )  # fmt: skip
        except StatisticsError as error:
            untested = str(error)
    unknown = len(set(rows.life.tolist()) - set(rows.life[names != ""].tolist()))
    return Grouping(by, clock, tuple(groups), split, test, larger, "" if test else untested, unknown)


def compared(
    stop: FloatArray, event: BoolArray, names: NDArray[np.str_], start: FloatArray, strata: IntArray | None,
    life: IntArray | None = None, evening: IntArray | None = None,
) -> tuple[LogRank, LogRank | None]:  # fmt: skip
    """
    The log-rank test of all groups, and of those in which at least FEWEST_EXPECTED retirements were to be expected;
    None where fewer than two groups are so large. All arrays are (n,); reeds of one `evening` are not so many reeds, if
    these are given. Raises StatisticsError as `logrank` does.
    """
    test = logrank(stop, event, names, start, strata, life, evening)
    kept = [name for name, expected in zip(test.groups, test.expected, strict=True) if expected >= FEWEST_EXPECTED]
    if len(kept) == len(test.groups):
        return test, test
    chosen = np.isin(names, kept)
    if len(kept) < 2 or not event[chosen].any():
        return test, None
    among, member, together = (None if one is None else one[chosen] for one in (strata, life, evening))
    try:
        return test, logrank(stop[chosen], event[chosen], names[chosen], start[chosen], among, member, together)
    except StatisticsError:
        return test, None  # the larger groups were never under observation together


def curve_of(rows: Rows, chosen: NDArray[np.bool_]) -> SurvivalCurve:
    """The survival curve of the rows chosen by the mask (n,), of which there must be one; reeds of one evening are not
    so many reeds."""
    spells = best_watched(rows.start[chosen], rows.stop[chosen], rows.event[chosen])
    life, evening = rows.life[chosen][spells.where], rows.evening[chosen][spells.where]
    return kaplan_meier(spells.stop, spells.ended, spells.start, life, evening)


def _group(study: Study, rows: Rows, name: str, chosen: NDArray[np.bool_]) -> Group:
    lives = np.unique(rows.life[chosen])
    curve = curve_of(rows, chosen)
    ids = tuple(study.lives[place].reed.id for place in lives)
    return Group(name, len(ids), int(rows.event[chosen].sum()), curve, ids, frozenset(rows.evening[chosen].tolist()))


def _halves(study: Study, by: Habit, rows: Rows) -> tuple[NDArray[np.str_], dict[str, float]]:
    """The name of each row's half, '' where it has none, and the split of each instrument."""
    values = study.numbers(by, rows)
    above = np.full(len(values), np.nan)
    split: dict[str, float] = {}
    for code in np.unique(rows.stratum):
        here = (rows.stratum == code) & ~np.isnan(values)
        if by.measure == "yes":
            above[here] = values[here]
        elif here.any() and (at := _split(values[here])) is not None:
            above[here] = values[here] > at
            split[study.lives[rows.life[np.argmax(here)]].instrument] = at
    low, high = _half_names(by, split)
    return np.where(np.isnan(above), "", np.where(above == 1, high, low)), split


def _split(values: FloatArray) -> float | None:
    """The median; the next lower value if none is above it; None if all are the same."""
    middle = float(np.median(values))
    if (values > middle).any():
        return middle
    lower = values[values < middle]
    return float(lower.max()) if len(lower) else None


def _half_names(by: Habit, split: Mapping[str, float]) -> tuple[str, str]:
    """With one instrument the halves are named by where they part, with several by what they have in common."""
    if len(split) == 1:
        at = by.in_unit(f"{round(next(iter(split.values())), 2):g}")
        return f"{at} or less", f"more than {at}"
    return by.low, by.high


def _as_people_count(name: str) -> tuple[float, str]:
    """The order of names: numbers by size, then words."""
    return (float(name), "") if name.isdecimal() else (math.inf, name.casefold())
