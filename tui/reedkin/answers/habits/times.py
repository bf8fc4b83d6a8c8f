"""A habit among reeds begun at about the same time.

As years go by lives change, with hand, cane and room, and so do habits. Then whatever changed besides seems to lengthen
lives, or to shorten them: in logs of 130 retirements in which lives shorten and ways change with the seasons, though
none matters, some habit was called clear in 7 of 12. So the regression is asked again with the time beside the habit at
which a reed was begun: how lives go with it may bend as often as the log can tell, on each instrument by itself.
"""

from __future__ import annotations

import numpy as np

from reedkin.answers.habits.effects import Effect, Untold, beside_use, effect, one_of, values_of
from reedkin.study.habits import Habit
from reedkin.study.lives import Clock
from reedkin.study.playings import FloatArray
from reedkin.study.rows import Rows
from reedkin.study.study import Study

RETIRED = 20
"""For so many retirements of an instrument one straight piece: with fewer the log cannot tell how lives change, and
hardly tells of any habit."""
_PIECES = 6
"""So many pieces at the most."""


def at_one_time(study: Study, habit: Habit, alone: Effect, clock: Clock) -> Effect | None:
    """
    The effect of a habit with the time beside it; None where there are too few retirements to tell. Raises Untold where
    it changed only as time went on.

    Of lots, which are used up one after another and so are stretches of time themselves, with one straight piece.
    """
    rows = study.rows_for(habit, clock)
    values = values_of(study, habit, rows, alone.word)
    columns = _courses(study, rows, values, 1 if habit.name == "lot" else _PIECES)
    if not columns:
        return None
    try:
        found = effect(rows, values, [*beside_use(study, habit, rows, clock), *columns], sought=False)
    except Untold as why:
        raise Untold("it changed only as time went on: vary it now to tell") from why
    return found if alone.word is None else one_of(found, alone.word, alone.compared)


def _courses(study: Study, rows: Rows, values: FloatArray, most: int) -> list[FloatArray]:
    """Columns (n,) that together make any course over time that is straight between a few bends, on each instrument.
    Between two bends lie as many retirements as between any other two."""
    begun = study.begun[rows.life]
    told = rows.event & ~np.isnan(values)
    columns = []
    for stratum in np.unique(rows.stratum[told]):
        own = rows.stratum == stratum
        ended = begun[own & told]
        pieces = min(len(ended) // RETIRED, most)
        spread = float(ended.std())
        if pieces and spread:
            bends = np.quantile(ended, np.arange(pieces) / pieces)
            columns += [np.where(own, np.maximum(begun - bend, 0.0) / spread, 0.0) for bend in bends]
    return columns
