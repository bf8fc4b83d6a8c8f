"""Asking a drawing what it shows."""

from __future__ import annotations

from hypothesis import settings
from rich.cells import cell_len

from reedkin.charts.canvas import Drawing

examples = settings(max_examples=60, deadline=None, derandomize=True)


def assert_size(drawing: Drawing, width: int, height: int) -> None:
    """Every line is exactly as wide as asked, as the screen counts columns, and nothing in it is a control."""
    assert len(drawing) == height
    for line in drawing:
        text = "".join(run.text for run in line)
        assert cell_len(text) == width, repr(text)
        assert all(char >= " " and char != "\x7f" for char in text)


def columns_of(drawing: Drawing, role: str) -> list[int]:
    """The columns in which any cell has this role, ascending. For drawings without wide characters."""
    found = set()
    for line in drawing:
        column = 0
        for run in line:
            if run.role == role:
                found |= {column + place for place, char in enumerate(run.text) if char != " "}
            column += len(run.text)
    return sorted(found)


def row_with(drawing: Drawing, text: str) -> str:
    """The first line with this text in it."""
    for line in drawing:
        said = "".join(run.text for run in line)
        if text in said:
            return said
    raise AssertionError(f"{text!r} is nowhere in the drawing")


def dots(drawing: Drawing, role: str) -> float:
    """How many dots a cell of this role has on the average."""
    cells = "".join(run.text for line in drawing for run in line if run.role == role)
    return sum((ord(char) - 0x2800).bit_count() for char in cells if "\u2800" <= char < "\u2900") / len(cells)
