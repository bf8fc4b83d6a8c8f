"""The habits that the log is asked about. A new one is an entry in `making_habits` or `use_habits`."""

from __future__ import annotations

from reedkin.analysis.habits.habit import Habit
from reedkin.analysis.habits.making import Making
from reedkin.analysis.habits.making_habits import MAKING_HABITS
from reedkin.analysis.habits.use_habits import USE_HABITS

HABITS = (*MAKING_HABITS, *USE_HABITS)

__all__ = ["HABITS", "MAKING_HABITS", "USE_HABITS", "Habit", "Making"]
