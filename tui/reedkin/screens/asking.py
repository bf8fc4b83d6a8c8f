"""A screen that asks the log something long: in a thread, with a bar that tells how far it is, stopped by Escape."""

from __future__ import annotations

import gc
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from time import monotonic
from typing import TYPE_CHECKING, Any, ClassVar, TypeVar

from textual import on, work
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.widgets import Static
from textual.worker import Worker, get_current_worker

from reedkin.analysis.ticks import Cancelled, Tick
from reedkin.charts.canvas import Role, Run
from reedkin.domain.bench import Bench
from reedkin.errors import ReedkinError
from reedkin.screens.answers import Question
from reedkin.screens.base import BaseScreen
from reedkin.screens.prompt import PromptScreen
from reedkin.store.files import write_new
from reedkin.widgets.styled import styled

if TYPE_CHECKING:
    from reedkin.analysis.study import Study

A = TypeVar("A")

_QUIET_SECONDS = 0.2
"""Work that takes no longer shows no bar."""
_BAR_SECONDS = 0.1
_BAR_WIDTH = 30


@contextmanager
def _uncollected() -> Iterator[None]:
    """Keep the garbage collector from what is read meanwhile: lineages hold no cycles, and to look through those of ten
    years takes it a third of a second, many times over while they grow, in which no key is answered."""
    gc.disable()
    try:
        yield
    finally:
        gc.freeze()
        gc.enable()


