"""What is due this week, and whose reed needs replacing soon, in one quiet line; none where nothing is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from textual import on, work
from textual.message import Message
from textual.widgets import Static

from reedkin.bench.borrowed import Borrowed
from reedkin.charts.canvas import Run
from reedkin.domain.columns import columns, cut
from reedkin.widgets.styled import WIDEST, styled_line

if TYPE_CHECKING:
    from datetime import date

    from reedkin.bench.bench import Bench


class DueLine(Static):
    """The order that presses most, or else the reed of somebody's that does. It is looked for in a thread, since that
    takes the reeds that were handed over, and some more."""

    DEFAULT_CSS = "DueLine { height: 1; padding: 0 1; text-wrap: nowrap; text-overflow: ellipsis; display: none; }"

    @dataclass
    class Found(Message):
        """What is due by a log that was `borrowed`, the most pressing first."""

        due: list[str]
        borrowed: Borrowed

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id)
        self._as_of: tuple[Bench, int, date] | None = None
        """The log, how often it had changed, and the day, when it was last looked through."""

    def look(self, bench: Bench) -> None:
        """Show what is due by this log, looking only if it has changed since the last time, or the day has."""
        from reedkin.bench.orders import ORDERS  # not before the first paint

        as_of = bench, bench.changes, bench.clock.now().date()
        if as_of == self._as_of:
            return
        self._as_of = as_of
        if bench.beside.said(ORDERS) or bench.whereabouts.any_went_out():
            self._find(Borrowed(bench))
        else:
            self.display = False

    @work(thread=True, exclusive=True, group="due")
    def _find(self, borrowed: Borrowed) -> None:
        from reedkin.answers.orders.telling import order_line
        from reedkin.answers.people.question import due_for_replacing
        from reedkin.answers.people.telling import replacing_lines
        from reedkin.bench.orders import due

        bench = borrowed.bench()
        today = bench.clock.now().date()
        lines = [order_line(order, today) for order in due(bench)]
        lines += replacing_lines(due_for_replacing(bench))
        self.post_message(self.Found(lines, borrowed))

    @on(Found)
    def _show(self, message: Found) -> None:
        borrowed = message.borrowed
        borrowed.give_back()
        if self._as_of is None or (borrowed.of, borrowed.changes) != self._as_of[:2]:
            return  # the log has changed since, and is being looked through anew
        self.display = bool(message.due)
        if message.due:
            first, *others = message.due
            more = f"  (and {len(others)} more: F8)" if others else ""
            room = (self.app.size.width or WIDEST) - columns(f" Due  {more} ")
            self.update(styled_line([Run("Due  ", "warn"), Run(f"{cut(first, room)}{more}")]))
