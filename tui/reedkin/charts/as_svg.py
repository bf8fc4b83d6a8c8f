"""A drawing as SVG, black on white, for a printed page: dots as dots, all else as letters on the same grid."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from reedkin.charts.canvas import Drawing
from reedkin.domain.columns import columns
from reedkin.domain.literal import literal

_WIDE, _HIGH = 8, 16
"""The size of a cell."""
_PALE = ("faint", "axis", "ghost")
"""Roles that are drawn grey."""
_DOTS = ((0, 0), (0, 1), (0, 2), (1, 0), (1, 1), (1, 2), (0, 3), (1, 3))
"""Column and row of each of the eight dots by its bit (The Unicode Standard, Braille Patterns)."""


def as_svg(drawing: Drawing) -> str:
    """The drawing as one `svg` element that needs nothing from elsewhere."""
    width = max((sum(columns(run.text) for run in line) for line in drawing), default=0)
    parts: list[str] = []
    for row, line in enumerate(drawing):
        column = 0
        for run in line:
            colour = "#666" if run.role in _PALE else "#000"
            for char in literal(run.text):
                if "\u2800" <= char <= "\u28ff":
                    parts += _dots(ord(char) - 0x2800, column, row, colour)
                elif char != " ":
                    parts.append(
                        f'<text x="{column * _WIDE}" y="{(row + 0.78) * _HIGH:g}" fill="{colour}">{escape(char)}</text>'
                    )
                column += columns(char)
    size = f"{width * _WIDE} {len(drawing) * _HIGH}"
    style = 'font-family="DejaVu Sans Mono, Menlo, Consolas, monospace" font-size="13"'
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {size}" {style}>\n' + "\n".join(parts) + "\n</svg>"


def _dots(bits: int, column: int, row: int, colour: str) -> Iterable[str]:
    for bit, (across, down) in enumerate(_DOTS):
        if bits >> bit & 1:
            x, y = (column + 0.25 + across / 2) * _WIDE, (row + 0.125 + down / 4) * _HIGH
            yield f'<circle cx="{x:g}" cy="{y:g}" r="1.3" fill="{colour}"/>'
