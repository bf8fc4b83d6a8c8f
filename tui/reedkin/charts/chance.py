"""A chance over how many: that of enough good reeds in time over the blanks tied, or over the reeds wanted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from reedkin.charts import legend
from reedkin.charts.canvas import Canvas, Drawing, sentence, too_small
from reedkin.charts.plot import NEEDS, Plot
from reedkin.charts.scale import number_axis, share_axis

_HALF = 0.5
"""Where all chances are at least this, the axis begins there."""


def probability_chart(
    xs: Sequence[float],
    ys: Sequence[float],
    levels: Sequence[float],
    width: int,
    height: int,
    thing: str = "blank",
    falls: bool = False,
) -> Drawing:
    """The chance `ys` (0 to 1) over the ascending numbers `xs` of a thing. For each of `levels` (0 to 1) the first
    number that reaches it is marked, and named above; where the chance `falls`, the last that does."""
    small = too_small(width, height, *NEEDS)
    if small is not None:
        return small
    if not len(xs):
        return sentence("Nothing to reckon with yet.", width, height)
    canvas = Canvas(width, height)
    points = list(zip(xs, ys, strict=True))[:: -1 if falls else 1]
    reached = [(level, next((x for x, y in points if y >= level), None)) for level in levels]
    word = "for" if falls else "with"
    told = [f"{100 * level:g}% " + ("not reached" if x is None else f"{word} {x:g}") for level, x in reached]
    short = [legend.LegendEntry(*legend.mark_of(place), text) for place, text in enumerate(told)]
    units = ["" if x is None else f" {thing}" if x == 1 else f" {thing}s" for _, x in reached]
    entries = [replace(entry, text=entry.text + unit) for entry, unit in zip(short, units, strict=True)]
    rows = legend.fitting(entries, short, width, most=max(1, (height - 5) // 3)) if entries else []
    legend.write(canvas, rows)
    x_axis = number_axis(xs, most=max(width // 10, 2), unit=f"{thing}s", snug=True, whole=True, each=True)
    low = 50 if min(*ys, *levels, 1.0) >= _HALF else 0
    plot = Plot(width, height - len(rows), x_axis, share_axis(height - len(rows), low))
    plot.line(xs, [100.0 * y for y in ys], "strong")
    for place, (level, x) in enumerate(reached):
        mark, role = legend.mark_of(place)
        if x is not None:
            plot.upright(x, float(low), 100.0 * level, role)
            plot.marks([x], [100.0 * level], mark, role)
    plot.put_on(canvas, len(rows))
    return canvas.drawing()
