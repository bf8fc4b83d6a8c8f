"""What the marks of a chart stand for, above it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from reedkin.charts.canvas import GROUP_MARKS, GROUP_ROLES, Canvas, Role
from reedkin.domain.columns import columns, cut
from reedkin.domain.literal import literal

GAP = 3


def mark_of(group: int) -> tuple[str, Role]:
    """The mark and the role of a group by its place among the groups."""
    return GROUP_MARKS[group % len(GROUP_MARKS)], GROUP_ROLES[group % len(GROUP_ROLES)]


@dataclass(frozen=True, slots=True)
class LegendEntry:
    """A mark and what it stands for."""

    mark: str
    role: Role
    text: str


def fitting(
    full: Sequence[LegendEntry], short: Sequence[LegendEntry], width: int, most: int
) -> list[list[LegendEntry]]:
    """The entries in at most `most` rows of this width: those of `full` if they all fit, else as many of `short` as do,
    and how many do not."""
    for entries in (full, short):
        rows = _rows(entries, width)
        if len(rows) <= most:
            return rows
    kept = [list(row) for row in rows[:most]]
    left = len(short) - sum(map(len, kept))
    while kept[-1]:
        rest = LegendEntry(" ", "faint", f"and {left} more")
        if len(_rows([*kept[-1], rest], width)) == 1:
            kept[-1].append(rest)
            break
        kept[-1].pop()
        left += 1
    return kept


def _rows(entries: Sequence[LegendEntry], width: int) -> list[list[LegendEntry]]:
    rows: list[list[LegendEntry]] = []
    used = 0
    for entry in entries:
        entry = replace(entry, text=cut(literal(entry.text), width - 2))
        wide = GAP + 2 + columns(entry.text)
        if not rows or used + wide > width:
            rows.append([])
            used = -GAP
        rows[-1].append(entry)
        used += wide
    return rows


def write(canvas: Canvas, rows: Sequence[Sequence[LegendEntry]], top: int = 0) -> None:
    """Write the rows at the top of a canvas, or beneath its `top` rows."""
    for row, entries in enumerate(rows, top):
        column = 0
        for entry in entries:
            canvas.put(column, row, entry.mark, entry.role)
            canvas.put(column + 2, row, entry.text, "" if entry.mark.strip() else entry.role)
            column += 2 + columns(entry.text) + GAP
