"""The outline of a double reed seen from its broad side: how wide it is at every mm from the butt of its tube."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import sqrt

CORK_TO = 0.55
"""How far up the tube its cork reaches."""
THREAD_FROM = 0.60
"""Where on the tube the winding of thread begins."""
THREAD_MM, SLEEVE_MM, WIRE_MM = 0.8, 1.6, 1.0
"""How much wider than what they lie on thread, tubing and wire are drawn."""


@dataclass(frozen=True, slots=True)
class Shape:
    """Widths in mm. Drawn from memory, for the eye alone: nothing is computed from them.

    `cork_mm` is how wide the cork on the tube is, None where the tube is bare metal; `neck_mm` how wide the blades are
    where they leave the thread, `tip_mm` at the tip of a reed as long as it was tied.
    """

    butt_mm: float
    tube_end_mm: float
    neck_mm: float
    tip_mm: float
    cork_mm: float | None = None

    @property
    def widest_mm(self) -> float:
        """What a drawing must have room for."""
        return max(self.tip_mm, (self.cork_mm or 0), self.butt_mm + SLEEVE_MM) + 0.4

    def tube(self, at: float, tube_mm: float) -> float:
        """Width of the bare tube, which is a cone."""
        return self.butt_mm + (self.tube_end_mm - self.butt_mm) * at / tube_mm

    def blade(self, at: float, tube_mm: float, tied_mm: float) -> float:
        """Width of the blades: a long curve, steep at the neck and almost straight at the tip."""
        left = 1 - min(max((at - tube_mm) / max(tied_mm - tube_mm, 1), 0), 1)
        return self.tip_mm - (self.tip_mm - self.neck_mm) * left * sqrt(left)


_SHAPES: Mapping[str, Shape] = {
    "english horn": Shape(6.0, 4.4, 4.2, 7.8),
    "oboe": Shape(5.0, 4.0, 3.9, 7.0, cork_mm=6.6),
    "oboe d'amore": Shape(5.8, 4.2, 4.1, 7.4),
    "bass oboe": Shape(6.6, 4.8, 4.6, 8.6),
}


def shape_of(instrument: str, width_mm: float | None = None) -> Shape:
    """The outline of an instrument's reeds, with the width at the tip that was measured, if it was. Where the
    instrument is not known, that of the English horn."""
    shape = _SHAPES.get(instrument, _SHAPES["english horn"])
    return shape if width_mm is None else replace(shape, tip_mm=max(width_mm, shape.neck_mm))
