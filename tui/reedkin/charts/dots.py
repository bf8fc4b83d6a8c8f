"""Drawing finer than a cell: a grid of dots, two across and four down in each cell, shown as braille patterns."""

from __future__ import annotations

from reedkin.charts.canvas import Canvas, Role

_BLANK = 0x2800
_BIT = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
"""The bit of each dot of a braille pattern by row and column (The Unicode Standard, Braille Patterns)."""


class Dots:
    """Dots over `width` by `height` cells. Dot 0, 0 is the upper left one; dots beyond the edges are left out."""

    ACROSS, DOWN = 2, 4

    def __init__(self, width: int, height: int) -> None:
        self.width = width * self.ACROSS
        self.height = height * self.DOWN
        self._bits: dict[tuple[int, int], int] = {}
        self._roles: dict[tuple[int, int], Role] = {}

    def set(self, x: int, y: int, role: Role, on: bool = True) -> None:
        """Set or clear one dot; the cell it is in takes the role."""
        if not (0 <= x < self.width and 0 <= y < self.height):
            return
        cell = (x // self.ACROSS, y // self.DOWN)
        bit = _BIT[y % self.DOWN][x % self.ACROSS]
        bits = self._bits.get(cell, 0)
        self._bits[cell] = bits | bit if on else bits & ~bit
        self._roles[cell] = role

    def put_on(self, canvas: Canvas, column: int = 0, row: int = 0) -> None:
        """Write the cells that have dots onto a canvas."""
        for (x, y), bits in self._bits.items():
            if bits:
                canvas.put(column + x, row + y, chr(_BLANK + bits), self._roles[x, y])
