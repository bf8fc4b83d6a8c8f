"""An estimated ratio with its interval, in one row of a table."""

from __future__ import annotations

from math import inf, isfinite

from reedkin.charts.canvas import Canvas, Line, Role
from reedkin.charts.ratio_scale import HIGHEST, LOWEST, ratio_column

SURE = "●"
"""The mark of what is clear."""


def interval_row(estimate: float | None, lo: float | None, hi: float | None, width: int, mark: str = "○") -> Line:
    """A ratio on a log scale with a line at 1: thin and hollow, ├──○──┤, or heavy where its `mark` is the full one,
    ┣━━●━━┫; an arrow where the interval leaves the scale, with the mark beside it if the ratio does. A limit that is
    None or infinite lies beyond the scale; without an estimate there is only the line at 1.
    """
    canvas = Canvas(max(width, 0), 1)

    def column(ratio: float) -> int:
        return ratio_column(ratio, width)

    canvas.put(column(1.0), 0, "│", "axis")
    if estimate is None or not isfinite(estimate) or estimate <= 0:
        return canvas.drawing()[0]
    lower = lo if lo is not None and lo > 0 else 0.0
    upper = hi if hi is not None and isfinite(hi) else inf
    full = mark == SURE
    role: Role = "strong" if full else "faint"
    line, cross, left, right = "━┿┣┫" if full else "─┼├┤"
    for at in range(column(lower), column(upper) + 1):
        canvas.put(at, 0, cross if at == column(1.0) else line, role)
    canvas.put(column(lower), 0, left, role)
    canvas.put(column(upper), 0, right, role)
    beyond = (lower < LOWEST, upper > HIGHEST)
    if beyond[0]:
        canvas.put(0, 0, "◂", role)
    if beyond[1]:
        canvas.put(width - 1, 0, "▸", role)
    canvas.put(min(max(column(estimate), int(beyond[0])), width - 1 - int(beyond[1])), 0, mark, role)
    return canvas.drawing()[0]
