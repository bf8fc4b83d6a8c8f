"""What an entry line says: events for reeds, and things said of what is beside the reeds."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import NamedTuple

from reedkin.domain.facts import Facts
from reedkin.domain.reeds import State, Step
from reedkin.grammar.when.days import When
from reedkin.grammar.words.tokens import Problem


class ReedAction(NamedTuple):
    """An event that would be recorded for one reed. `reed` is its id, or None where this event begins it (or an
    earlier action of the same entry does). `before` and `after` are the reed at the time of the event."""

    tag: str
    reed: str | None
    kind: str
    facts: Facts
    at: datetime
    note: str
    before: State | None
    after: State


class BesideAction(NamedTuple):
    """Something that would be said of a thing beside the reeds. An empty `subject` is a new one."""

    table: str
    subject: str
    facts: Facts
    at: datetime


class AddedAction(NamedTuple):
    """Facts that would be put to those of an event that is recorded already, and a note in place of its own unless that
    is empty."""

    tag: str
    step: Step
    facts: Facts
    note: str


Action = ReedAction | BesideAction | AddedAction


@dataclass(frozen=True, slots=True)
class Reading:
    """An entry line as it is understood so far."""

    line: str
    actions: tuple[Action, ...] = ()
    errors: tuple[Problem, ...] = ()
    questions: tuple[Problem, ...] = ()
    at: When | None = None
    takes_back: bool = False
    apart: bool = False
    """Whether its events happened at times of their own; `at` is then the first."""
    shared_minutes: int | None = None
    """The minutes of the bench clock, where several scrapes of the entry share them."""
    lone_tag: str | None = None
    """The tag of a reed that is there, where the line is this tag and nothing more: the maker looks it up."""
    example: str = ""
    """How a line with a lone tag may go on."""

    @property
    def ready(self) -> bool:
        """Whether it could be recorded (questions may still have to be answered)."""
        return not self.errors and (bool(self.actions) or self.takes_back)
