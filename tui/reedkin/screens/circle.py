"""The habits asked of a circle: what other makers' logs say, and what that makes of one's own."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import BindingType

from reedkin.answers.circle.question import CircleAnswer, CircleQuestion, as_of
from reedkin.charts.canvas import Line, Run
from reedkin.errors import InputError
from reedkin.screens.parts.asking import AskingScreen
from reedkin.screens.parts.keys import Key, Keys, bindings, enter, rows
from reedkin.widgets.row_list import RowList
from reedkin.widgets.steady_text import SteadyText
from reedkin.widgets.styled import WIDEST, styled
from reedkin.widgets.together_rows import together_heading, together_rows

if TYPE_CHECKING:
    from reedkin.answers.circle.asked_together import TogetherFinding


class CircleScreen(AskingScreen):
    """One row a habit that others tell of. Their files lie in a folder beside the log; where there are none, it says
    how to begin."""

    TITLE = "circle"
    CSS_PATH = "circle.tcss"
    KEYS: ClassVar[Keys] = (
        rows("habit"),
        enter("Your own reeds in the marked habit closely", "open"),
        Key({"d": "clock"}, "Hours played or days in service", "by days"),
        Key({"g": "give"}, "What to give to the circle, and the file of it", "give"),
        *AskingScreen.KEYS,
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings(KEYS)

    def __init__(self) -> None:
        super().__init__()
        self._answer: CircleAnswer | None = None

    def compose_body(self) -> ComposeResult:
        yield SteadyText(id="who")
        yield RowList(id="habits")
        yield SteadyText(id="told")
        yield SteadyText(id="said")

    # Asking and showing

    def show_log(self) -> None:
        from reedkin.answers.circle.gathering import files_in

        self.show_top()
        try:
            files = files_in(self._folder)
        except InputError as error:
            self._show_how_to_begin(Run(f"✗ {error}", "error"))
            return
        if not files:
            self._show_how_to_begin()
            return
        asked = CircleQuestion(self.reedkin.answers.choice.clock, tuple(files), as_of(files))
        self.ask(asked, self._show_answer)

    @property
    def _folder(self) -> Path:
        assert self.desk.bench.circle is not None
        return self.desk.bench.circle

    def _show_how_to_begin(self, *problem: Run) -> None:
        from reedkin.answers.circle.words import begin_lines

        self._answer = None
        self.query_one(RowList).display = False
        lines = [*problem, *map(Run, begin_lines(str(self._folder)))]
        self.query_one("#who", SteadyText).update(styled([part for line in lines for part in ([line], [])]))
        self.rest("")

    def _show_answer(self, answer: CircleAnswer) -> None:
        from reedkin.answers.circle.words import HOW, doubts, whose

        self._answer = answer
        self.rest(HOW)
        who: list[Line] = [(Run(whose(answer.together)),)]
        who += [(Run(doubt, "warn"),) for doubt in doubts(answer.together)]
        self.query_one("#who", SteadyText).update(styled(who))
        self._show_rows()

    def _show_rows(self) -> None:
        if self._answer is None:
            return
        width = min(self.size.width, WIDEST) - 2
        told = self.query_one(RowList)
        told.display = bool(self._answer.together.findings)
        told.show(together_rows(self._answer.together.findings, width), together_heading(width))
        self._tell()

    @property
    def marked(self) -> TogetherFinding | None:
        """What is told of the habit that is marked."""
        findings = () if self._answer is None else self._answer.together.findings
        place = self.query_one(RowList).place
        return findings[place] if place < len(findings) else None

    @on(RowList.Moved)
    def _tell(self) -> None:
        from reedkin.answers.circle.words import finding_lines

        marked = self.marked
        lines: list[Line] = [(Run("No habit is told of by any of these files yet.", "faint"),)]
        if marked is not None:
            first, *rest = finding_lines(marked)
            lines = [(Run(first, "strong"),), *((Run(line),) for line in rest)]
        self.query_one("#told", SteadyText).update(styled(lines))

    def on_resize(self, event: events.Resize) -> None:
        self._show_rows()

    # Doing

    @on(RowList.Chosen)
    def _open(self) -> None:
        if self.marked is not None:
            from reedkin.screens.habit import HabitScreen

            self.app.push_screen(HabitScreen(self.marked.habit.name))

    def action_give(self) -> None:
        from reedkin.screens.share import ShareScreen

        self.app.push_screen(ShareScreen())

    def text_twin(self) -> tuple[str, list[str]] | None:
        return None if self._answer is None else ("circle.txt", self._answer.lines())
