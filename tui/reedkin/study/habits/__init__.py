"""The habits that the log is asked about. A new one is an entry in `making_habits` or `use_habits`."""

from __future__ import annotations

from reedkin.domain.periods import Period, period_name
from reedkin.errors import InputError
from reedkin.study.habits.habit import Habit
from reedkin.study.habits.making import Making
from reedkin.study.habits.making_habits import FIRST_SCORE, MAKING_HABITS
from reedkin.study.habits.use_habits import USE_HABITS

HABITS = (*MAKING_HABITS, *USE_HABITS)

FORECASTS = (FIRST_SCORE,)
"""What foretells a life and is no habit."""

BY_INSTRUMENT = Habit(
    "instrument", "Instrument", "one instrument rather than the others", "other instruments", "this instrument",
    "making", "category", of_making=lambda making: making.life.instrument,
)  # fmt: skip
"""What lives can be grouped by, but no habit: reeds of different instruments are not compared."""


def by_period(period: Period, month: int) -> Habit:
    """What lives can be grouped by, but no habit: the year, or the season that begins with a month, in which a reed was
    begun."""
    return Habit(
        period, f"{period.capitalize()} begun", f"one {period} rather than the others", f"other {period}s",
        f"this {period}", "making", "category",
        of_making=lambda making: period_name(making.life.reed.begun.date(), month),
    )  # fmt: skip


def habit_named(name: str) -> Habit:
    """The habit, or the instrument, that `name` means: its name, its label, or the beginning of one of them alone.

    Raises InputError with the names there are.
    """
    text = " ".join(name.replace("_", " ").casefold().split())
    every = (BY_INSTRUMENT, *HABITS, *FORECASTS)
    words = {habit: (habit.name.replace("_", " "), habit.label.casefold()) for habit in every}
    exact = [habit for habit in every if text in words[habit]]
    begin = [habit for habit in every if text and any(word.startswith(text) for word in words[habit])]
    found = exact or begin
    if len(found) == 1:
        return found[0]
    names = ", ".join(habit.name for habit in (found or every))
    raise InputError(f"{name} is {'several habits' if found else 'no habit known here'}; name one of: {names}")


__all__ = [
    "BY_INSTRUMENT", "FORECASTS", "HABITS", "MAKING_HABITS", "USE_HABITS", "Habit", "Making", "by_period",
    "habit_named",
]  # fmt: skip
