"""Where a ratio stands in a row of a table, and the numbers above such rows: a log scale with 1 in its middle."""

from __future__ import annotations

from math import log

from reedkin.charts.canvas import Canvas

LOWEST, HIGHEST = 0.25, 4.0
"""Where the scale ends; what is beyond stands at its end."""
_TICKS = "¼½124"


def ratio_column(ratio: float, width: int) -> int:
    """The column of a ratio in a row of this width."""
    share = log(min(max(ratio, LOWEST), HIGHEST) / LOWEST) / log(HIGHEST / LOWEST)
    return int(share * (width - 1) + 0.5)


def put_ticks(scale: Canvas) -> None:
    """Write the numbers of the scale all along a row."""
    for place, tick in enumerate(_TICKS):
        scale.put(int(place * (scale.width - 1) / (len(_TICKS) - 1) + 0.5), 0, tick, "faint")
