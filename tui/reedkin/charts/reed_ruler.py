"""What stands beneath the drawing of a reed: a ruler in mm, where its parts begin, their names, and the targets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from reedkin.charts.canvas import Canvas, Role
from reedkin.charts.dots import Dots
from reedkin.charts.reed_plan import ReedPlan
from reedkin.domain.figures import mm
from reedkin.domain.instruments import Targets


@dataclass(frozen=True, slots=True)
class Ruler:
    """`scale` is columns for a mm, `row` the first row beneath the reed, `rows` how many there are: two for values and
    targets, three with the names of the parts between them, four with a numbered ruler above all."""

    canvas: Canvas
    scale: float
    row: int
    rows: int

    def write(self, plan: ReedPlan, targets: Targets) -> None:
        row = self.row
        if self.rows >= 4:
            self._numbers(row)
            row += 1
        self._values(row, plan)
        if self.rows < 4:
            self._line(row, plan)
        if self.rows >= 3:
            row += 1
            self._names(row, plan)
        self._targets(row + 1, targets)

    def column(self, at_mm: float, ends: bool = False) -> int:
        """The column in which a part begins, or ends, at a place."""
        dot = int(at_mm * self.scale * Dots.ACROSS + 0.5) - ends
        return max(dot // Dots.ACROSS, 0)

    def _numbers(self, row: int) -> None:
        """A number every 10 mm, a tick between."""
        width = self.canvas.width
        self.canvas.put(0, row, "─" * width, "faint")
        for at in range(5, int(width / self.scale) + 1, 10):
            self.canvas.put(self.column(at), row, "┴", "axis")
        after = 0
        for at in range(0, int(width / self.scale) + 1, 10):
            if self.column(at) + 2 <= width:
                self.canvas.put(self.column(at), row, str(at), "axis")
                after = self.column(at) + 2
        if after + 3 <= width:
            self.canvas.put(width - 3, row, " mm", "axis")

    def _line(self, row: int, plan: ReedPlan) -> None:
        """The line that joins the values, with a tick every 10 mm."""
        ticks = {self.column(at) for at in range(0, int(plan.overall.mm) + 1, 10)}
        for column in range(min(self.column(plan.overall.mm), self.canvas.width)):
            if self.canvas.is_free(column, row, 1):
                self.canvas.put(column, row, "┴" if column in ticks else "─", "faint")

    def _values(self, row: int, plan: ReedPlan) -> None:
        """Where each part begins, at a corner that stands right beneath it."""
        for place in (plan.overall, plan.tip, plan.heart, plan.tube):
            text = mm(place.mm, unit=False) + ("" if place.sure else "?")
            column = self.column(place.mm, ends=place is plan.overall)
            self._beside(column, row, (text,), "strong" if place.sure else "faint")
        if plan.wire is not None:
            value = mm(plan.wire.mm, unit=False) if plan.wire.sure else "?"
            self._beside(self.column(plan.wire.mm), row, (f"wire {value}", value), "wire")
        if self.canvas.is_free(0, row, 3):
            self.canvas.put(0, row, "╰0", "axis")

    def _beside(self, column: int, row: int, texts: Sequence[str], role: Role) -> None:
        """The first of some texts that fits, with its corner at a column: to the right of it, or to its left; else a
        tick alone."""
        column = min(column, self.canvas.width - 1)
        for text in texts:
            wide = len(text) + 1
            if self._has_room(column, row, wide, lead=0, trail=1):
                self.canvas.put(column, row, f"╰{text}", role)
                return
            if self._has_room(column - len(text), row, wide, lead=1, trail=0):
                self.canvas.put(column - len(text), row, f"{text}╯", role)
                return
        if self.canvas.is_free(column, row, 1):
            self.canvas.put(column, row, "┴", role)

    def _names(self, row: int, plan: ReedPlan) -> None:
        """The name of each part beneath its middle, with its length where both its ends were measured; what was clipped
        beneath the ghost."""
        for name, start, end in (
            ("tip", plan.tip, plan.overall),
            ("heart", plan.heart, plan.tip),
            ("back", plan.tube, plan.heart),
        ):
            known = start.sure and end.sure and start.mm <= end.mm
            length = mm(end.mm - start.mm, unit=False) if known else "?"
            self._within(row, self.column(start.mm), self.column(end.mm), (f"{name} {length}", name))
        if plan.clipped_mm > 0:
            start_column = self.column(plan.overall.mm, ends=True)
            self._within(row, start_column, self.canvas.width, (f"−{mm(plan.clipped_mm, unit=False)}",), "ghost")
        if plan.tubing_mm:
            self._within(row, 0, 14, (f"tubing {mm(plan.tubing_mm, unit=False)}", "tubing"))
        self._within(row, 0, self.column(plan.tube.mm), ("tube",))

    def _within(self, row: int, start: int, end: int, texts: Sequence[str], role: Role = "axis") -> None:
        """The first of some texts that fits between two columns, as near to their middle as there is room, two spaces
        from what is there already, or one."""
        for text in texts:
            last = end - len(text)
            nearest = sorted(range(start, last + 1), key=lambda column: abs(2 * column - start - last))
            for gap in (2, 1):
                for column in nearest:
                    if self._has_room(column, row, len(text), lead=gap, trail=gap):
                        self.canvas.put(column, row, text, role)
                        return

    def _targets(self, row: int, targets: Targets) -> None:
        """The measures the maker aims at, each with its mark where it would be; the two lengths, which lie close, are
        told at the left, where the tube leaves room."""
        tied, finished = mm(targets.overall_mm, unit=False), mm(targets.finished_mm, unit=False)
        begins = (targets.tip_from_mm, targets.heart_from_mm, targets.tube_mm)
        ends = (targets.finished_mm, targets.overall_mm)
        for column in {self.column(value, ends=True) for value in ends}:
            if column < self.canvas.width:
                self.canvas.put(column, row, "▴", "target")
        for value in begins:
            column = self.column(value)
            text = mm(value, unit=False)
            if self._has_room(column, row, len(text) + 1, lead=0, trail=1):
                self.canvas.put(column, row, f"▴{text}", "target")
            elif self.canvas.is_free(column, row, 1):
                self.canvas.put(column, row, "▴", "target")
        for said in (
            f"target: tied ▴{tied}  finished ▴{finished}",
            f"tied ▴{tied} finished ▴{finished}",
            f"▴{finished} of ▴{tied}",
        ):
            if self._has_room(0, row, len(said), lead=0, trail=1):
                self.canvas.put(0, row, said, "target")
                return

    def _has_room(self, column: int, row: int, wide: int, lead: int, trail: int) -> bool:
        """Whether a text fits at a column, with so much space before and after it, less at the edges."""
        left = max(column - lead, 0)
        right = min(column + wide + trail, max(self.canvas.width, column + wide))
        return column >= 0 and self.canvas.is_free(left, row, right - left)
