"""What a screen knows of the program that it is part of: so much and no more, so that no screen imports the app."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from reedkin.domain.clock import Clock

if TYPE_CHECKING:
    from pathlib import Path

    from reedkin.desk import Desk
    from reedkin.screens.parts.answers import Answers
    from reedkin.screens.walk import Walk
    from reedkin.widgets.turns import Turns


class Program(Protocol):
    """The program as its screens see it; `ReedkinApp` is one."""

    clock: Clock
    demo: bool
    """Whether the log is a private copy of one that comes with the program."""

    answers: Answers
    turns: Turns
    """Deals out what is typed, in its order."""

    walk: Walk | None
    """The walk around the demo; None where there is none."""

    other_log: Path | None
    """A version of the log that lies beside it and holds what it lacks, as far as one is known."""

    @property
    def desk(self) -> Desk | None:
        """The open log; None while it is being read."""

    def line_changed(self, text: str) -> None:
        """Another text stands on the entry line, to be kept if the program ends before it is recorded."""

    def look(self) -> None:
        """Take on the look that is set."""

    def tell(self, text: str) -> None:
        """Tell something beside the work, which goes on."""

    def write(self, line: str) -> None:
        """Put the beginning of a line on the entry line, if nothing stands there."""

    def go(self, name: str) -> None:
        """Go to a screen by its name."""

    def show_reed(self, reed: str) -> None:
        """Show the life of a reed by its id."""

    def show_damage(self) -> None:
        """Show what is wrong with the log, and what can be done."""

    def show_help(self) -> None:
        """Show the keys of the screen that is up, the verbs and the cautions."""
