"""Charts on the command line, where there is room for one."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from reedkin.cli.context import show, show_text

if TYPE_CHECKING:
    from reedkin.charts.canvas import Drawing

_NARROWEST, _WIDEST, _HEIGHT = 60, 100, 18


@dataclass(frozen=True, slots=True)
class Picture:
    """What `draw(width, height)` draws, and in a sentence what is to be seen there."""

    says: str
    draw: Callable[[int, int], Drawing]


def wants_chart(asked: bool | None) -> bool:
    """Whether a chart is to be drawn, where it was asked for so: unless somebody says otherwise, only for a terminal,
    since what reads a pipe, or reads aloud, wants words; and never on a narrow one."""
    return (sys.stdout.isatty() if asked is None else asked) and _width() >= _NARROWEST


def _width() -> int:
    return min(shutil.get_terminal_size().columns, _WIDEST)


def show_chart(picture: Picture) -> None:
    """Print what a picture shows, in a sentence, and beneath it the picture."""
    from reedkin.charts.canvas import plain

    show_text([picture.says])
    for line in plain(picture.draw(_width(), _HEIGHT)).splitlines():
        show(line.rstrip())


def show_both(words: Callable[[], None], picture: Picture | None, asked: bool | None) -> None:
    """What `words` prints, with a chart if one is wanted: above them on a terminal, where they then stand next to the
    prompt; else beneath them, since whoever reads from the top wants the words first."""
    if picture is None or not wants_chart(asked):
        words()
    elif sys.stdout.isatty():
        show_chart(picture)
        show()
        words()
    else:
        words()
        show()
        show_chart(picture)
