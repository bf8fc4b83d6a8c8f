"""A drawing that fills its place on the screen."""

from __future__ import annotations

from collections.abc import Callable

from textual.content import Content
from textual.widget import Widget

from reedkin.charts.canvas import Drawing
from reedkin.widgets.styled import styled

Draw = Callable[[int, int], Drawing]
"""Draws in so many columns and rows."""


class Drawn(Widget):
    """Shows what a function draws in the width and height that there is."""

    DEFAULT_CSS = "Drawn { text-wrap: nowrap; }"

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id)
        self._draw: Draw | None = None
        self._drawn: tuple[tuple[int, int], Content] | None = None

    def show(self, draw: Draw | None) -> None:
        """Show another drawing, or none."""
        self._draw, self._drawn = draw, None
        self.refresh()

    def drawing(self, width: int, height: int) -> Drawing | None:
        """What it shows, drawn in so many columns and rows; None where there is nothing, or no place for it now."""
        return self._draw(width, height) if self._draw is not None and self.display else None

    def render(self) -> Content:
        size = (self.size.width, self.size.height)
        if self._draw is None or not all(size):
            return Content("")
        if self._drawn is None or self._drawn[0] != size:
            self._drawn = size, styled(self._draw(*size))
        return self._drawn[1]
