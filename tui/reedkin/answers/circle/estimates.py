"""What one log tells of a habit, as it is taken together with others: an estimate and how uncertain it is."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from reedkin.answers.habits.effects import Effect, values_of
from reedkin.answers.habits.report import Finding
from reedkin.study.habits import Habit
from reedkin.study.lives import Clock
from reedkin.study.playings import FloatArray, IntArray
from reedkin.study.study import Study
from reedkin.survival.distributions import Z

_SURE_OF_SIGN = 0.1
"""Standard errors from none, below which the likelihood and the estimate need not agree on how far it is."""


@dataclass(frozen=True, slots=True)
class Estimate:
    """The log hazard ratio for one step of a habit, and its standard error; `effect` is where they come from."""

    value: float
    se: float
    effect: Effect


def estimate_of(finding: Finding) -> Estimate | None:
    """
    What a log tells of a habit; None where it cannot be told from the lots or the time, or only which word of several
    stands out, which is each maker's own.

    Beside the time, where that can be asked, since what many makers change as they learn would else seem to matter to
    all of them; where it goes away within lots, what is left of it there. The standard error is the larger of the
    regression's and the one by which the likelihood is as far from none; where Firth's limits have no end on one side,
    that to the other limit counts too, if it is larger.
    """
    effect = finding.at_one_time or finding.effect
    if finding.goes_away and finding.within_lots is not None:
        effect = finding.within_lots
    if finding.by_lot or effect.word is not None or not (0.0 < effect.hazard_ratio < math.inf and effect.spread > 0):
        return None
    value = math.log(effect.hazard_ratio)
    errors = [1.0 / math.sqrt(effect.spread * effect.retired)]
    if abs(effect.z) > _SURE_OF_SIGN:
        errors.append(abs(value / effect.z))
    if effect.lo <= 0.0 < effect.hi < math.inf:
        errors.append((math.log(effect.hi) - value) / Z)
    if effect.hi == math.inf and effect.lo > 0.0:
        errors.append((value - math.log(effect.lo)) / Z)
    return Estimate(value, max(errors), effect)


@dataclass(frozen=True, slots=True)
class EachReed:
    """What each reed of which a habit is known has of it, in its steps, and the number of its instrument (reeds,); of a
    habit in use, what it had at last."""

    values: FloatArray
    instrument: IntArray

    @classmethod
    def of(cls, study: Study, habit: Habit, clock: Clock) -> EachReed:
        rows = study.rows_for(habit, clock)
        values = values_of(study, habit, rows, None)
        known = ~np.isnan(values)
        last = {life: row for row, life in zip(np.flatnonzero(known), rows.life[known].tolist(), strict=True)}
        chosen = np.array(list(last.values()), dtype=np.int64)
        return cls(values[chosen], rows.stratum[chosen])

    @property
    def fewest_on_a_side(self) -> int:
        """How many reeds have less of it than the mean of their instrument, or more: whichever are fewer."""
        below = above = 0
        for own in self._by_instrument():
            below += int(np.count_nonzero(own < own.mean()))
            above += int(np.count_nonzero(own > own.mean()))
        return min(below, above)

    def quarters(self, fewest: int) -> tuple[float, float]:
        """The lower and the upper quarter among the reeds of the instrument that has most; among all where these are
        fewer than `fewest`."""
        most = max(self._by_instrument(), key=len)
        low, high = np.quantile(most if len(most) >= fewest else self.values, (0.25, 0.75))
        return float(low), float(high)

    def _by_instrument(self) -> list[FloatArray]:
        return [self.values[self.instrument == one] for one in np.unique(self.instrument)]
