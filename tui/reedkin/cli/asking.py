"""Asking the log a question, and showing the answer: as JSON, or as a chart where there is room and plain lines."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from reedkin.answers.question import Asked, Question, Told
from reedkin.cli.context import Context, show, show_json, show_text
from reedkin.cli.drawing import Picture, show_both
from reedkin.cli.options import reed_meant
from reedkin.cli.progress import Progress
from reedkin.study.ticks import no_tick

A = TypeVar("A")


def ask(context: Context, question: Question[A], doing: str = "") -> A:
    """The answer of the log; `doing` is told while a long one is worked out. Raises what opening a log raises."""
    with context.reading() as log:
        if not doing:
            return question.answer(Asked(log.bench), no_tick)
        with Progress(doing, log.path.stat().st_size, context.unseen) as progress:
            return question.answer(Asked(log.bench), progress.share)


def ask_of_reed(context: Context, tag: str, question: Callable[[str], Question[A]]) -> A:
    """The answer to a question about the reed that a tag means, which is asked by its id. Raises InputError where there
    is no such reed, and what opening a log raises."""
    with context.reading() as log:
        return question(reed_meant(tag, log.bench).id).answer(Asked(log.bench), no_tick)


def tell(
    answer: Told,
    as_json: bool,
    picture: Picture | None = None,
    folded: bool = True,
    chart: bool | None = None,
) -> int:
    """Show an answer, with a picture of it where a `chart` is wanted; the exit code. The rows of a wide table
    are better not `folded`."""
    if as_json:
        show_json(answer.to_json())
        return 0

    def words() -> None:
        if folded:
            show_text(answer.lines())
            return
        for line in answer.lines():
            show(line)

    show_both(words, picture, chart)
    return 0
