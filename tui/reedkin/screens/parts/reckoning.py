"""A screen that asks the log something long, in threads of its own: the log is read once, for all questions."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from textual import on, work
from textual.message import Message
from textual.timer import Timer
from textual.worker import Worker, get_current_worker

from reedkin.answers.question import Asked, Question
from reedkin.bench.borrowed import Borrowed
from reedkin.charts.canvas import Run
from reedkin.errors import ReedkinError
from reedkin.interpreter import uncollected
from reedkin.screens.parts.base import BaseScreen
from reedkin.screens.parts.keeping import copied
from reedkin.screens.parts.prompt import put_into_file
from reedkin.study.ticks import Cancelled, Tick
from reedkin.widgets.steady_text import SteadyText
from reedkin.widgets.styled import styled

A = TypeVar("A")

TELL_SECONDS = 0.2
"""Work that takes no longer tells nothing of how far it is, other work so often, from its imports on."""


class ReckoningScreen(BaseScreen):
    """Asks the log through `ask`. What is to be seen of the work is told by `show_progress`, `show_failure` and
    `show_rest`. A screen that is left stops its work."""

    @dataclass
    class StudyRead(Message):
        """A log that was `borrowed` has been read."""

        asked: Asked
        borrowed: Borrowed

    @dataclass
    class Answered(Message):
        """An answer, and the log that gave it."""

        question: Question[Any]
        answer: object
        asked: Asked

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
        self._telling: Timer | None = None
        self._come = "", 0.0
        """What is being done, and how far it has come, 0 to 1. The thread that does it says so."""

    # Asking

    def ask(self, question: Question[A], show: Callable[[A], None]) -> None:
        """Have `show` called with the answer, at once if it is known. A later question takes the place of this one."""
        desk, answers = self.desk, self.reedkin.answers
        answers.renew(desk.bench)
        self._question, self._show = question, show
        known = answers.given(question)
        if self._reckoning is not None:
            self._reckoning.cancel()
            self._reckoning = None
        if known is not None:
            self.show_rest()
            show(known)
        elif answers.asked is not None:
            self._reckoning = self._reckon()
            self.tell_progress()
        elif self._reading is None:
            self._reading = self._read(Borrowed(desk.bench))
            self.tell_progress()

    @work(thread=True, group="reading")
    def _read(self, borrowed: Borrowed) -> None:
        tick = self._ticker("Reading the log")
        from reedkin.charts.plot import prepare
        from reedkin.study.study import Study

        prepare()
        try:
            with uncollected():
                read = borrowed.bench()
                study = Study.of_bench(read, tick)
        except Cancelled:
            return
        except ReedkinError as error:
            self.post_message(self.Failed(error))
            return
        self.post_message(self.StudyRead(Asked(read, study), borrowed))

    @work(thread=True, group="reckoning")
    def _reckon(self) -> None:
        tick = self._ticker("Reckoning")
        # Not handed over as arguments, which a worker would hold on to as long as it is remembered.
        question, asked = self._question, self.reedkin.answers.asked
        if question is None or asked is None:
            return
        try:
            answer = question.answer(asked, tick)
        except Cancelled:
            return
        except ReedkinError as error:
            self.post_message(self.Failed(error))
            return
        self.post_message(self.Answered(question, answer, asked))

    def _ticker(self, doing: str) -> Tick:
        """What a worker is to call as it comes on, made before it does or imports anything."""
        worker = get_current_worker()
        self._come = doing, 0.0

        def tick(share: float) -> None:
            if worker.is_cancelled:
                raise Cancelled
            self._come = doing, share

        return tick

    def tell_progress(self) -> None:
        """From now on show, every now and then, how far the work has come, as long as there is any."""
        if self._telling is not None:
            self._telling.stop()
        self._telling = self.set_interval(TELL_SECONDS, self._tell_progress)

    def _tell_progress(self) -> None:
        if self.is_busy:
            self.show_progress(*self._come)
        elif self._telling is not None:
            self._telling.stop()
            self._telling = None

    # What the threads tell

    @on(StudyRead)
    def _study_read(self, message: StudyRead) -> None:
        self._reading = None
        desk, answers = self.desk, self.reedkin.answers
        if self._question is None:
            return
        same = desk.bench is message.borrowed.of and answers.holds_for(desk.bench)
        if same and message.borrowed.give_back():
            answers.asked = message.asked
        self.ask(self._question, self._show)

    @on(Answered)
    def _answered(self, message: Answered) -> None:
        answers = self.reedkin.answers
        if answers.asked is message.asked:
            answers.keep(message.question, message.answer)
        if message.question == self._question and self._reckoning is not None:
            self._reckoning = None
            self.show_rest()
            self._show(message.answer)

    @on(Failed)
    def _failed(self, message: Failed) -> None:
        self._reading = self._reckoning = None
        self.show_failure(message.error)

    @property
    def is_busy(self) -> bool:
        """Whether an answer is being worked out."""
        return self._reading is not None or self._reckoning is not None

    # What is to be seen of it

    def show_progress(self, doing: str, share: float) -> None:
        """Some work has come so far, 0 to 1."""

    def show_failure(self, error: ReedkinError) -> None:
        """The log could not be asked."""
        self.tell_of(Run(f"✗ {error}", "error"))

    def show_rest(self) -> None:
        """An answer is there."""

    # What it says, on the line `#said`

    def tell_of(self, *runs: Run) -> None:
        """Say something above the keys."""
        self.query_one("#said", SteadyText).update(styled([runs]))

    # Taken away

    def to_clipboard(self, lines: Sequence[str]) -> None:
        """Copy lines to the clipboard, and say so."""
        self.app.copy_to_clipboard("\n".join(lines))
        self.tell_of(Run(copied(lines), "good"))

    async def put_into_file(self, asked: str, name: str, made: Callable[[str], str]) -> None:
        """Ask into which new file, offering `name`; write what is made for its suffix, and say where it is."""
        told = await put_into_file(self.app, asked, name, made)
        if told is not None:
            self.tell_of(told)
