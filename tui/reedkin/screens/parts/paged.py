"""A screen of one page: what was chosen, a chart, the lines beneath it that one scrolls through, and what is said."""

from __future__ import annotations

from textual import events
from textual.app import ComposeResult
from textual.containers import VerticalScroll

from reedkin.charts.canvas import Line
from reedkin.screens.parts.asking import AskingScreen
from reedkin.widgets.drawn import Drawn
from reedkin.widgets.steady_text import SteadyText
from reedkin.widgets.styled import WIDEST, styled

_MARGINS = 4
"""Columns beside the lines: a space on either side, and a bar to scroll by."""


class PagedScreen(AskingScreen):
    """Keeps its lines folded to the width that there is. Its looks are in `paged.tcss`."""

    def compose_body(self) -> ComposeResult:
        yield SteadyText(id="chosen")
        yield Drawn(id="chart")
        with VerticalScroll(id="page"):
            yield SteadyText(id="lines")
        yield SteadyText(id="said")

    def on_mount(self) -> None:
        super().on_mount()
        self.query_one("#page").focus()

    @property
    def chart(self) -> Drawn:
        """The chart above the lines."""
        return self.query_one("#chart", Drawn)

    def folded_lines(self, width: int) -> list[Line]:
        """What is to be shown beneath the chart, in lines of at most so many columns."""
        raise NotImplementedError

    @property
    def room(self) -> int:
        """The columns that lines have."""
        return min(self.size.width, WIDEST) - _MARGINS

    def show_lines(self) -> None:
        """Show the lines as they are now."""
        self.query_one("#lines", SteadyText).update(styled(self.folded_lines(self.room)))

    def on_resize(self, event: events.Resize) -> None:
        self.show_lines()
