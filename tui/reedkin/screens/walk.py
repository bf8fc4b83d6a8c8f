"""A walk around the demo in six steps, each done by the maker's own keys. It only looks on: it takes no key and holds
none up, and whatever is done in another order counts as well."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from reedkin.charts.canvas import Line, Run
from reedkin.screens.parts.keys import Key
from reedkin.screens.rooms import BENCH, HELP, ROOMS

if TYPE_CHECKING:
    from reedkin.desk import Desk
    from reedkin.domain.reeds import Reed

LEAVE_WALK = Key({"ctrl+g": "leave_walk"}, "Leave the walk around the demo", "leaves", priority=True)
_CASE, _HABITS = ROOMS["case"], ROOMS["habits"]


@dataclass(frozen=True, slots=True)
class WalkStep:
    """What to do, typed or pressed, and what that is for; `is_done` tells by the screen that is up and the desk."""

    keys: str
    said: str
    is_done: Callable[[str, Desk], bool]


_STEPS = (
    WalkStep(
        "{tag} c .3 Enter",
        "clips 0.3 mm off reed {tag}; what it will be shows as you type. (A real one: cut away from the fingers.)",
        lambda title, desk: bool(desk.lines),
    ),
    WalkStep("{tag} Enter", "the tag alone: that reed's whole life.", lambda title, desk: title == "reed"),
    WalkStep(
        _HABITS.way.in_full,
        "which habits go with shorter and with longer lives, and how sure that is.",
        lambda title, desk: title == _HABITS.name,
    ),
    WalkStep(
        _CASE.way.in_full,
        "what to play today, and how many hours each reed has left.",
        lambda title, desk: title == _CASE.name,
    ),
    WalkStep(
        f"{BENCH.way.in_full} Ctrl+Z",
        "back to the bench, and the last entry taken back: what you typed is yours to mend.",
        lambda title, desk: desk.taken_back > 0,
    ),
    WalkStep(
        f"{HELP.shown} or ?",
        "the help: every key and verb. / in it finds a word, and Enter does what is found.",
        lambda title, desk: title == "help",
    ),
)
_END = "That was the walk. Ctrl+Q quits; reedkin by itself opens a log of your own."


class Walk:
    """How far the maker has come. `look` is to be called whenever something may have been done."""

    def __init__(self) -> None:
        self._tag: str | None = None
        self._done: set[WalkStep] = set()
        self._ended_at: str | None = None
        """The screen on which the last step was done: on the next one the walk is over."""
        self.is_over = False

    def look(self, title: str, desk: Desk) -> None:
        """See what has been done by now; `title` is that of the screen that is up."""
        if self._tag is None:
            self._tag = _tag(desk)
        self._done |= {step for step in _STEPS if step.is_done(title, desk)}
        if self._ended_at not in (None, title):
            self.is_over = True
        if len(self._done) == len(_STEPS):
            self._ended_at = self._ended_at or title

    def line(self) -> Line:
        """The step that comes next, or that there is none."""
        leave = (Run("(", "faint"), Run(LEAVE_WALK.shown, "strong"), Run(f" {LEAVE_WALK.foot}):  ", "faint"))
        step = next((step for step in _STEPS if step not in self._done), None)
        if step is None:
            return *leave, Run(_END, "target")
        return (
            Run(f"{_STEPS.index(step) + 1} of {len(_STEPS)} ", "target"),
            *leave,
            Run(step.keys.format(tag=self._tag), "strong"),
            Run(f"  {step.said.format(tag=self._tag)}"),
        )


def _tag(desk: Desk) -> str:
    """The tag of the reed to be worked on: one whose drawing has much to show, the one played last among these."""

    def shows(reed: Reed) -> tuple[bool, bool, datetime]:
        last = reed.last_played
        return reed.now.tip_from_mm is not None, bool(reed.now.wire), reed.begun if last is None else last.at

    reed = max(desk.reeds(), key=shows, default=None)
    return reed.label if reed is not None else "1"
