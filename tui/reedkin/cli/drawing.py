"""Charts on the command line, where there is room for one."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from typing import TYPE_CHECKING

from reedkin.cli.context import show

if TYPE_CHECKING:
    from reedkin.charts.canvas import Drawing

_NARROWEST, _WIDEST, _HEIGHT = 60, 100, 18


def show_chart(draw: Callable[[int, int], Drawing]) -> None:
    """Print what `draw(width, height)` draws and an empty line; nothing on a narrow terminal."""
    width = min(shutil.get_terminal_size().columns, _WIDEST)
    if width < _NARROWEST:
        return
    from reedkin.charts.canvas import plain

    for line in plain(draw(width, _HEIGHT)).splitlines():
        show(line.rstrip())
    show()
