"""The reed, drawn to scale: lying on its side, the butt of its tube at the left, its tip at the right, seen broad.

All reeds of one instrument are drawn to one scale, so that a clipped reed is seen to be shorter; what was clipped
since it was tied stays as a dotted ghost. What was not measured is drawn where the maker aims, dotted and with "?".
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from math import ceil

from reedkin.charts.canvas import Canvas, Drawing, Role, too_small
from reedkin.charts.dots import Dots
from reedkin.charts.reed_plan import ReedPlan, plan_of
from reedkin.charts.reed_ruler import Ruler
from reedkin.charts.reed_shape import CORK_TO, SLEEVE_MM, THREAD_FROM, THREAD_MM, WIRE_MM
from reedkin.domain.instruments import Targets
from reedkin.domain.reeds import State

NEEDS = (40, 5)
"""The least width and height of a drawing."""
MARGIN_MM = 4
"""Room beyond the target length."""
ARCH_MM = 1.2
"""How far the tip reaches back at its corners, for the eye."""

_TEXTURES: Mapping[Role, Callable[[int, int], bool]] = {
    "tubing": lambda x, y: x % 2 == 0,
    "cork": lambda x, y: (x * 7 + y * 5) % 11 == 0 or (x * 3 + y * 7) % 13 == 0,
    "tube": lambda x, y: False,
    "thread": lambda x, y: (x + y) % 4 == 0,
    "cane": lambda x, y: (x + y) % 2 == 0,
    "heart": lambda x, y: True,
    "tip": lambda x, y: x % 4 == 0 and y % 4 == 2,
}
"""Which dots are set within each part: the more wood is left, the denser."""


def draw_reed(state: State, targets: Targets, width: int, height: int) -> Drawing:
    """The reed in `width` by `height` cells; a sentence where there is no room for it.

    The scale is the width over the target length and a margin. Only a reed that is longer than that has a scale of its
    own.
    """
    small = too_small(width, height, *NEEDS, what="the drawing")
    if small is not None:
        return small
    plan = plan_of(state, targets)
    scale = width / max(targets.overall_mm + MARGIN_MM, plan.tied_mm + 1)
    under = 2 if height == NEEDS[1] else 3 if height < 9 else 4
    body = min(height - under, max(4, ceil(0.75 * plan.shape.widest_mm * scale)))
    top = (height - under - body) // 2
    canvas = Canvas(width, height)
    dots = Dots(width, body)
    _Body(dots, plan, scale).draw()
    dots.put_on(canvas, row=top)
    Ruler(canvas, scale, top + body, under).write(plan, targets)
    return canvas.drawing()


class _Body:
    """Sets the dots of a reed. `scale` is columns of cells for a mm; across the reed the height of all the dots is the
    widest that the instrument's reeds are."""

    def __init__(self, dots: Dots, plan: ReedPlan, scale: float) -> None:
        self.dots = dots
        self.plan = plan
        self.along = scale * Dots.ACROSS
        self.across = dots.height / plan.shape.widest_mm
        self.end = self.column(plan.overall.mm)

    def draw(self) -> None:
        for x in range(min(self.end, self.dots.width)):
            self.slice(x)
        self.aims()
        self.wire()
        self.ghost()

    def column(self, at_mm: float) -> int:
        """The column of dots that begins at a place."""
        return int(at_mm * self.along + 0.5)

    def rows(self, wide_mm: float) -> Iterator[tuple[int, float, bool]]:
        """The rows of dots within a width: each with how far it is from the middle (0) to the edge (1), and whether
        it is at the edge."""
        half = wide_mm / 2 * self.across
        for y in range(self.dots.height):
            off = abs(y + 0.5 - self.dots.height / 2)
            if off <= half:
                yield y, off / half, off > half - 1

    def blade(self, at_mm: float) -> float:
        return self.plan.shape.blade(at_mm, self.plan.tube.mm, self.plan.tied_mm)

    def part(self, at: float) -> tuple[Role, float]:
        """What is at a place, and how wide."""
        plan, shape = self.plan, self.plan.shape
        if at >= plan.tube.mm:
            return "cane", self.blade(at)
        bare = shape.tube(at, plan.tube.mm)
        if at < plan.tubing_mm:
            return "tubing", max(bare, shape.cork_mm or 0) + SLEEVE_MM
        if shape.cork_mm is not None and at < plan.tube.mm * CORK_TO:
            return "cork", shape.cork_mm
        return ("thread", bare + THREAD_MM) if at > plan.tube.mm * THREAD_FROM else ("tube", bare)

    def scraped(self, at: float, off: float) -> Role:
        """Which part of the blades is at a place, `off` from their middle (0) to their edge (1): the heart is rounded
        towards the tip, and measured in the middle."""
        plan = self.plan
        if plan.tip.sure and at >= plan.tip.mm - ARCH_MM * off**3:
            return "tip"
        return "heart" if plan.heart.sure and plan.tip.sure and at >= plan.heart.mm else "cane"

    def slice(self, x: int) -> None:
        """One column of dots: the edges of the outline, and the texture between them."""
        at = (x + 0.5) / self.along
        part, wide = self.part(at)
        closed = x == 0 or (x == self.end - 1 and self.plan.overall.sure)
        for y, off, edge in self.rows(wide):
            role = self.scraped(at, off) if part == "cane" else part
            shown = self.band(x) if role == "thread" else role
            self.dots.set(x, y, shown, closed or edge or _TEXTURES[role](x, y))

    def band(self, x: int) -> Role:
        """The colour of the winding at a column of dots: in bands three cells wide, if it has several."""
        return self.plan.winding[x // (3 * Dots.ACROSS) % len(self.plan.winding)]

    def aims(self) -> None:
        """A dotted line with space around it where a part is aimed to begin or to end and nobody has measured it."""
        plan = self.plan
        for place, x in (
            (plan.heart, self.column(plan.heart.mm)),
            (plan.tip, self.column(plan.tip.mm)),
            (plan.overall, self.end - 1),
        ):
            if place.sure or not plan.tube.mm < place.mm <= plan.overall.mm:
                continue
            for y, _, edge in self.rows(self.blade(place.mm)):
                if not edge:
                    self.dots.set(x, y, "ghost", y % 2 == 0)
                    self.dots.set(x - 1, y, "ghost", False)
                    self.dots.set(x + 1, y, "ghost", False)

    def wire(self) -> None:
        """The wire, a little wider than the blades; broken where its place was not noted."""
        wire = self.plan.wire
        if wire is None:
            return
        x = self.column(wire.mm)
        for y, _, _ in self.rows(self.blade(wire.mm) + WIRE_MM):
            self.dots.set(x, y, "wire", wire.sure or y % 4 < 2)
            self.dots.set(x + 1, y, "wire", wire.sure or y % 4 < 2)

    def ghost(self) -> None:
        """The outline of what was clipped since the reed was tied."""
        last = self.column(self.plan.tied_mm) - 1
        for x in range(self.end + 1, last + 1):
            for y, _, edge in self.rows(self.blade((x + 0.5) / self.along)):
                if (edge and (last - x) % 2 == 0) or (x == last and y % 2 == 0):
                    self.dots.set(x, y, "ghost")
