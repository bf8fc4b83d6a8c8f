"""Which habits go with longer and shorter lives: one row a habit, the surest first, and how sure each is."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import BindingType

from reedkin.answers.habits.question import Habits, HabitsQuestion
from reedkin.charts.canvas import Drawing, Line, Run
from reedkin.screens.parts.asking import AskingScreen
from reedkin.screens.parts.keys import Key, Keys, bindings, enter, rows
from reedkin.widgets.drawn import Drawn
from reedkin.widgets.finding_rows import finding_heading, finding_rows
from reedkin.widgets.row_list import RowList
from reedkin.widgets.steady_text import SteadyText
from reedkin.widgets.styled import WIDEST, styled

if TYPE_CHECKING:
    from reedkin.answers.habits.report import Finding, Untried
    from reedkin.answers.lives.groups import Group
    from reedkin.study.lives import Clock


class HabitsScreen(AskingScreen):
    """The habits report. The marked habit is told in full beneath the list; Enter opens it."""

    TITLE = "habits"
    CSS_PATH = "habits.tcss"
    KEYS: ClassVar[Keys] = (
        rows("habit"),
        enter("The marked habit closely", "open"),
        Key({"t": "trials"}, "Fair trials, which settle what the log cannot", "trials"),
        Key({"s": "start_trial"}, "Start the fair trial most worth starting"),
        Key({"d": "clock"}, "Hours played or days in service", "by days"),
        Key({"c": "circle"}, "The same asked of a circle of makers, from the files they gave you", "circle"),
        Key({"g": "give"}, "What to give to a circle of makers, and the file of it"),
        *AskingScreen.KEYS,
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings(KEYS)

    def __init__(self) -> None:
        super().__init__()
        self._habits: Habits | None = None

    def compose_body(self) -> ComposeResult:
        yield SteadyText(id="said")
        yield SteadyText(id="early")
        yield Drawn(id="known")
        yield RowList(id="habits")
        yield SteadyText(id="told")
        yield SteadyText(id="worth")
        yield SteadyText(id="notes")

    # Asking and showing

    def show_log(self) -> None:
        self.show_top()
        self.ask(HabitsQuestion(self.reedkin.answers.choice.clock), self._show_habits)

    def _show_habits(self, habits: Habits) -> None:
        from reedkin.answers.lives.words import became_of

        self._habits = habits
        report = habits.report
        self.rest(became_of(habits.outcomes, report.clock) if habits.outcomes.reeds else "")
        early = self.query_one("#early", SteadyText)
        early.display = report.early_days is not None
        early.update(styled([[Run(report.early_days or "", "warn")]]))
        everyone = habits.everyone
        drawn = everyone is not None and everyone.retired > 0  # else it would be a flat line
        self.set_class(not report.findings and drawn, "-untold")
        if everyone is not None and drawn:
            self.query_one(Drawn).show(partial(_draw_all, everyone, report.clock))
        self._show_rows()

    def _show_rows(self) -> None:
        if self._habits is None:
            return
        report, width = self._habits.report, min(self.size.width, WIDEST) - 2
        rows = self.query_one(RowList)
        every: list[Finding | Untried] = [*report.findings, *report.untried]
        about = [one.habit.name for one in every]
        rows.show(finding_rows(report.findings, report.untried, width), finding_heading(width), about=about)
        self._tell()

    def _tell(self) -> None:
        """The marked habit in full, and beneath it what holds for all."""
        from reedkin.answers.habits.words import LAGGED, NOT_CAUSE, most_worth, trial_line, tried

        marked, habits = self.marked, self._habits
        self.query_one("#told", SteadyText).update(styled(_told(marked) if marked is not None else []))
        if habits is not None:
            notes = (tried(habits.report), *((NOT_CAUSE, LAGGED) if habits.report.findings else ()))
            self.query_one("#notes", SteadyText).update(styled([[Run(note, "faint")] for note in notes]))
            told = most_worth(habits.report)
            self.set_class(bool(told), "-worth")
            start = " s starts it." if trial_line(habits.report) else ""
            self.query_one("#worth", SteadyText).update(styled([[Run(f"{told}{start}", "target")]]))

    @property
    def marked(self) -> Finding | Untried | None:
        """What the log says of the habit that is marked."""
        if self._habits is None:
            return None
        every: list[Finding | Untried] = [*self._habits.report.findings, *self._habits.report.untried]
        place = self.query_one(RowList).place
        return every[place] if place < len(every) else None

    @on(RowList.Moved)
    def _moved(self) -> None:
        self._tell()

    def on_resize(self, event: events.Resize) -> None:
        self._show_rows()

    # Doing

    @on(RowList.Chosen)
    def _open(self) -> None:
        marked, habits = self.marked, self._habits
        if marked is not None and habits is not None:
            from reedkin.screens.habit import HabitScreen

            self.app.push_screen(HabitScreen(marked.habit.name))

    def action_trials(self) -> None:
        from reedkin.screens.trials import TrialsScreen

        self.app.push_screen(TrialsScreen())

    def action_circle(self) -> None:
        from reedkin.screens.circle import CircleScreen

        self.app.push_screen(CircleScreen())

    def action_give(self) -> None:
        from reedkin.screens.share import ShareScreen

        self.app.push_screen(ShareScreen())

    def action_start_trial(self) -> None:
        """The trial most worth starting, written out for her to start or change."""
        from reedkin.answers.habits.words import most_worth, trial_line
        from reedkin.screens.trials import TrialsScreen

        report = None if self._habits is None else self._habits.report
        line, why = ("", "") if report is None else (trial_line(report), most_worth(report))
        if line:
            self.app.push_screen(TrialsScreen(line))
        else:
            unknown = "The log does not tell yet which trial is most worth starting; t shows the trials."
            self.say(f"{why} t starts one all the same." if why else unknown, "warn")

    def text_twin(self) -> tuple[str, list[str]] | None:
        if self._habits is None:
            return None
        from reedkin.answers.habits.words import habits_lines

        return "habits.txt", habits_lines(self._habits.report)


def _told(marked: Finding | Untried) -> list[Line]:
    from reedkin.answers.habits.report import Finding
    from reedkin.answers.habits.words import about, finding_lines

    if not isinstance(marked, Finding):
        return [(Run(f"{marked.habit.label}: ", "strong"), Run(f"the log cannot tell; {marked.why}."))]
    first, *others, rate = finding_lines(marked)
    reckoned = [about(marked.habit)] if about(marked.habit) else []
    # Where the screen is short, the rate goes first: the row draws it.
    rest = [(Run(line, "faint"),) for line in (*reckoned, rate)]
    return [(Run(first, "strong"),), *((Run(line),) for line in others), *rest]


def _draw_all(everyone: Group, clock: Clock, width: int, height: int) -> Drawing:
    from reedkin.answers.lives.words import UNIT
    from reedkin.charts.groups import as_curve
    from reedkin.charts.survival import survival_chart

    return survival_chart([as_curve(everyone)], width, height, UNIT[clock])
