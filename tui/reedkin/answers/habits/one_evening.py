"""A habit that only the reeds of one evening set apart, so that a log cannot tell it from that evening."""

from __future__ import annotations

import numpy as np

from reedkin.answers.habits.effects import Effect, values_of
from reedkin.study.habits import Habit
from reedkin.study.lives import Clock
from reedkin.study.playings import FloatArray, IntArray
from reedkin.study.rows import Rows
from reedkin.study.study import Study


def goes_by_one_evening(study: Study, habit: Habit, effect: Effect, clock: Clock) -> bool:
    """Whether a habit of making is the same among all reeds of an instrument but those of some one evening, and among
    these."""
    if habit.kind != "making":
        return False
    rows = study.rows_for(habit, clock)
    return any_evening_apart(rows, values_of(study, habit, rows, effect.word))


def any_evening_apart(rows: Rows, values: FloatArray) -> bool:
    """
    The same of values (n,; nan where not known). Where reeds of that evening differ, too, they are compared within it.

    Of two rows that differ one must be of that evening: so two evenings are looked at, however many there are.
    """
    known = np.flatnonzero(~np.isnan(values))
    stratum, evening, own = rows.stratum[known], rows.evening[known], values[known]
    first = np.unique(stratum, return_index=True)[1]
    usual = own[first][np.searchsorted(stratum[first], stratum)]
    differing = np.flatnonzero(own != usual)
    if not len(differing):
        return False
    one = differing[0]
    its_first = first[np.searchsorted(stratum[first], stratum[one])]
    return any(
        all(_alike(stratum, own, (evening == evening[place]) == within) for within in (True, False))
        for place in (one, its_first)
    )


def _alike(stratum: IntArray, values: FloatArray, among: np.ndarray) -> bool:
    """Whether values (n,) are the same within each stratum among those chosen."""
    _, first, code = np.unique(stratum[among], return_index=True, return_inverse=True)
    return bool(np.all(values[among] == values[among][first][code]))
