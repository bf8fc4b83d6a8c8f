"""What all screens share: the line at the top, the keys at the bottom, the way from one to another."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, cast

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.screen import Screen

from reedkin.charts.canvas import Run
from reedkin.screens.parts.keys import Keys, bindings, foot
from reedkin.screens.parts.program import Program
from reedkin.screens.parts.top_line import day_and_session
from reedkin.screens.rooms import COMMON, QUIT
from reedkin.widgets.key_bar import KeyBar
from reedkin.widgets.steady_text import SteadyText
from reedkin.widgets.styled import styled_line

if TYPE_CHECKING:
    from reedkin.desk import Desk

_NO_REED = "No reed is in hand. On the bench, 1 tie oboe 72 begins one; a tag alone shows any there was."


class BaseScreen(Screen[None]):
    """A screen of the program. `TITLE` names it. `KEYS` are its own keys, the needful first: those it inherits among
    them, so that they stand in one place in their order."""

    TITLE: ClassVar[str | None] = None
    KEYS: ClassVar[Keys] = ()
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (108, "-wide")]
    VERTICAL_BREAKPOINTS = [(0, "-tiny"), (18, "-short"), (32, "-tall")]
    BINDINGS: ClassVar[list[BindingType]] = bindings(COMMON)

    def compose(self) -> ComposeResult:
        self._fit()
        yield SteadyText(id="top")
        yield SteadyText(id="walk")
        yield from self.compose_body()
        yield KeyBar(foot(self.foot()), foot((*self.here(), QUIT)), foot(COMMON), self.TITLE or "")

    def _fit(self) -> None:
        """Have the classes of the size before anything is on the screen. Textual alone would give them at the first
        layout, and then style and lay out everything a second time."""
        width, height = self.app.size
        for length, points in ((width, self.HORIZONTAL_BREAKPOINTS), (height, self.VERTICAL_BREAKPOINTS)):
            self.add_class(max(point for point in points if point[0] <= length)[1], update=False)

    def compose_body(self) -> ComposeResult:
        """The part of the screen between its first and its last line."""
        yield from ()

    def foot(self) -> Keys:
        """The keys to show at the bottom where there is but one line, the needful first."""
        return (*self.KEYS, *COMMON, QUIT)

    def here(self) -> Keys:
        """What can be done on this screen, most used first, beneath the rooms."""
        return self.KEYS

    @property
    def reedkin(self) -> Program:
        return cast(Program, self.app)

    @property
    def desk(self) -> Desk:
        """The log on the desk. Of all screens the bench alone is up before the log has been read, and whatever leads
        away from it waits until then."""
        desk = self.reedkin.desk
        assert desk is not None
        return desk

    def on_mount(self) -> None:
        self.show_top()

    def on_screen_resume(self) -> None:
        self.show_log()

    def show_log(self) -> None:
        """Show the log as it is now: called when the screen comes up and whenever the log has changed."""
        self.show_top()

    def show_top(self) -> None:
        """The line at the top: where one is, the day, the session; and the look that is set."""
        self.reedkin.look()
        runs = [Run(f"reedkin · {self.TITLE}", "strong"), *day_and_session(self.reedkin)]
        self.query_one("#top", SteadyText).update(styled_line(runs))
        self._show_walk()

    def _show_walk(self) -> None:
        """The next step of the walk around the demo, while there is one."""
        walk, desk = self.reedkin.walk, self.reedkin.desk
        if walk is not None and desk is not None:
            walk.look(self.TITLE or "", desk)
        shown = self.query_one("#walk", SteadyText)
        goes_on = walk is not None and desk is not None and not walk.is_over
        shown.set_class(goes_on, "-goes-on")
        shown.update(styled_line(walk.line() if walk is not None and goes_on else ()))

    def action_go(self, screen: str) -> None:
        self.reedkin.go(screen)

    def action_help(self) -> None:
        self.reedkin.show_help()

    def action_reed(self) -> None:
        """The life of the reed in hand."""
        hand = self.desk.hand
        if hand is not None:
            self.reedkin.show_reed(hand.id)
        else:
            self.reedkin.tell(_NO_REED)
