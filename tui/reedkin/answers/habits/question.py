"""Which habits go with longer or shorter lives; and one of them closely."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from reedkin.answers.lives.question import ALL

if TYPE_CHECKING:
    from reedkin.answers.habits.one_habit import OneHabit
    from reedkin.answers.habits.report import Finding, HabitsReport
    from reedkin.answers.lives.groups import Group
    from reedkin.answers.lives.roll import RollEntry
    from reedkin.answers.lives.whole import Outcomes
    from reedkin.answers.question import Asked
    from reedkin.contract.lives import HabitsJson
    from reedkin.study.lives import Clock
    from reedkin.study.ticks import Tick

ONE_PLAYER = "A log is taken for one player's: what two players do differently would look like a habit."
"""What no log can show."""


@dataclass(frozen=True, slots=True)
class Habits:
    """What goes with longer and shorter lives, and what became of all reeds."""

    report: HabitsReport
    outcomes: Outcomes
    everyone: Group | None

    def to_json(self) -> HabitsJson:
        return self.report.to_json()

    def lines(self) -> list[str]:
        from reedkin.answers.habits.words import habits_lines

        return habits_lines(self.report)


@dataclass(frozen=True, slots=True)
class HabitsQuestion:
    """Which habits go with longer or shorter lives?"""

    clock: Clock

    def answer(self, asked: Asked, tick: Tick) -> Habits:
        from reedkin.answers.habits.report import belief_of, habits_report
        from reedkin.answers.lives.whole import everyone, outcomes

        report = habits_report(asked.study, self.clock, tick=tick, belief=belief_of(asked.bench))
        whole = everyone(asked.study, self.clock, ALL)
        return Habits(report, outcomes(asked.study, whole.reeds if whole is not None else ()), whole)


@dataclass(frozen=True, slots=True)
class OneHabitAnswer:
    """One habit closely, and what the report says of it; None where it can tell nothing. With the reeds of each of its
    groups, and what it can be adjusted for: names and labels."""

    one: OneHabit
    finding: Finding | None
    rolls: Mapping[str, tuple[RollEntry, ...]]
    others: tuple[tuple[str, str], ...]

    def lines(self) -> list[str]:
        from reedkin.answers.habits.words import one_habit_lines

        return one_habit_lines(self.one, self.finding)


@dataclass(frozen=True, slots=True)
class OneHabitQuestion:
    """What goes with one habit, alone and adjusted for those `beside` it?"""

    name: str
    clock: Clock
    beside: tuple[str, ...] = ()

    def answer(self, asked: Asked, tick: Tick) -> OneHabitAnswer:
        from reedkin.answers.habits.one_habit import one_habit
        from reedkin.answers.habits.report import belief_of, habits_report
        from reedkin.answers.lives.roll import roll
        from reedkin.study.habits import HABITS, habit_named

        tick(0.1)
        habit = habit_named(self.name)
        one = one_habit(asked.study, habit, self.clock, [habit_named(name) for name in self.beside])
        tick(0.8)
        report = habits_report(asked.study, self.clock, (habit,), belief=belief_of(asked.bench))
        tick(0.9)
        rolls = {group.name: roll(asked.study, group.reeds, habit) for group in one.grouping.groups}
        others = tuple((other.name, other.label) for other in HABITS if other is not habit)
        return OneHabitAnswer(one, next(iter(report.findings), None), rolls, others)
