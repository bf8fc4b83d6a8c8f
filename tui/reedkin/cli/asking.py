"""Asking the log a question, and showing the answer: as JSON, or as a chart where there is room and plain lines."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, TypeVar

from reedkin.answers.question import Asked, Question, Told
from reedkin.cli.context import Context, show_json, show_text
from reedkin.cli.drawing import show_chart
from reedkin.cli.progress import Progress
from reedkin.study.ticks import no_tick

if TYPE_CHECKING:
    from reedkin.charts.canvas import Drawing

A = TypeVar("A")


def ask(context: Context, question: Question[A], doing: str = "") -> A:
    """The answer of the log; `doing` is told while a long one is worked out. Raises what opening a log raises."""
    with context.reading() as log:
        if not doing:
            return question.answer(Asked(log.bench), no_tick)
        with Progress(doing, log.path.stat().st_size) as progress:
            return question.answer(Asked(log.bench), progress.share)


def tell(answer: Told, as_json: bool, draw: Callable[[int, int], Drawing] | None = None) -> int:
    """Show an answer, and what `draw` draws of it above its lines; the exit code."""
    if as_json:
        show_json(answer.to_json())
        return 0
    if draw is not None:
        show_chart(draw)
    show_text(answer.lines())
    return 0
