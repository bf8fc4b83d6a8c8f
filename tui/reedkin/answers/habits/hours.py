"""What a habit goes with in hours of a reed's life, and what that comes to in blanks a season."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from reedkin.answers.habits.effects import FEWEST_RETIRED, Effect, values_of
from reedkin.study.habits import Habit
from reedkin.study.lives import Clock
from reedkin.study.playings import FloatArray
from reedkin.study.rows import Rows
from reedkin.study.study import Study
from reedkin.survival.weibull import Weibull, weibull

if TYPE_CHECKING:
    from reedkin.contract.lives import HoursLongerJson


@dataclass(frozen=True, slots=True)
class Hours:
    """
    The mean life at `high` of a habit against that at `low`: the maker's own lower and upper quarter among the reeds of
    `instrument`, of which there are most, or the two kinds. In hours played, or in days on the clock of days.

    between     low and high in the habit's `per`, as far as they lie apart.
    mean        the mean life as it is.
    longer      how much longer it is at high than at low; below 0, shorter. lo, hi: its 95% limits; None for one that
                the log does not set.
    blanks      how many fewer blanks a season takes at high than at low; below 0, more. None where the log cannot tell.
    several     whether other instruments have lives too.
    """

    low: float | str
    high: float | str
    between: float
    instrument: str
    several: bool
    mean: float
    longer: float
    lo: float | None
    hi: float | None
    blanks: float | None

    def to_json(self) -> HoursLongerJson:
        return {"from": self.low, "to": self.high, "longer": self.longer, "range": [self.lo, self.hi]}


QUARTER, TENTH = 0.25, 0.1
"""How far from either end of the maker's own values the two lie that are compared."""


_FAR = 50.0
"""The largest log hazard ratio that a mean life is reckoned with."""


def hours_of(study: Study, habit: Habit, effect: Effect, clock: Clock, share: float = QUARTER) -> Hours | None:
    """What an effect comes to in hours; None where it has no end. `share`: so many of her reeds lie beyond either of
    the two values compared."""
    if not 0.0 < effect.hazard_ratio < math.inf:
        return None
    rows = study.rows_for(habit, clock)
    values = values_of(study, habit, rows, effect.word)
    known = ~np.isnan(values)
    # Of a word that reeds have, the instrument that has it most often.
    having = known & (values > 0.0) if habit.measure == "category" else known
    counts = np.bincount(rows.stratum[having])
    here = known & (rows.stratum == int(counts.argmax()))
    own = values[here]
    low, high = (0.0, 1.0) if habit.measure != "number" else _ends(own, share)
    if high <= low:
        return None
    stratum = int(counts.argmax())
    law = _law(study, clock, stratum, _ratios(study, rows, values, effect.hazard_ratio, clock))
    after = 0.0
    if clock == "hours":
        lag = float(study.playings.lag[rows.playing[here][0]]) / 60
        after = lag if habit.lag_hours else habit.from_hours or 0.0
    middle = float(own.mean())

    def lives(ratio: float) -> tuple[float, float]:
        at_low, at_high = (law.mean(_power(ratio, place - middle), after) for place in (low, high))
        return at_low, at_high

    def longer(ratio: float) -> float | None:
        if not 0.0 < ratio < math.inf:
            return None
        at_low, at_high = lives(ratio)
        return at_high - at_low if math.isfinite(at_high - at_low) else None

    found = longer(effect.hazard_ratio)
    if found is None:
        return None
    at_low, at_high = lives(effect.hazard_ratio)
    pace = study.pace
    blanks = None
    # Of one word or none: nobody makes all of a season's reeds of one lot.
    if clock == "hours" and habit.measure != "category" and pace.hours is not None and pace.serves:
        blanks = pace.hours * (1.0 / at_low - 1.0 / at_high) / pace.serves
    instrument = study.lives[int(rows.life[here][0])].instrument
    ends: tuple[float | str, float | str] = (low * habit.scale, high * habit.scale)
    if habit.measure == "yes":
        ends = (habit.low, habit.high)
    elif habit.measure == "category":
        ends = (habit.low, effect.word or habit.high)
    # More of what ends lives faster makes them shorter: the upper limit of the ratio is the lower one of the hours.
    return Hours(
        *ends, high - low, instrument, len(counts[counts > 0]) > 1, _law(study, clock, stratum).mean(), found,
        longer(effect.hi), longer(effect.lo), blanks,
    )  # fmt: skip


def _ends(values: FloatArray, wanted: float) -> tuple[float, float]:
    """The lower and the upper quarter, say; where they are the same, tenths, and then the least and the most."""
    low = high = 0.0
    for share in (wanted, TENTH, 0.0):
        low, high = (float(one) for one in np.quantile(values, (share, 1.0 - share)))
        if high > low:
            break
    return low, high


def _law(study: Study, clock: Clock, stratum: int, ratios: FloatArray | None = None) -> Weibull:
    """The law of the lives of an instrument, or of all while it has few that ended. `ratios`, of each life: how many
    times as fast as by the law it ends."""
    rows = study.rows(clock, whole=True)
    own = rows.stratum == stratum
    if np.count_nonzero(rows.event[own]) < FEWEST_RETIRED:
        own = np.ones(len(own), dtype=bool)
    return weibull(rows.stop[own], rows.event[own], rows.start[own], None if ratios is None else ratios[rows.life[own]])


def _ratios(study: Study, rows: Rows, values: FloatArray, ratio: float, clock: Clock) -> FloatArray:
    """
    How many times as fast each life ends as one with the mean habit of its instrument, by the mean of its own.

    Lives that a habit sets apart are spread wider than those alike in it. A law that took all of that for chance would
    count the habit twice.
    """
    known = ~np.isnan(values)
    life, stratum, time = rows.life[known], rows.stratum[known], (rows.stop - rows.start)[known]
    weights = np.bincount(stratum, time)
    usual = np.bincount(stratum, time * values[known]) / np.where(weights > 0, weights, 1.0)
    own = np.bincount(life, time, minlength=len(study.lives))
    apart = np.bincount(life, time * (values[known] - usual[stratum]), minlength=len(study.lives))
    return np.exp(np.clip(math.log(ratio) * apart / np.where(own > 0, own, 1.0), -_FAR, _FAR))


def _power(ratio: float, times: float) -> float:
    """`ratio` to the power `times`."""
    return math.exp(min(max(math.log(ratio) * times, -_FAR), _FAR))
