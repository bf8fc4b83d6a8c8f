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

PROMISING, NEARLY_CLEAR = 0.5, 0.7
"""The chances at a glance from which the report is asked whether a habit leans (0.80) or is clear (0.95): lower, since
a step is not exact. The proof's table of the glance tells what is missed so."""

_FEWEST = 5
_NOTHING = 1e-9

Floats = NDArray[np.float64]


class Glance:
    """Looks at a study, read once, as it stood at any moment."""

    def __init__(self, study: Study) -> None:
        self._began = study.playings.start
        self._rows = study.rows("hours")
        columns = [(habit, one) for habit in HABITS for one in _columns(study, habit, self._rows)]
        alone = [(habit, one[:, 0]) for habit, one in columns if one.shape[1] == 1]
        self._alone = [habit for habit, _ in alone], np.column_stack([one for _, one in alone])
        self._beside = [(habit, one) for habit, one in columns if one.shape[1] > 1]

    def promising(self, until: int, least: float) -> list[Habit]:
        """The habits of such a chance at a moment (minutes since the epoch), by what was played before."""
        chances = self.chances(until)
        return [habit for habit in HABITS if chances.get(habit.name, 0.0) >= least]

    def chances(self, until: int) -> dict[str, float]:
        """The chance at a glance of each habit, by its name; empty while too few reeds are retired."""
        rows = self._rows
        seen = np.flatnonzero(self._began[rows.playing] <= until)
        stop, stratum = rows.stop[seen], rows.stratum[seen]
        times = np.array(sorted({*zip(stratum[rows.event[seen]], stop[rows.event[seen]], strict=True)}))
        if len(times) < _FEWEST:
            return {}
        same = times[:, :1] == stratum
        at_risk = (same & (rows.start[seen] < times[:, 1:]) & (times[:, 1:] <= stop)).astype(float)
        died = (same & rows.event[seen] & (times[:, 1:] == stop)).astype(float)
        habits, columns = self._alone
        found = [*zip(habits, _chances(columns[seen], at_risk, died), strict=True)]
        found += [(habit, _chance(columns[seen], at_risk, died)) for habit, columns in self._beside]
        return {habit.name: max(chance for other, chance in found if other is habit) for habit, _ in found}


def _columns(study: Study, habit: Habit, rows: Rows) -> Iterator[Floats]:
    """(n, columns) a habit and what stands beside it; of a category, each word that five reeds have."""
    if habit.measure != "category":
        yield np.column_stack((study.numbers(habit, rows), *beside_use(study, habit, rows, "hours")))
        return
    words = study.words(habit, rows)
    for word in np.unique(words):
        if word and rows.reeds(words == word) >= _FEWEST:
            yield np.where(words == "", np.nan, words == word).astype(float)[:, None]


def _chances(columns: Floats, at_risk: Floats, died: Floats) -> list[float]:
    """The chance that one step from no effect leaves of each column (n, columns) by itself."""
    known = ~np.isnan(columns)
    middle = np.where(known, columns, 0.0).sum(axis=0) / np.maximum(known.sum(axis=0), 1)
    columns = np.where(known, columns - middle, 0.0)
    count, total, squares = (at_risk @ one for one in (known, columns, columns * columns))
    deaths, own = died @ known, died @ columns
    mean = total / np.maximum(count, 1.0)
    score = (own - deaths * mean).sum(axis=0)
    information = (deaths * (squares / np.maximum(count, 1.0) - mean * mean)).sum(axis=0)
    told = deaths.sum(axis=0)
    return [
        evidence(float(score[k]) / math.sqrt(information[k]), float(told[k])).chance
        if information[k] > _NOTHING and told[k] >= _FEWEST
        else 0.0
        for k in range(columns.shape[1])
    ]


def _chance(columns: Floats, at_risk: Floats, died: Floats) -> float:
    """The same of the first of the columns (n, columns), the others being beside it."""
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
    kept = np.flatnonzero(np.diag(information) > _NOTHING)
    if 0 not in kept or own[:, 0].sum() < _FEWEST:
        return 0.0
    inverse = np.linalg.pinv(information[np.ix_(kept, kept)])
    if inverse[0, 0] <= 0:
        return 0.0
    z = float(inverse[0] @ score[kept]) / math.sqrt(inverse[0, 0])
    told = float(own[:, 0].sum() / (inverse[0, 0] * information[0, 0]))
    return evidence(z, told).chance
