"""What was reckoned from the log, kept until the log changes; and what the maker chose to look at, kept while the
program runs."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Protocol, TypeVar, cast

if TYPE_CHECKING:
    from reedkin.answers.case.choosing import Occasion
    from reedkin.answers.ready import Wish
    from reedkin.bench.bench import Bench
    from reedkin.study.lives import Clock
    from reedkin.study.study import Study
    from reedkin.study.ticks import Tick

A = TypeVar("A", covariant=True)


class Question(Hashable, Protocol[A]):
    """Something to ask the log. Two equal questions have the same answer while the log is the same."""

    def answer(self, study: Study, tick: Tick) -> A:
        """The answer. Runs in a thread of its own: touches no widget, and no bench but that of the study."""


@dataclass(slots=True)
class Choice:
    """What the maker chose last: the clock that lives are told by, and what they are split by; what a reed of the case
    is to be played for, and when (None: now); what is to be ready by a day."""

    clock: Clock = "hours"
    by: str = "instrument"
    instrument: str | None = None
    occasion: Occasion = "practice"
    day: date | None = None
    wish: Wish | None = None


class Answers:
    """The study of a log and the answers it gave."""

    def __init__(self) -> None:
        self.choice = Choice()
        self.study: Study | None = None
        self._given: dict[Hashable, object] = {}
        self._bench: Bench | None = None
        self._changes = -1

    def renew(self, bench: Bench) -> None:
        """Forget what was reckoned from the log as it was."""
        if not self.holds_for(bench):
            self._bench, self._changes = bench, bench.changes
            self.study = None
            self._given.clear()

    def holds_for(self, bench: Bench) -> bool:
        """Whether what is kept here was reckoned from the log as it is."""
        return self._bench is bench and self._changes == bench.changes

    def keep(self, question: Question[A], answer: A) -> None:  # type: ignore[misc]
        self._given[question] = answer

    def given(self, question: Question[A]) -> A | None:
        """The answer to a question that was asked before."""
        return cast("A | None", self._given.get(question))
