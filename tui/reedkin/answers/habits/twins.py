"""Habits that changed together, so that a log cannot tell which of them it is."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from reedkin.study.habits import Habit
from reedkin.study.lives import Clock
from reedkin.study.playings import FloatArray
from reedkin.study.study import Study
from reedkin.survival.arrays import gram

TOGETHER = 0.8
"""Two habits whose correlation among reeds of one instrument is as large cannot be told apart by a log of some hundred
reeds (common practice, no source)."""
_FEWEST = 10
"""So many reeds at least of which both are known."""


def twin_of(study: Study, habit: Habit, others: Iterable[Habit], clock: Clock) -> Habit | None:
    """The one of the others that goes most nearly hand in hand with a habit of making; None where none does so."""
    if not _can_be(habit):
        return None
    found = (
        (_together(study, habit, other, clock), other) for other in others if other is not habit and _can_be(other)
    )
    near = [(together, other) for together, other in found if together >= TOGETHER]
    return max(near, key=lambda pair: pair[0])[1] if near else None


def _can_be(habit: Habit) -> bool:
    return habit.of_making is not None and habit.measure != "category"


def _together(study: Study, one: Habit, other: Habit, clock: Clock) -> float:
    """How far they go together, the same way or each other's contrary: 0 to 1."""
    rows = study.rows(clock, whole=True)
    first, second = (study.numbers(habit, rows) for habit in (one, other))
    known = ~np.isnan(first + second)
    if np.count_nonzero(known) < _FEWEST:
        return 0.0
    stratum = rows.stratum[known]
    first, second = (_beside_mean(values[known], stratum) for values in (first, second))
    squares = gram(np.stack((first, second)))
    size = float(np.sqrt(squares[0, 0] * squares[1, 1]))
    return abs(float(squares[0, 1])) / size if size > 1e-9 else 0.0


def _beside_mean(values: FloatArray, stratum: np.ndarray) -> FloatArray:
    """What is left of the values when the mean of each stratum is taken off."""
    count = np.maximum(np.bincount(stratum), 1)
    return np.asarray(values - (np.bincount(stratum, values) / count)[stratum])
