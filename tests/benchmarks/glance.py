"""A quick glance at all habits of a log at one moment: which of them are worth the exact question.

The proof looks at a log thirty times, and nearly every look finds nothing. A glance takes one step of the regression
from no effect (the score test: Rao 1948, Proceedings of the Cambridge Philosophical Society 44:50-57) for all habits of
a study that is read once, and the report itself is asked only of those that such a step does not leave far from clear.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from reedkin.answers.habits.effects import beside_use
from reedkin.study.habits import HABITS, Habit
from reedkin.study.rows import Rows
from reedkin.study.study import Study
from reedkin.survival import evidence

PROMISING = 0.5
"""The chance at a glance from which the report is asked: far below 0.80, the least told of; a step is not exact."""

_FEWEST = 5

Floats = NDArray[np.float64]


class Glance:
    """Looks at a study, read once, as it stood at any moment."""

    def __init__(self, study: Study) -> None:
        self._began = study.playings.start
        self._rows = study.rows("hours")
        self._columns = [(habit, list(_columns(study, habit, self._rows))) for habit in HABITS]

    def promising(self, until: int) -> list[Habit]:
        """The habits that may lean or be clear at a moment (minutes since the epoch), by what was played before."""
        rows = self._rows
        seen = np.flatnonzero(self._began[rows.playing] <= until)
        stop, stratum = rows.stop[seen], rows.stratum[seen]
        times = np.array(sorted({*zip(stratum[rows.event[seen]], stop[rows.event[seen]], strict=True)}))
        if len(times) < _FEWEST:
            return []
        same = times[:, :1] == stratum
        at_risk = (same & (rows.start[seen] < times[:, 1:]) & (times[:, 1:] <= stop)).astype(float)
        died = (same & rows.event[seen] & (times[:, 1:] == stop)).astype(float)
        return [
            habit
            for habit, each in self._columns
            if any(_chance(columns[seen], at_risk, died) >= PROMISING for columns in each)
        ]


def _columns(study: Study, habit: Habit, rows: Rows) -> Iterator[Floats]:
    """(n, columns) a habit and what stands beside it; of a category, each word that five reeds have."""
    if habit.measure != "category":
        yield np.column_stack((study.numbers(habit, rows), *beside_use(study, habit, rows, "hours")))
        return
    words = study.words(habit, rows)
    for word in np.unique(words):
        if word and rows.reeds(words == word) >= _FEWEST:
            yield np.where(words == "", np.nan, words == word).astype(float)[:, None]


def _chance(columns: Floats, at_risk: Floats, died: Floats) -> float:
    """The chance that one step from no effect leaves."""
    known = ~np.isnan(columns).any(axis=1)
    if not known.any():
        return 0.0
    columns = np.where(known[:, None], columns - columns[known].mean(axis=0), 0.0)
    wide = columns.shape[1]
    second = (columns[:, :, None] * columns[:, None, :]).reshape(len(columns), -1)
    sums = at_risk @ np.column_stack((known, columns, second))
    own = died @ np.column_stack((known, columns))
    count = np.maximum(sums[:, 0], 1.0)
    mean = sums[:, 1 : wide + 1] / count[:, None]
    spread = sums[:, wide + 1 :].reshape(-1, wide, wide) / count[:, None, None] - mean[:, :, None] * mean[:, None, :]
    score = (own[:, 1:] - own[:, :1] * mean).sum(axis=0)
    information = (own[:, 0, None, None] * spread).sum(axis=0)
    kept = np.flatnonzero(np.diag(information) > 1e-9)
    if 0 not in kept or own[:, 0].sum() < _FEWEST:
        return 0.0
    inverse = np.linalg.pinv(information[np.ix_(kept, kept)])
    if inverse[0, 0] <= 0:
        return 0.0
    z = float(inverse[0] @ score[kept]) / math.sqrt(inverse[0, 0])
    told = float(own[:, 0].sum() / (inverse[0, 0] * information[0, 0]))
    return evidence(z, told).chance
