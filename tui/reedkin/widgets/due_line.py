"""What is due this week, in one quiet line; none where nothing is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from textual import on, work
from textual.message import Message
from textual.widgets import Static

from reedkin.bench.borrowed import Borrowed
from reedkin.charts.canvas import Run
from reedkin.widgets.styled import styled_line

if TYPE_CHECKING:
    from datetime import date

    from reedkin.bench.bench import Bench
    from reedkin.bench.orders import Order


class DueLine(Static):
    """The order that presses most. It is looked for in a thread, since that takes the reeds since the first order."""

    DEFAULT_CSS = "DueLine { height: 1; padding: 0 1; text-wrap: nowrap; text-overflow: ellipsis; display: none; }"

    @dataclass
    class Found(Message):
        """What is due by a log that was `borrowed`."""

        due: list[Order]
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
        if bench.beside.said(ORDERS):
            self._find(Borrowed(bench))
        else:
            self.display = False

    @work(thread=True, exclusive=True, group="due")
    def _find(self, borrowed: Borrowed) -> None:
        from reedkin.bench.orders import due

        self.post_message(self.Found(due(borrowed.bench()), borrowed))

    @on(Found)
    def _show(self, message: Found) -> None:
        from reedkin.bench.orders import order_line

        borrowed = message.borrowed
        borrowed.give_back()
        if self._as_of is None or (borrowed.of, borrowed.changes) != self._as_of[:2]:
            return  # the log has changed since, and is being looked through anew
        self.display = bool(message.due)
        if message.due:
            first, *others = message.due
            more = f"  (and {len(others)} more: F8)" if others else ""
            line = order_line(first, borrowed.of.clock.now().date())
            self.update(styled_line([Run("Due  ", "warn"), Run(f"{line}{more}")]))
