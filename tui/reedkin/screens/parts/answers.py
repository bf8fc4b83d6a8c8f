"""What was reckoned from the log, kept until the log changes or another day begins; and what the maker chose to look
at, kept while the program runs."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, TypeVar, cast

from reedkin.answers.question import Asked, Question

if TYPE_CHECKING:
    from reedkin.answers.case.choosing import Occasion
    from reedkin.answers.ready import Wish
    from reedkin.bench.bench import Bench
    from reedkin.study.lives import Clock
    from reedkin.study.study import Study

A = TypeVar("A")


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
    """A log that was read to be asked, and the answers it gave."""

    def __init__(self) -> None:
        self.choice = Choice()
        self.asked: Asked | None = None
        self._given: dict[Hashable, object] = {}
        self._bench: Bench | None = None
        self._as_of: tuple[int, date] | None = None

    @property
    def study(self) -> Study | None:
        """The study of the log; None while it has not been read."""
        return None if self.asked is None else self.asked.study

    def renew(self, bench: Bench) -> None:
        """Forget what was reckoned from the log as it was."""
        if not self.holds_for(bench):
            self._bench, self._as_of = bench, _as_of(bench)
            self.asked = None
            self._given.clear()

    def holds_for(self, bench: Bench) -> bool:
        """Whether what is kept here was reckoned from the log as it is, today."""
        return self._bench is bench and self._as_of == _as_of(bench)

    def keep(self, question: Question[A], answer: A) -> None:
        self._given[question] = answer

    def given(self, question: Question[A]) -> A | None:
        """The answer to a question that was asked before."""
        return cast("A | None", self._given.get(question))


def _as_of(bench: Bench) -> tuple[int, date]:
    return bench.changes, bench.clock.now().date()
