"""One habit closely: alone and beside other habits, in which reeds, and whether its effect changes as reeds age."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from reedkin.answers.habits.effects import (
    Effect,
    Untold,
    beside_use,
    effect,
    effect_of,
    fitted,
    one_of,
    strata_within,
    values_of,
)
from reedkin.answers.habits.report import per_of
from reedkin.answers.lives.groups import Grouping, grouped
from reedkin.study.habits import Habit
from reedkin.study.lives import Clock
from reedkin.study.study import Study
from reedkin.survival import StatisticsError, proportionality

LEVEL = 0.05


@dataclass(frozen=True, slots=True)
class ByAge:
    """
    Whether the effect is the same for young reeds and old: p of the test that it is. grows: whether it is stronger in
    old reeds than in young ones.
    """

    p: float
    grows: bool

    @property
    def words(self) -> str:
        if self.p >= LEVEL:
            return "No sign that the effect changes as reeds age."
        change = "grow" if self.grows else "fade"
        return f"The effect seems to {change} as reeds age: the one figure is a mean over life."


@dataclass(frozen=True, slots=True)
class OneHabit:
    """
    alone         the effect of the habit alone; None where the log cannot tell, and then `untold` says why.
    per           what its hazard ratio compares.
    by_age        None where it cannot be told.
    grouping      the reeds split on it, with their curves.
    beside        the habits it was adjusted for, on request; `adjusted` is its effect then, or None and `unadjusted`
                  says why. The reeds of which one of them is not known are left out, so it may differ for that alone:
                  `alone_in_same` is the effect alone among the same reeds.
    """

    habit: Habit
    clock: Clock
    per: str
    alone: Effect | None
    untold: str
    by_age: ByAge | None
    grouping: Grouping
    beside: tuple[Habit, ...] = ()
    adjusted: Effect | None = None
    alone_in_same: Effect | None = None
    unadjusted: str = ""


def one_habit(study: Study, habit: Habit, clock: Clock = "hours", beside: Sequence[Habit] = ()) -> OneHabit:
    """
    One habit alone, and adjusted for those `beside`: for a number or a yes or no by regression, for a category by
    comparing only reeds of the same word (the same lot, say).
    """
    beside = tuple(other for other in beside if other is not habit)
    grouping = grouped(study, habit, clock)
    try:
        alone = effect_of(study, habit, clock)
    except Untold as why:
        return OneHabit(habit, clock, habit.per, None, str(why), None, grouping, beside)
    per = per_of(habit, alone)
    by_age = _by_age(study, habit, alone, clock)
    if not beside:
        return OneHabit(habit, clock, per, alone, "", by_age, grouping)
    try:
        adjusted, same = _adjusted(study, habit, alone, beside, clock)
    except Untold as why:
        return OneHabit(habit, clock, per, alone, "", by_age, grouping, beside, unadjusted=str(why))
    return OneHabit(habit, clock, per, alone, "", by_age, grouping, beside, adjusted, same)


def _by_age(study: Study, habit: Habit, alone: Effect, clock: Clock) -> ByAge | None:
    rows = study.rows_for(habit, clock)
    values = values_of(study, habit, rows, alone.word)
    model = fitted(rows, values, beside_use(study, habit, rows, clock))
    try:
        test = proportionality(model)
    except StatisticsError:
        return None
    return ByAge(test.each[0].p, bool(test.change[0] * model.coef[0] > 0))


def _adjusted(
    study: Study, habit: Habit, alone: Effect, beside: Sequence[Habit], clock: Clock
) -> tuple[Effect, Effect]:
    """The effect beside the other habits, and alone among the same reeds."""
    every = (habit, *beside)
    rows = study.rows(clock, whole=all(one.of_making is not None for one in every))
    values = values_of(study, habit, rows, alone.word)
    always = next((beside_use(study, one, rows, clock) for one in every if one.kind == "use"), [])
    columns = [study.numbers(one, rows) / one.scale for one in beside if one.measure != "category"]
    strata = rows.stratum.copy()
    for one in beside:
        if one.measure == "category":
            strata = strata_within(strata, study.words(one, rows))
    known = ~np.isnan(np.sum((values, *columns), axis=0)) & (strata >= 0)
    same = effect(rows, np.where(known, values, np.nan), always)
    adjusted = effect(rows, values, (*columns, *always), strata)
    if alone.word is None:
        return adjusted, same
    return one_of(adjusted, alone.word, alone.compared), one_of(same, alone.word, alone.compared)