class AskingScreen(BaseScreen):
    """Asks the log through `ask`; tells how it goes on the line `#said`, which otherwise shows what `rest` was told.
    The study of the log is read once, for all questions."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("p", "to_file", "Put what is shown in a text file", show=False),
        Binding("r", "ask_again", "Go on after a stop", show=False),
        Binding("escape", "stop_or_back", "Stop the reckoning, or back", show=False),
    ]

    @dataclass
    class Progress(Message):
        """Some work has come so far, 0 to 1."""

        doing: str
        share: float

    @dataclass
    class StudyRead(Message):
        """The log `of` was read in a bench of the thread's own."""

        study: Study
        read: Bench
        of: Bench

    @dataclass
    class Answered(Message):
        """An answer, reckoned from a study."""

        question: Question[Any]
        answer: object
        study: Study

    @dataclass
    class Failed(Message):
        """The log could not be asked."""

        error: ReedkinError

    def __init__(self) -> None:
        super().__init__()
        self._question: Question[Any] | None = None
        self._show: Callable[[Any], None] = lambda answer: None
        self._reading: Worker[None] | None = None
        self._reckoning: Worker[None] | None = None
        self._at_rest: Run = Run("")

    # Asking

    def ask(self, question: Question[A], show: Callable[[A], None]) -> None:
        """Have `show` called with the answer, at once if it is known. A later question takes the place of this one."""
        desk, answers = self.desk, self.reedkin.answers
        if desk is None:
            return
        answers.renew(desk.bench)
        self._question, self._show = question, show
        known = answers.given(question)
        if self._reckoning is not None:
            self._reckoning.cancel()
            self._reckoning = None
        if known is not None:
            self.say()
            show(known)
        elif answers.study is not None:
            self._reckoning = self._reckon()
        elif self._reading is None:
            self._reading = self._read(desk.bench.snapshot(), desk.bench)

    @work(thread=True, group="reading")
    def _read(self, make: Callable[[], Bench], of: Bench) -> None:
        from reedkin.analysis.study import Study
        from reedkin.charts.plot import prepare

        prepare()
        try:
            with _uncollected():
                read = make()
                study = Study.of_bench(read, self._ticker("Reading the log"))
        except Cancelled:
            return
        except ReedkinError as error:
            self.post_message(self.Failed(error))
            return
        self.post_message(self.StudyRead(study, read, of))

    @work(thread=True, group="reckoning")
    def _reckon(self) -> None:
        # Not handed over as arguments, which a worker would hold on to as long as it is remembered.
        question, study = self._question, self.reedkin.answers.study
        if question is None or study is None:
            return
        try:
            answer = question.answer(study, self._ticker("Reckoning"))
        except Cancelled:
            return
        except ReedkinError as error:
            self.post_message(self.Failed(error))
            return
        self.post_message(self.Answered(question, answer, study))

    def _ticker(self, doing: str) -> Tick:
        worker, due = get_current_worker(), monotonic() + _QUIET_SECONDS

        def tick(share: float) -> None:
            nonlocal due
            if worker.is_cancelled:
                raise Cancelled
            if monotonic() >= due:
                due = monotonic() + _BAR_SECONDS
                self.post_message(self.Progress(doing, share))

        return tick

    # What the threads tell

    @on(StudyRead)
    def _study_read(self, message: StudyRead) -> None:
        stopped, self._reading = self._reading is None, None
        desk, answers = self.desk, self.reedkin.answers
        if desk is None or self._question is None:
            return
        if desk.bench is message.of and answers.holds_for(desk.bench) and message.read.changes == desk.bench.changes:
            desk.bench.take_over(message.read)
            answers.study = message.study
        if not stopped:
            self.ask(self._question, self._show)

    @on(Answered)
    def _answered(self, message: Answered) -> None:
        answers = self.reedkin.answers
        if answers.study is message.study:
            answers.keep(message.question, message.answer)
        if message.question == self._question and self._reckoning is not None:
            self._reckoning = None
            self.say()
            self._show(message.answer)

    @on(Failed)
    def _failed(self, message: Failed) -> None:
        self._reading = self._reckoning = None
        self.say(f"✗ {message.error}", "error")

    @on(Progress)
    def _progress(self, message: Progress) -> None:
        if self.is_busy:
            done = round(_BAR_WIDTH * message.share)
            self._say_runs(
                Run(f"{message.doing}  "), Run("━" * done, "target"), Run("┄" * (_BAR_WIDTH - done), "faint"),
                Run(f" {100 * message.share:3.0f}%  "), Run("Esc", "strong"), Run(" stops it", "faint"),
            )  # fmt: skip

    @property
    def is_busy(self) -> bool:
        """Whether an answer is being worked out."""
        return self._reading is not None or self._reckoning is not None

    def action_stop_or_back(self) -> None:
        if not self.is_busy:
            self.app.pop_screen()
            return
        for worker in (self._reading, self._reckoning):
            if worker is not None:
                worker.cancel()
        self._reading = self._reckoning = None
        self._say_runs(
            Run("Stopped.  ", "warn"), Run("r", "strong"), Run(" goes on, "), Run("Esc", "strong"), Run(" leaves")
        )

    def action_ask_again(self) -> None:
        if not self.is_busy and self._question is not None:
            self.ask(self._question, self._show)

    # Saying

    def rest(self, text: str, role: Role = "faint") -> None:
        """What the line above the keys shows while there is nothing else to say."""
        self._at_rest = Run(text, role)
        self.say()

    def say(self, text: str = "", role: Role = "") -> None:
        """Show a line above the keys, or what it shows at rest."""
        self._say_runs(Run(text, role) if text else self._at_rest)

    def _say_runs(self, *runs: Run) -> None:
        self.query_one("#said", Static).update(styled([runs]))

    # To a file

    def text_twin(self) -> tuple[str, list[str]] | None:
        """A name for a file and what is shown as lines of plain text; None while there is nothing to keep."""
        return None

    @work
    async def action_to_file(self) -> None:
        twin = self.text_twin()
        if twin is None:
            return
        name, lines = twin
        given = await self.app.push_screen_wait(PromptScreen("Into which text file?", str(Path.cwd() / name)))
        if given is None:
            return
        try:
            path = write_new(Path(given).expanduser(), "\n".join(lines) + "\n")
        except ReedkinError as error:
            self.say(f"✗ {error}", "error")
            return
        self.say(f"✓ Written to {path}", "good")
