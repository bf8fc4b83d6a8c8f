"""The bottom of a screen: the rooms, the one that one is in lit, and beneath them what can be done here."""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content
from textual.geometry import Size
from textual.widget import Widget

from reedkin.charts.canvas import Line, Run
from reedkin.domain.columns import columns
from reedkin.widgets.styled import styled

Said = Sequence[tuple[str, str]]
_ROOMY = 24
"""Rows from which a screen has room for both lines; with fewer there is one, the needful first."""


class KeyBar(Widget):
    """Shows (key, what it does) pairs; those that do not fit are left to the help screen. `every`: all keys, for one
    line; `here`: those that belong to this screen, `rooms` the ways to others, of which `lit` is the one that is up."""

    DEFAULT_CSS = "KeyBar { height: auto; background: $panel; padding: 0 0 0 1; }"

    def __init__(self, every: Said, here: Said = (), rooms: Said = (), lit: str = "") -> None:
        super().__init__()
        self._every, self._here, self._rooms, self._lit = every, here, rooms, lit

    @property
    def _is_roomy(self) -> bool:
        return bool(self._rooms) and self.app.size.height >= _ROOMY

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        return 2 if self._is_roomy else 1

    def render(self) -> Content:
        room = self.size.width
        if not self._is_roomy:
            return styled([_fitting(self._every, room)])
        return styled([self._to_rooms(room), _fitting(self._here, room)])

    def _to_rooms(self, room: int) -> Line:
        """The rooms by their keys; the one that is up has a ▸ in place of the space."""
        wide = sum(columns(key) + columns(name) + 1 for key, name in self._rooms) + len(self._rooms) - 1
        gap = "  " if wide + len(self._rooms) - 1 <= room else " "
        runs: list[Run] = []
        for key, name in self._rooms:
            up = name == self._lit
            runs += [Run(gap if runs else ""), Run(key, "faint"), Run("▸" if up else " ", "target")]
            runs.append(Run(name, "strong" if up else ""))
        return tuple(runs)


def _fitting(keys: Said, room: int) -> Line:
    runs: list[Run] = []
    for key, does in keys:
        need = columns(key) + columns(does) + 1 + (2 if runs else 0)
        if need > room:
            break
        room -= need
        runs += [Run("  " if runs else "", ""), Run(key, "strong"), Run(f" {does}", "faint")]
    return tuple(runs)
