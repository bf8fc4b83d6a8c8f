"""Choosing from a list: one of several things, or any number of them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import ClassVar, TypeVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Static

from reedkin.charts.canvas import Run
from reedkin.screens.parts.keys import LEAVE, Key, Keys, aside, bindings, enter
from reedkin.widgets.row_list import Row, RowList
from reedkin.widgets.styled import styled

R = TypeVar("R")

_MOVE = Key({"up,k": "", "down,j": ""}, "The row above or below", "move")


class ListScreen(ModalScreen[R | None]):
    """A list to choose from; None if the question was left."""

    CSS_PATH = "choice.tcss"
    KEYS: ClassVar[Keys] = (_MOVE, enter("Take it", "takes it"), LEAVE)
    BINDINGS: ClassVar[list[BindingType]] = bindings(KEYS)

    def __init__(self, title: str, choices: Sequence[str]) -> None:
        super().__init__()
        self._title, self.choices = title, choices

    def compose(self) -> ComposeResult:
        with Vertical(id="box"):
            yield Static(styled([[Run(self._title, "strong")]]))
            yield RowList(id="choices")
            yield Static(styled([aside(self.KEYS)]))

    def on_mount(self) -> None:
        rows = self.query_one(RowList)
        rows.styles.height = min(len(self.choices), max(3, self.app.size.height - 8))
        rows.focus()

    def show_rows(self, rows: Sequence[Row], place: int | None = None) -> None:
        self.query_one(RowList).show(rows, None, place)

    def action_leave(self) -> None:
        self.dismiss(None)


class ChoiceScreen(ListScreen[int]):
    """Asks for one of some things; gives its place."""

    def __init__(self, title: str, choices: Sequence[str], place: int = 0) -> None:
        super().__init__(title, choices)
        self._place = place

    def on_mount(self) -> None:
        super().on_mount()
        self.show_rows([[Run(choice)] for choice in self.choices], self._place)

    @on(RowList.Chosen)
    def _chosen(self, event: RowList.Chosen) -> None:
        self.dismiss(event.place)


class SeveralScreen(ListScreen[tuple[int, ...]]):
    """Asks for any number of things; gives their places."""

    KEYS: ClassVar[Keys] = (
        _MOVE,
        Key({"space,x": "mark"}, "Mark, or take the mark away", "marks"),
        enter("Take what is marked", "takes them"),
        LEAVE,
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings(KEYS)

    def __init__(self, title: str, choices: Sequence[str], chosen: Iterable[int] = ()) -> None:
        super().__init__(title, choices)
        self._chosen = set(chosen)

    def on_mount(self) -> None:
        super().on_mount()
        self._show()

    def _show(self) -> None:
        self.show_rows(
            [
                [Run("[x] ", "target") if place in self._chosen else Run("[ ] ", "faint"), Run(choice)]
                for place, choice in enumerate(self.choices)
            ]
        )

    def action_mark(self) -> None:
        self._chosen ^= {self.query_one(RowList).place}
        self._show()

    @on(RowList.Chosen)
    def _done(self) -> None:
        self.dismiss(tuple(sorted(self._chosen)))
