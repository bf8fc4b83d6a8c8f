"""A chance over how many: that of enough good reeds in time over the blanks tied, or over the reeds wanted."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from reedkin.charts import legend
from reedkin.charts.canvas import Canvas, Drawing, sentence, too_small
from reedkin.charts.plot import NEEDS, Plot
from reedkin.charts.scale import number_axis, share_axis
from reedkin.domain.columns import cut

_HALF = 0.5
"""Where all chances are at least this, the axis begins there."""
_ROOM_FOR_A_TITLE = 10
"""Rows beneath its legend from which a chart has one to spare."""


def probability_chart(
    xs: Sequence[float],
    ys: Sequence[float],
    levels: Sequence[float],
    width: int,
    height: int,
    thing: str = "blank",
    falls: bool = False,
    title: str = "",
) -> Drawing:
    """The chance `ys` (0 to 1) over the ascending numbers `xs` of a thing. For each of `levels` (0 to 1) the first
    number that reaches it is marked, and named above, one mark for those that the same number reaches; where the
    chance `falls`, the last that does. The `title` says what the chance is of, where there is room."""
    small = too_small(width, height, *NEEDS)
    if small is not None:
        return small
    if not len(xs):
        return sentence("Nothing to reckon with yet.", width, height)
    canvas = Canvas(width, height)
    points = list(zip(xs, ys, strict=True))[:: -1 if falls else 1]
    reached: dict[float | None, list[float]] = {}
    for level in levels:
        reached.setdefault(next((x for x, y in points if y >= level), None), []).append(level)
    word = "for" if falls else "with"
    short, entries = [], []
    for place, (x, which) in enumerate(reached.items()):
        told = f"{', '.join(f'{100 * level:g}%' for level in which)} " + (
            "not reached" if x is None else f"{word} {x:g}"
        )
        short.append(legend.LegendEntry(*legend.mark_of(place), told))
        entries.append(replace(short[-1], text=told + ("" if x is None else f" {thing}" if x == 1 else f" {thing}s")))
    rows = legend.fitting(entries, short, width, most=max(1, (height - 5) // 3)) if entries else []
    top = 1 if title and height - len(rows) > _ROOM_FOR_A_TITLE else 0
    if top:
        canvas.put(0, 0, cut(title, width), "strong")
    legend.write(canvas, rows, top)
    above = top + len(rows)
    x_axis = number_axis(xs, most=max(width // 10, 2), unit=f"{thing}s", snug=True, whole=True, each=True)
    low = 50 if min(*ys, *levels, 1.0) >= _HALF else 0
    plot = Plot(width, height - above, x_axis, share_axis(height - above, low))
    plot.line(xs, [100.0 * y for y in ys], "strong")
    for place, (x, which) in enumerate(reached.items()):
        mark, role = legend.mark_of(place)
        if x is not None:
            plot.upright(x, float(low), 100.0 * max(which), role)
            plot.marks([x], [100.0 * max(which)], mark, role)
    plot.put_on(canvas, above)
    return canvas.drawing()
