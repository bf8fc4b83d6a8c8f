"""A list of lines of which one is chosen: the history of a reed, the habits, whatever is gone through row by row."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Hashable, Sequence
from dataclasses import dataclass
from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.message import Message
from textual.widget import Widget

from reedkin.charts.canvas import Run
from reedkin.domain.columns import cut
from reedkin.domain.literal import literal
from reedkin.widgets.styled import cut_line, styled
from reedkin.widgets.window import top_of

Row = Sequence[Run]


class RowList(Widget, can_focus=True):
    """Shows as many rows as fit, always with the chosen one among them, marked by a ▸ and not by colour alone."""

    DEFAULT_CSS = "RowList { text-wrap: nowrap; text-overflow: ellipsis; }"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up,k", "move(-1)", "Row above", show=False),
        Binding("down,j", "move(1)", "Row below", show=False),
        Binding("pageup", "page(-1)", "Page up", show=False),
        Binding("pagedown", "page(1)", "Page down", show=False),
        Binding("home", "move(-1000000)", "First row", show=False),
        Binding("end", "move(1000000)", "Last row", show=False),
        Binding("enter", "choose", "Open", show=False),
    ]

    @dataclass
    class Moved(Message):
        """Another row is marked."""

        place: int

    @dataclass
    class Chosen(Message):
        """Enter on a row, or a click on the marked one."""

        place: int

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id)
        self._rows: Sequence[Row] = ()
        self._heading: Row | None = None
        self._top = 0
        self._apart: Sequence[int] = ()
        self._about: Sequence[Hashable] = ()
        self._lines: list[int | None] = []
        self.place = 0

    def show(
        self,
        rows: Sequence[Row],
        heading: Row | None = None,
        place: int | None = None,
        apart: Sequence[int] = (),
        about: Sequence[Hashable] = (),
    ) -> None:
        """Show these rows under a heading; `place` marks one. Otherwise the mark stays where it is, or, where `about`
        says what each row is about, on the row about the same as before: what a key does next must not depend on
        whether others came in above it. Before each of the rows `apart`, in ascending order, stands a blank line."""
        marked = self._about[self.place] if self.place < len(self._about) else None
        if place is None and marked in about:
            place = about.index(marked)
        self._rows, self._heading, self._apart, self._about = rows, heading, apart, about
        self.place = max(0, min(len(rows) - 1, self.place if place is None else place))
        self.refresh()

    @property
    def has_rows(self) -> bool:
        return bool(self._rows)

    @property
    def cut_off(self) -> str:
        """What of the marked row does not fit, from the word that is cut or the first left out; empty if all does."""
        if not self._rows:
            return ""
        text = "  " + "".join(literal(run.text) for run in self._rows[self.place])
        shown = cut(text, self.size.width)
        if shown == text:
            return ""
        kept = max(len(shown) - 1, 0)
        rest = text[kept:].lstrip(",;:")  # which `cut` leaves away behind a whole word
        return text[text.rfind(" ", 0, kept) + 1 :] if rest[:1].strip() else rest.lstrip()

    def render(self) -> Content:
        lines: list[Row] = [[Run("  "), *self._heading]] if self._heading is not None else []
        room = max(1, self.size.height - len(lines))
        marked = self._line_of(self.place)
        self._top = top_of(self._top, marked, len(self._rows) + len(self._apart), room)
        self._lines = self._shown(self._top, room)
        for place in self._lines:
            row = () if place is None else self._rows[place]
            marked_row = [Run("▸ " if place == self.place else "  ", "target"), *row]
            lines.append(cut_line(marked_row, self.size.width))
        return styled(lines)

    def _line_of(self, place: int) -> int:
        """The line that a row stands in, from the first row of all."""
        return place + bisect_right(self._apart, place)

    def _shown(self, top: int, room: int) -> list[int | None]:
        """What stands in so many lines from `top` on: the place of a row each, None for a blank line."""
        found: list[int | None] = []
        for place in range(max(0, top - len(self._apart)), len(self._rows)):
            line = self._line_of(place)
            if line >= top + room:
                break
            if place in self._apart and line > top:
                found.append(None)
            if line >= top:
                found.append(place)
        return found[:room]

    def action_move(self, by: int) -> None:
        place = max(0, min(len(self._rows) - 1, self.place + by))
        if place != self.place:
            self.place = place
            self.refresh()
            self.post_message(self.Moved(place))

    def action_page(self, by: int) -> None:
        self.action_move(by * max(1, self.size.height - 2))

    def action_choose(self) -> None:
        if self._rows:
            self.post_message(self.Chosen(self.place))

    def on_click(self, event: events.Click) -> None:
        line = event.y - (1 if self._heading is not None else 0)
        place = self._lines[line] if 0 <= line < len(self._lines) else None
        if place is not None:
            if place == self.place:
                self.action_choose()
            else:
                self.action_move(place - self.place)

    def on_mouse_scroll_down(self) -> None:
        self.action_move(3)

    def on_mouse_scroll_up(self) -> None:
        self.action_move(-3)
