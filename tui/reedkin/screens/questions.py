"""What the screens ask the log, and what they get: each answer is all that its screen shows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from reedkin.answers.habits.one_habit import OneHabit
    from reedkin.answers.habits.report import HabitsReport
    from reedkin.answers.hours_left.outlook import Outlook
    from reedkin.answers.lives.groups import Group
    from reedkin.answers.lives.lifespans import Lifespans, ScoreBin
    from reedkin.answers.lives.roll import Entry
    from reedkin.answers.lives.whole import Outcomes
    from reedkin.answers.ready import Readiness, Wish
    from reedkin.study.lives import Clock
    from reedkin.study.study import Study
    from reedkin.study.ticks import Tick

ALL = "all reeds"
"""The name of the group that holds every reed."""


@dataclass(frozen=True, slots=True)
class Lives:
    """
    How long reeds last. By the name of a group, ALL among them: `playability` its scores as reeds age, `rolls` its
    reeds.

    everyone     all reeds as one group; None if there are none.
    splits       what lives can be split by: names and labels. `instruments`: those that have lives.
    """

    report: Lifespans
    everyone: Group | None
    outcomes: Outcomes
    playability: Mapping[str, Sequence[ScoreBin]]
    rolls: Mapping[str, tuple[Entry, ...]]
    splits: tuple[tuple[str, str], ...]
    instruments: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LivesQuestion:
    """How long do the reeds last, split by a habit of making or by instrument; those of one instrument, or all?"""

    by: str
    clock: Clock
    instrument: str | None = None

    def answer(self, study: Study, tick: Tick) -> Lives:
        from reedkin.answers.lives.lifespans import lifespans, playability
        from reedkin.answers.lives.roll import roll
        from reedkin.answers.lives.whole import everyone, of_instrument, outcomes
        from reedkin.study.habits import BY_INSTRUMENT, FORECASTS, MAKING_HABITS, habit_named

        instruments = tuple(dict.fromkeys(life.instrument for life in study.lives))
        chosen = study if self.instrument is None else of_instrument(study, self.instrument)
        tick(0.1)
        by = habit_named(self.by)
        report, whole = lifespans(chosen, by, self.clock), everyone(chosen, self.clock, ALL)
        groups = [*report.groups, *([whole] if whole is not None else [])]
        lives = {life.reed.id: life for life in chosen.lives}
        played, rolls = {}, {}
        for place, group in enumerate(groups):
            tick(0.2 + 0.8 * place / len(groups))
            played[group.name] = playability([lives[reed] for reed in group.reeds], self.clock)
            rolls[group.name] = roll(chosen, group.reeds, None if by is BY_INSTRUMENT else by)
        return Lives(
            report,
            whole,
            outcomes(chosen, whole.reeds if whole is not None else ()),
            played,
            rolls,
            tuple((habit.name, habit.label) for habit in (BY_INSTRUMENT, *MAKING_HABITS, *FORECASTS)),
            instruments,
        )


@dataclass(frozen=True, slots=True)
class OutlookQuestion:
    """What do reeds at work still have before them?"""

    def answer(self, study: Study, tick: Tick) -> Outlook:
        from reedkin.answers.hours_left.outlook import Outlook

        return Outlook(study)


@dataclass(frozen=True, slots=True)
class Habits:
    """What goes with longer and shorter lives, and what became of all reeds."""

    report: HabitsReport
    outcomes: Outcomes
    everyone: Group | None


@dataclass(frozen=True, slots=True)
class HabitsQuestion:
    """Which habits go with longer or shorter lives?"""

    clock: Clock

    def answer(self, study: Study, tick: Tick) -> Habits:
        from reedkin.answers.habits.report import habits_report
        from reedkin.answers.lives.whole import everyone, outcomes

        report = habits_report(study, self.clock, tick=tick)
        whole = everyone(study, self.clock, ALL)
        return Habits(report, outcomes(study, whole.reeds if whole is not None else ()), whole)


@dataclass(frozen=True, slots=True)
class OneHabitAnswer:
    """One habit closely, with the reeds of each of its groups, and what it can be adjusted for: names and labels."""

    one: OneHabit
    rolls: Mapping[str, tuple[Entry, ...]]
    others: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class OneHabitQuestion:
    """What goes with one habit, alone and adjusted for those `beside` it?"""

    name: str
    clock: Clock
    beside: tuple[str, ...] = ()

    def answer(self, study: Study, tick: Tick) -> OneHabitAnswer:
        from reedkin.answers.habits.one_habit import one_habit
        from reedkin.answers.lives.roll import roll
        from reedkin.study.habits import HABITS, habit_named

        tick(0.1)
        habit = habit_named(self.name)
        one = one_habit(study, habit, self.clock, [habit_named(name) for name in self.beside])
        tick(0.9)
        rolls = {group.name: roll(study, group.reeds, habit) for group in one.grouping.groups}
        others = tuple((other.name, other.label) for other in HABITS if other is not habit)
        return OneHabitAnswer(one, rolls, others)


@dataclass(frozen=True, slots=True)
class ReadyQuestion:
    """Will there be enough good reeds on a day, reckoned on the day `today`?"""

    wish: Wish
    today: date

    def answer(self, study: Study, tick: Tick) -> Readiness:
        from reedkin.answers.ready import readiness

        assert study.bench is not None
        return readiness(study.bench, self.wish, tick=tick)
