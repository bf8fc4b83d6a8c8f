"""Charts in a frame with two axes, drawn by plotext. Nothing else in the program knows plotext.

plotext has one figure for the whole process. It is cleared before and after each chart and guarded by a lock, so that
no chart leaves anything to the next, whatever thread draws it. Its colours serve only to tell what each cell shows:
they are turned into roles here.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import isfinite
from threading import Lock
from typing import Any, get_args

from reedkin.charts.canvas import Canvas, Drawing, Role
from reedkin.charts.scale import Axis, evened

NEEDS = (30, 6)
"""The least width and height of a chart."""

_DOTS_ACROSS, _DOTS_DOWN = 2, 4
"""The dots of a braille cell."""
_ONE_AT_A_TIME = Lock()
_ROLES: Sequence[Role] = get_args(Role)
_COLOUR = re.compile("\x1b\\[([0-9;]*)m")
_FIRST_COLOUR = 16
"""The colours of the 256 from here on stand for the roles in their order."""


def prepare() -> None:
    """Load plotext, which takes a third of a second, ahead of the first chart: for a thread, once the screen is up."""
    import plotext  # noqa: F401


@dataclass(frozen=True, slots=True)
class _Series:
    xs: Sequence[float]
    ys: Sequence[float]
    mark: str
    role: Role
    joined: bool


class Plot:
    """A chart of `width` by `height` cells, its axes with it. What is drawn later lies above what was drawn before."""

    def __init__(self, width: int, height: int, x: Axis, y: Axis) -> None:
        self.width = width
        self.height = height
        self._label_width = y.label_width
        self.y = _in_the_middle(evened(y, self.inner_height), self.inner_height, _DOTS_DOWN)
        self.x = _in_the_middle(evened(x, self.inner_width), self.inner_width, _DOTS_ACROSS)
        self._series: list[_Series] = []

    @property
    def inner_width(self) -> int:
        """The columns between the axis at the left and the right edge."""
        return max(self.width - self._label_width - 1, 1)

    @property
    def inner_height(self) -> int:
        """The rows above the axis at the bottom and its labels."""
        return max(self.height - 2, 1)

    def line(self, xs: Sequence[float], ys: Sequence[float], role: Role) -> None:
        """A thin line through these points."""
        self._add(xs, ys, "braille", role, joined=True)

    def dashed(self, xs: Sequence[float], ys: Sequence[float], role: Role, on: int = 5, off: int = 3) -> None:
        """A thin line of dashes through these points: so many dots, and so many left out."""
        across = _DOTS_ACROSS * self.inner_width / (self.x.high - self.x.low)
        down = _DOTS_DOWN * self.inner_height / (self.y.high - self.y.low)
        kept: list[tuple[float, float]] = []
        gone = 0
        for (x0, y0), (x1, y1) in pairwise(zip(xs, ys, strict=True)):
            dots = max(round(max(abs(x1 - x0) * across, abs(y1 - y0) * down)), 1)
            for dot in range(dots):
                if (gone + dot) % (on + off) < on:
                    kept.append((x0 + (x1 - x0) * dot / dots, y0 + (y1 - y0) * dot / dots))
            gone += dots
        self._add([x for x, _ in kept], [y for _, y in kept], "braille", role, joined=False)

    def points(self, xs: Sequence[float], ys: Sequence[float], role: Role) -> None:
        """A thick point at each of these, as exactly as dots can stand: a mark takes a whole row, which may be as much
        as a point of a score."""
        across = (self.x.high - self.x.low) / (_DOTS_ACROSS * self.inner_width - 1)
        down = (self.y.high - self.y.low) / (_DOTS_DOWN * self.inner_height - 1)
        for x, y in zip(xs, ys, strict=True):
            around = [(x + right * across, y + up * down) for right in (-1, 0, 1) for up in (-1, 0, 1)]
            inside = [
                (px, py) for px, py in around if self.x.low <= px <= self.x.high and self.y.low <= py <= self.y.high
            ]
            self._add([px for px, _ in inside], [py for _, py in inside], "braille", role, joined=False)

    def dotted(self, of: Callable[[float], float | None], start: float, end: float, role: Role, every: int) -> None:
        """A dotted line along a function of x, None where it has no value: a dot in every so many dots."""
        dots = _DOTS_ACROSS * self.inner_width - 1
        places = [self.x.low + (self.x.high - self.x.low) * dot / dots for dot in range(0, dots + 1, every)]
        points = [(x, y) for x in places if start <= x <= end and (y := of(x)) is not None]
        self._add([x for x, _ in points], [y for _, y in points], "braille", role, joined=False)

    def upright(self, x: float, low: float, high: float, role: Role) -> None:
        """A dotted line straight up: every third dot."""
        dots = _DOTS_DOWN * self.inner_height - 1
        places = [self.y.low + (self.y.high - self.y.low) * dot / dots for dot in range(0, dots + 1, 3)]
        inside = [y for y in places if low <= y <= high]
        self._add([x] * len(inside), inside, "braille", role, joined=False)

    def marks(self, xs: Sequence[float], ys: Sequence[float], mark: str, role: Role) -> None:
        """One character at each of these points."""
        self._add(xs, ys, mark, role, joined=False)

    def _add(self, xs: Sequence[float], ys: Sequence[float], mark: str, role: Role, joined: bool) -> None:
        points = [(float(x), float(y)) for x, y in zip(xs, ys, strict=True) if isfinite(x) and isfinite(y)]
        if points:
            self._series.append(_Series([x for x, _ in points], [y for _, y in points], mark, role, joined))

    def drawing(self) -> Drawing:
        """The chart, exactly as large as was asked."""
        canvas = Canvas(self.width, self.height)
        self.put_on(canvas)
        return canvas.drawing()

    def put_on(self, canvas: Canvas, row: int = 0) -> None:
        """Write the chart onto a canvas, from a row on."""
        with _ONE_AT_A_TIME:
            text = self._text()
        for down, line in enumerate(text.split("\n")[: self.height]):
            column = 0
            for part, role in _parted(line):
                canvas.put(column, row + down, part, role)
                column += len(part)

    def _text(self) -> str:
        import plotext

        figure, terminal = plotext.figure, plotext.terminal
        try:
            terminal.limit(False, False)
            figure.clear()
            figure.plot_size(self.width, self.height)
            figure.theme("colorless").canvas("default").legend(False)
            figure.axes(False, axis="x", side="upper").axes(False, axis="y", side="right")
            for name, axis in (("x", self.x), ("y", self.y)):
                ruler = figure.ruler(name)
                ruler.lim(axis.low, axis.high)
                ruler.ticks([place for place, _ in axis.ticks], [label for _, label in axis.ticks])
            for series in self._series:
                figure.draw(_signal(plotext, series))
            return str(figure.build().string())
        finally:
            figure.clear()
            terminal.limit()


def _in_the_middle(axis: Axis, cells: int, dots: int) -> Axis:
    """The axis widened by less than half a cell at either end, so that the dots of a tick's number stand in the middle
    of the cell that bears its name."""
    if cells < 2:
        return axis
    more = (axis.high - axis.low) * (dots - 1) / 2 / dots / (cells - 1)
    return Axis(axis.low - more, axis.high + more, axis.ticks)


def _signal(plotext: Any, series: _Series) -> Any:
    marker = plotext.marker(series.mark, _FIRST_COLOUR + _ROLES.index(series.role))
    return plotext.figure.signal(series.xs, series.ys, marker=marker).lines(series.joined)


def _parted(line: str) -> Iterator[tuple[str, Role]]:
    """A line of plotext's in parts, each with the role that its colour stands for."""
    role: Role = "axis"
    at = 0
    for change in _COLOUR.finditer(line):
        if change.start() > at:
            yield line[at : change.start()], role
        code = change[1].split(";")
        role = _ROLES[int(code[2]) - _FIRST_COLOUR] if code[:2] == ["38", "5"] else "axis"
        at = change.end()
    if at < len(line):
        yield line[at:], role
