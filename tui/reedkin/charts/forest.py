"""What several makers say of one habit, in one row of a table: each maker a mark, one's own another."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from reedkin.charts.canvas import Canvas, Line, Role
from reedkin.charts.ratio_scale import ratio_column

OWN = "◆"
ONE = "•"


def forest_row(ratios: Sequence[float], own: float | None, span: tuple[float, float] | None, width: int) -> Line:
    """
    Ratios on the scale of `ratio_scale`: a • for each maker, a digit where several stand together, ◆ for one's own;
    behind them `span`, where the mean of all makers lies. A line stands at 1.
    """
    canvas = Canvas(max(width, 0), 1)

    def column(ratio: float) -> int:
        return ratio_column(ratio, width)

    settled = span is not None and (span[0] > 1 or span[1] < 1)
    role: Role = "strong" if settled else "faint"
    if span is not None:
        for at in range(column(span[0]), column(span[1]) + 1):
            canvas.put(at, 0, "─", role)
    canvas.put(column(1.0), 0, "│" if span is None or settled else "┼", "axis")
    for at, count in Counter(column(ratio) for ratio in ratios).items():
        canvas.put(at, 0, ONE if count == 1 else str(count) if count < 10 else "+", role)
    if own is not None:
        canvas.put(column(own), 0, OWN, "target")
    return canvas.drawing()[0]
