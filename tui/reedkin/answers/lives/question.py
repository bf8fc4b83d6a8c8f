"""How long do the reeds last?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING

from reedkin.domain.periods import PERIODS

if TYPE_CHECKING:
    from reedkin.answers.lives.groups import Group
    from reedkin.answers.lives.lifespans import Lifespans, ScoreBin
    from reedkin.answers.lives.roll import RollEntry
    from reedkin.answers.lives.whole import LeftOpen, Outcomes
    from reedkin.answers.question import Asked
    from reedkin.contract.lives import LifespansJson
    from reedkin.study.lives import Clock, OutOfView
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
    out_of_view  reeds whose hours are not known from a playing on, and why.
    hidden       the days between which reeds were played without a playing being written.
    untold       what reeds leave open that are gone without anybody having told how; None if there are none.
    """

    report: Lifespans
    everyone: Group | None
    outcomes: Outcomes
    playability: Mapping[str, Sequence[ScoreBin]]
    rolls: Mapping[str, tuple[RollEntry, ...]]
    splits: tuple[tuple[str, str], ...]
    instruments: tuple[str, ...]
    out_of_view: tuple[OutOfView, ...]
    untold: LeftOpen | None
    hidden: tuple[tuple[date, date], ...]

    def to_json(self) -> LifespansJson:
        return self.report.to_json()

    def lines(self) -> list[str]:
        return self.lines_of(self.report.groups)

    def lines_of(self, groups: Sequence[Group]) -> list[str]:
        """The same of these groups alone."""
        from reedkin.answers.lives.words import hidden_line, lives_lines, out_of_view_lines, untold_line

        unsure = (untold_line(self.untold, self.everyone, self.report.clock), hidden_line(self.hidden))
        return [
            *lives_lines(self.report, groups, self.outcomes, len(self.splits)),
            *(line for one in unsure if one for line in ("", one)),
            *out_of_view_lines(self.out_of_view),
        ]


@dataclass(frozen=True, slots=True)
class LivesQuestion:
    """How long do the reeds last, split by a habit of making or by instrument; those of one instrument, or all?"""

    by: str
    clock: Clock
    instrument: str | None = None

    def answer(self, asked: Asked, tick: Tick) -> Lives:
        from reedkin.answers.lives.lifespans import lifespans, playability
        from reedkin.answers.lives.roll import roll
        from reedkin.answers.lives.whole import everyone, of_instrument, outcomes, untold_of
        from reedkin.study.habits import BY_INSTRUMENT, FORECASTS, MAKING_HABITS, Habit, by_period, habit_named

        settings, study = asked.bench.settings, asked.study

        def day(minute: int) -> date:
            return asked.bench.clock.local(datetime.fromtimestamp(minute * 60, UTC)).date()

        periods: dict[str, Habit] = {period: by_period(period, settings.begins(period)) for period in PERIODS}
        by = periods.get(self.by) or habit_named(self.by)
        instruments = tuple(dict.fromkeys(life.instrument for life in study.lives))
        chosen = study if self.instrument is None else of_instrument(study, self.instrument)
        tick(0.1)
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
            tuple(
                (habit.name, habit.label) for habit in (BY_INSTRUMENT, *MAKING_HABITS, *FORECASTS, *periods.values())
            ),
            instruments,
            chosen.out_of_view,
            untold_of(chosen, self.clock),
            tuple((day(begun), day(ended)) for begun, ended in chosen.hidden),
        )
