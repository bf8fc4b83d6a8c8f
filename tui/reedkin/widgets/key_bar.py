"""The keys of a screen in one line, as many as fit, the needful first."""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content
from textual.widget import Widget

from reedkin.charts.canvas import Run
from reedkin.widgets.styled import styled_line


class KeyBar(Widget):
    """Shows (key, what it does) pairs; those that do not fit are left to the help screen."""

    DEFAULT_CSS = "KeyBar { height: 1; background: $panel; padding: 0 0 0 1; }"

    def __init__(self, keys: Sequence[tuple[str, str]]) -> None:
        super().__init__()
        self._keys = keys

    def render(self) -> Content:
        runs: list[Run] = []
        room = self.size.width
        for key, does in self._keys:
            need = len(key) + len(does) + 1 + (2 if runs else 0)
            if need > room:
                break
            room -= need
            runs += [Run("  " if runs else "", ""), Run(key, "strong"), Run(f" {does}", "faint")]
        return styled_line(runs)
