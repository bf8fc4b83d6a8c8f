"""The reeds behind a number: one row a reed, how long it lasted, what became of it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widgets import Static

from reedkin.charts.canvas import Run
from reedkin.domain.columns import fit
from reedkin.domain.figures import duration, plural
from reedkin.domain.instruments import short_name
from reedkin.screens.parts.base import BaseScreen
from reedkin.screens.parts.keys import Key, Keys, bindings, enter, rows
from reedkin.widgets.row_list import Row, RowList
from reedkin.widgets.styled import styled

if TYPE_CHECKING:
    from reedkin.answers.lives.roll import RollEntry


class RollScreen(BaseScreen):
    """Reeds that were counted together, those that lasted longest first. Enter shows the life of one."""

    TITLE = "reeds"
    CSS_PATH = "roll.tcss"
    KEYS: ClassVar[Keys] = (rows("reed"), enter("Its life", "its life"), Key({"escape": "back"}, "Back", "back"))
    BINDINGS: ClassVar[list[BindingType]] = bindings(KEYS)

    def __init__(self, title: str, habit: str, roll: Sequence[RollEntry]) -> None:
        super().__init__()
        self._title, self._habit, self._roll = title, habit, roll

    def compose_body(self) -> ComposeResult:
        yield Static(
            styled([[Run(self._title, "strong"), Run(f"   {plural(len(self._roll), 'reed')}", "faint")]]), id="what"
        )
        yield RowList(id="roll")

    def on_mount(self) -> None:
        super().on_mount()
        rows = self.query_one(RowList)
        rows.show([_row(entry) for entry in self._roll], _heading(self._habit))
        rows.focus()

    @on(RowList.Chosen)
    def _open(self, event: RowList.Chosen) -> None:
        self.reedkin.show_reed(self._roll[event.place].reed)

    def action_back(self) -> None:
        self.app.pop_screen()


def _heading(habit: str) -> Row:
    counted = f"{'played':>9}{'served':>10}   "
    return [Run(f"{fit('reed', 9)}{fit('for', 5)}{counted}{fit('what became of it', 20)}{habit.lower()}", "faint")]


def _row(entry: RollEntry) -> Row:
    days = "–" if entry.days is None else plural(round(entry.days), "day")
    return [
        Run(fit(entry.label, 8) + " ", "cane"),
        Run(fit(short_name(entry.instrument), 5)),
        Run(f"{duration(60 * entry.hours):>9}", "strong"),
        Run(f"{days:>10}   "),
        Run(fit(entry.end, 20), "" if entry.ended else "good" if entry.end == "in service" else "faint"),
        Run(entry.value),
    ]
