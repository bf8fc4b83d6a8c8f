"""A measure of reed after reed against the limits of its own scatter and the target; and how far each is from the one
before."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from reedkin.charts import legend
from reedkin.charts.canvas import Canvas, Drawing, Role, sentence, too_small
from reedkin.charts.plot import NEEDS, Plot
from reedkin.charts.scale import Axis, number_axis
from reedkin.domain.columns import columns, cut

WITHIN, BEYOND, IN_A_RUN, MOVED = "●", "◆", "▲", "○"
_BOTH = 17
"""Rows from which there is room for the moving ranges beneath."""


@dataclass(frozen=True, slots=True)
class Controlled:
    """
    Values in their order, with their mean `centre`, their limits, the target and how far they may stray from it.

    runs    the places (from 0) of those that are part of a run.
    ranges  the mean and the limit of their moving ranges; None to leave these out.
    slack   how far beyond the limits a value still counts as within, since it was rounded.
    """

    points: Sequence[float]
    centre: float
    limits: tuple[float, float]
    target: float | None = None
    tolerance: float | None = None
    runs: Collection[int] = ()
    ranges: tuple[float, float] | None = None
    slack: float = 0.0


def control_chart(shown: Controlled, width: int, height: int) -> Drawing:
    """The values with lines for their mean, limits, target and tolerance, each of its own pattern and named at the left
    with a piece of that. Values beyond the
    limits and those in a run have marks of their own, and are counted above. The moving ranges are drawn beneath where
    there is room."""
    points, target, tolerance, ranges = shown.points, shown.target, shown.tolerance, shown.ranges
    small = too_small(width, height, *NEEDS)
    if small is not None:
        return small
    if not points:
        return sentence("No value to show yet.", width, height)
    lower, upper = shown.limits
    marked: dict[str, list[tuple[float, float]]] = {WITHIN: [], IN_A_RUN: [], BEYOND: []}
    for place, value in enumerate(points):
        out = not lower - shown.slack <= value <= upper + shown.slack
        mark = BEYOND if out else IN_A_RUN if place in shown.runs else WITHIN
        marked[mark].append((place + 1.0, value))
    canvas = Canvas(width, height)
    told = [
        legend.LegendEntry(mark, "warn", f"{len(marked[mark])} {words}")
        for mark, words in ((BEYOND, "beyond the limits"), (IN_A_RUN, "in a run"))
        if marked[mark]
    ]
    rows = 1 if told and height > NEEDS[1] else 0
    if rows:
        legend.write(canvas, [told])
    both = ranges is not None and len(points) > 1 and height - rows >= _BOTH
    beneath = (height - rows) * 2 // 5 if both else 0
    strays = [] if target is None or not tolerance else [target - tolerance, target + tolerance]
    named = [(lower, "limit"), (shown.centre, "mean"), (upper, "limit"), *((value, "tolerance") for value in strays)]
    named += [] if target is None else [(target, "target")]
    places = number_axis([1, len(points)], most=max(width // 10, 2), snug=True, whole=True)
    values = _value_axis(points, named, height - rows - beneath - 2, width // 3)
    if ranges is not None and beneath:
        moved = [abs(after - before) for before, after in pairwise(points)]
        distances = _value_axis([0.0, *moved], [(ranges[0], "moved"), (ranges[1], "limit")], beneath - 2, width // 3)
        values, distances = _as_wide(values, distances)
        _moving_ranges(moved, ranges, Plot(width, beneath, places, distances)).put_on(canvas, height - beneath)
    plot = Plot(width, height - rows - beneath, places, values)
    for value, name in named:
        _level(plot, value, name)
    plot.line(range(1, len(points) + 1), points, "group0")
    for mark, found in marked.items():
        plot.marks([n for n, _ in found], [value for _, value in found], mark, "group0" if mark == WITHIN else "warn")
    plot.put_on(canvas, rows)
    return canvas.drawing()


def _moving_ranges(moved: Sequence[float], ranges: tuple[float, float], plot: Plot) -> Plot:
    """How far each value but the first is from the one before, under its own place."""
    mean, limit = ranges
    _level(plot, limit, "limit")
    _level(plot, mean, "moved")
    places = range(2, len(moved) + 2)
    plot.line(places, moved, "group1")
    plot.marks(places, moved, MOVED, "group1")
    return plot


def _as_wide(*axes: Axis) -> list[Axis]:
    """Axes with labels of one width, so that what stands beneath each other is beneath each other."""
    width = max(axis.label_width for axis in axes)
    return [Axis(axis.low, axis.high, tuple((at, label.rjust(width)) for at, label in axis.ticks)) for axis in axes]


_PATTERNS: Mapping[str, tuple[Role, int, int, str]] = {
    "limit": ("warn", 8, 2, "⠒⠒⠒⠒⠂"),
    "mean": ("faint", 1, 0, "⠒⠒⠒⠒⠒"),
    "moved": ("faint", 1, 0, "⠒⠒⠒⠒⠒"),
    "target": ("target", 3, 3, "⠒⠂⠐⠒ "),
    "tolerance": ("target", 1, 3, "⠂ ⠂ ⠂"),
}
"""How each line is drawn, so that it is known without its colour: its role, so many dots and so many left out, and a
piece of it."""


def _level(plot: Plot, value: float, name: str) -> None:
    role, on, off, _ = _PATTERNS[name]
    plot.dashed([plot.x.low, plot.x.high], [value, value], role, on, off)


def _value_axis(points: Sequence[float], named: Sequence[tuple[float, str]], rows: int, width: int) -> Axis:
    """An axis that holds all values, with the named ones written along it in their order, each in a row of its own as
    near to its line as there is room; where there are fewer rows than names, those that share a row share a label."""
    span = number_axis([*points, *(value for value, _ in named)], most=2, snug=True)
    room = 0.04 * (span.high - span.low)
    low, high = span.low - room, span.high + room
    ordered = sorted(named)
    at = [round((value - low) / (high - low) * (rows - 1)) for value, _ in ordered]
    if len(ordered) <= rows:
        at = _apart(at, rows)
    by_row: dict[int, list[str]] = {}
    for row, (value, name) in zip(at, ordered, strict=True):
        by_row.setdefault(row, []).append(f"{name} {value:.4g}")
    pieces = {row: _PATTERNS[name][3] for row, (_, name) in zip(at, ordered, strict=True)}
    step = (high - low) / max(rows - 1, 1)
    return Axis(low, high, tuple(
        (low + row * step, f"{said} {pieces[row]}" if columns(said) + 6 <= width else said)
        for row, names in by_row.items() for said in [cut(", ".join(names), width)]
    ))  # fmt: skip


def _apart(at: Sequence[int], rows: int) -> list[int]:
    """Ascending rows moved apart by as little as leaves each its own, all of them within so many rows."""
    placed: list[int] = []
    for row in at:
        placed.append(max(row, placed[-1] + 1) if placed else row)
    for place in range(len(placed) - 1, -1, -1):
        most = rows - len(placed) + place
        above = placed[place + 1] - 1 if place + 1 < len(placed) else rows - 1
        placed[place] = min(placed[place], above, max(most, 0))
    return placed
