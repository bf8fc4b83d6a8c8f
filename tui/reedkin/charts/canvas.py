"""What every drawing is made of: lines of runs of text, each with the name of what it shows. No colours: the screen
gives every role a style, and the text alone must be enough to read the drawing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Literal

from reedkin.domain.columns import columns, cut, fit
from reedkin.domain.literal import literal

Role = Literal[
    "", "cane", "heart", "tip", "thread", "wire", "tube", "cork", "tubing", "ghost", "target", "axis", "faint",
    "strong", "group0", "group1", "group2", "group3", "group4", "good", "warn", "error",
    "red-thread", "orange-thread", "yellow-thread", "green-thread", "teal-thread", "blue-thread", "purple-thread",
    "pink-thread", "brown-thread", "white-thread", "grey-thread", "black-thread",
]  # fmt: skip
"""What a run of text shows. "" is plain text."""

GROUP_ROLES: Sequence[Role] = ("group0", "group1", "group2", "group3", "group4")
GROUP_MARKS = "●○■□▲△◆◇"
"""The marks of groups: they differ where the roles begin again, so no group is known by its colour alone."""


@dataclass(frozen=True, slots=True)
class Run:
    """Text that stands for one thing."""

    text: str
    role: Role = ""


Line = tuple[Run, ...]
Drawing = tuple[Line, ...]


def plain(drawing: Iterable[Line]) -> str:
    """The drawing as text alone."""
    return "\n".join("".join(run.text for run in line) for line in drawing)


_BLANK: tuple[str, Role] = (" ", "")


class Canvas:
    """A grid of `width` by `height` cells to write on; the column and row of its upper left corner are 0, 0."""

    def __init__(self, width: int, height: int) -> None:
        self.width = width
        self.height = height
        self._cells: list[list[tuple[str, Role]]] = [[_BLANK] * width for _ in range(height)]

    def put(self, column: int, row: int, text: str, role: Role = "") -> None:
        """Write text from a cell on. What is beyond the edges is left out."""
        if not 0 <= row < self.height:
            return
        cells = self._cells[row]
        for char in literal(text):
            wide = columns(char)
            if wide == 0:
                if 0 < column <= self.width and cells[column - 1][0]:
                    cells[column - 1] = (cells[column - 1][0] + char, cells[column - 1][1])
                continue
            if column >= 0 and column + wide <= self.width:
                self._free(cells, column, wide)
                cells[column] = (char, role)
                if wide == 2:
                    cells[column + 1] = ("", role)
            column += wide

    def _free(self, cells: list[tuple[str, Role]], column: int, wide: int) -> None:
        """Blank the other half of any wide character that is about to be half overwritten."""
        if cells[column][0] == "" and column:
            cells[column - 1] = _BLANK
        after = column + wide
        if after < self.width and cells[after][0] == "":
            cells[after] = _BLANK

    def is_free(self, column: int, row: int, wide: int) -> bool:
        """Whether these cells are within the canvas and nothing was written on them, nor a space that stands for
        something."""
        return (
            0 <= row < self.height
            and column >= 0
            and column + wide <= self.width
            and all(cell == _BLANK for cell in self._cells[row][column : column + wide])
        )

    def drawing(self) -> Drawing:
        """What was written, every line exactly as wide as the canvas."""
        return tuple(
            tuple(
                Run("".join(char for char, _ in cells), role) for role, cells in groupby(line, key=lambda cell: cell[1])
            )
            for line in self._cells
        )


def sentence(text: str, width: int, height: int) -> Drawing:
    """A sentence in place of a drawing, in the middle of its space; cut where it does not fit."""
    canvas = Canvas(max(width, 0), max(height, 0))
    lines = _wrapped(literal(text), canvas.width)[: canvas.height]
    top = (canvas.height - len(lines)) // 2
    for row, line in enumerate(lines):
        canvas.put(0, top + row, fit(line, canvas.width, "^"), "faint")
    return canvas.drawing()


def _wrapped(text: str, width: int) -> list[str]:
    lines: list[str] = []
    for word in text.split():
        if lines and columns(lines[-1]) + 1 + columns(word) <= width:
            lines[-1] += f" {word}"
        else:
            lines.append(cut(word, width))
    return lines


def too_small(width: int, height: int, need_width: int, need_height: int, what: str = "a chart") -> Drawing | None:
    """The sentence that takes a chart's place where there is no room for it; None where there is."""
    if width >= need_width and height >= need_height:
        return None
    return sentence(f"too small for {what}: needs {need_width} x {need_height}", width, height)
