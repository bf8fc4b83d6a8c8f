"""What all screens share: the line at the top, the keys at the bottom, the way from one to another."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, cast

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import Static

from reedkin.charts.canvas import Run
from reedkin.screens.program import Program
from reedkin.widgets.key_bar import KeyBar
from reedkin.widgets.styled import styled_line

if TYPE_CHECKING:
    from reedkin.desk import Desk

Keys = tuple[tuple[str, str], ...]

COMMON_KEYS: Keys = (
    ("F1", "help"), ("F2", "bench"), ("F3", "reed"), ("F4", "lives"), ("F5", "habits"), ("F6", "case"),
    ("F7", "ready"), ("F8", "week"), ("F10", "diary"),
)  # fmt: skip

QUIT_KEY = ("^Q", "quit")


class BaseScreen(Screen[None]):
    """A screen of the program. `TITLE` names it, `KEYS` are shown at its bottom before the common ones."""

    TITLE: ClassVar[str | None] = None
    KEYS: ClassVar[Keys] = ()
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (108, "-wide")]
    VERTICAL_BREAKPOINTS = [(0, "-tiny"), (18, "-short"), (32, "-tall")]
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f1", "help", "Help", show=False),
        Binding("f2", "go('bench')", "Bench", show=False),
        Binding("f3", "reed", "Reed", show=False),
        Binding("f4", "go('lives')", "Lives", show=False),
        Binding("f5", "go('habits')", "Habits", show=False),
        Binding("f6", "go('case')", "Case", show=False),
        Binding("f7", "go('ready')", "Ready by a day", show=False),
        Binding("f8", "go('week')", "Week", show=False),
        Binding("f10", "go('diary')", "Diary", show=False),
    ]

    def compose(self) -> ComposeResult:
        yield Static(id="top")
        yield from self.compose_body()
        yield KeyBar(self.keys())

    def compose_body(self) -> ComposeResult:
        """The part of the screen between its first and its last line."""
        yield from ()

    def keys(self) -> Keys:
        """The keys to show, the needful first."""
        return (*self.KEYS, *COMMON_KEYS, QUIT_KEY)

    @property
    def reedkin(self) -> Program:
        return cast(Program, self.app)

    @property
    def desk(self) -> Desk | None:
        """The open log; None while it is being read."""
        return self.reedkin.desk

    def on_mount(self) -> None:
        self.show_top()

    def on_screen_resume(self) -> None:
        self.show_log()

    def show_log(self) -> None:
        """Show the log as it is now: called when the screen comes up and whenever the log has changed."""
        self.show_top()

    def show_top(self) -> None:
        """The line at the top: where one is, the day, the session."""
        runs = [Run(f"reedkin · {self.TITLE}", "strong"), *self.reedkin.day_and_session()]
        self.query_one("#top", Static).update(styled_line(runs))

    def action_go(self, screen: str) -> None:
        self.reedkin.go(screen)

    def action_help(self) -> None:
        self.reedkin.show_help()

    def action_reed(self) -> None:
        """The life of the reed in hand."""
        if self.desk is not None and self.desk.hand is not None:
            self.reedkin.show_reed(self.desk.hand.id)
