"""The share of reeds still in service over hours or days of life, one curve a group."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

from reedkin.charts import legend
from reedkin.charts.canvas import GROUP_MARKS, Canvas, Drawing, sentence, too_small
from reedkin.charts.plot import NEEDS, Plot
from reedkin.charts.scale import number_axis, share_axis
from reedkin.domain.words import spelt

MARK_EVERY = 16
"""Columns between two marks on a curve."""
MOST_BANDS = 2
"""With more groups than these the intervals would hide the curves, and are left to the table beside."""


@dataclass(frozen=True, slots=True)
class SurvivalGroup:
    """One curve: it falls at each `time` to `survival` (0 to 1) with the interval `lo` to `hi`; four sequences of one
    length. `median` is None where it is not reached. `censored` are the times at which reeds went out of view. The
    curve is 1 from `start` to the first time, and is drawn to `end`, when the longest watched was last seen."""

    name: str
    time: Sequence[float]
    survival: Sequence[float]
    lo: Sequence[float]
    hi: Sequence[float]
    median: float | None = None
    censored: Sequence[float] = ()
    start: float = 0.0
    end: float | None = None

    @property
    def last(self) -> float:
        """Where the curve ends."""
        return max([self.start, *self.time[-1:], *([] if self.end is None else [self.end])])

    def at(self, when: float, values: Sequence[float] | None = None) -> float:
        """The curve, or one of its limits, at a time, in %."""
        passed = bisect_right(self.time, when)
        return 100.0 * float((self.survival if values is None else values)[passed - 1]) if passed else 100.0


def survival_chart(groups: Sequence[SurvivalGroup], width: int, height: int, unit: str = "h") -> Drawing:
    """The curves of up to as many groups as there are marks, in `width` by `height` cells: marked so that they are told
    apart without colour, with the interval dotted (of one or two groups), + where a reed went out of view (unless so
    many did that these would hide the curves), and a dotted line down from where half are left."""
    small = too_small(width, height, *NEEDS)
    if small is not None:
        return small
    shown = [group for group in groups[: len(GROUP_MARKS)] if group.last > group.start]
    if not shown:
        return sentence("No reed has been played yet, so there is no curve to draw.", width, height)
    if sum(len(group.censored) for group in shown) > width:
        shown = [replace(group, censored=()) for group in shown]
    canvas = Canvas(width, height)
    rows = legend.fitting(_entries(groups, shown, unit), _entries(groups, shown), width, most=max(1, (height - 5) // 3))
    legend.write(canvas, rows)
    x = number_axis([group.last for group in shown], most=max(width // 10, 2), unit=unit, zero=True, snug=True)
    plot = Plot(width, height - len(rows), x, share_axis(height - len(rows)))
    for place, group in enumerate(shown):
        _curve(plot, group, place, len(shown))
    plot.put_on(canvas, len(rows))
    return canvas.drawing()


def _entries(
    groups: Sequence[SurvivalGroup], shown: Sequence[SurvivalGroup], unit: str = ""
) -> list[legend.LegendEntry]:
    """What the marks stand for; with a unit also how long half of each group last, in as many digits as elsewhere."""
    entries, digits = [], 1 if unit == "h" else 0
    for place, group in enumerate(shown):
        name = spelt(group.name)
        half = "over half still serve" if group.median is None else f"half last {group.median:.{digits}f} {unit}"
        entries.append(legend.LegendEntry(*legend.mark_of(place), f"{name}, {half}" if unit else name))
    if any(len(group.censored) for group in shown):
        entries.append(legend.LegendEntry("+", "faint", "seen no further"))
    if len(groups) > len(shown):
        entries.append(legend.LegendEntry(" ", "faint", f"{len(groups) - len(shown)} not drawn"))
    return entries


def _curve(plot: Plot, group: SurvivalGroup, place: int, count: int) -> None:
    mark, role = legend.mark_of(place)
    if count <= MOST_BANDS:
        for limit in (group.lo, group.hi):
            plot.dotted(partial(group.at, values=limit), group.start, group.last, role, every=3 + 2 * place)
    if group.median is not None:
        plot.upright(group.median, 0.0, 50.0, role)
    if count == 2 and place == 1:
        plot.dashed(*_steps(group), role)
    else:
        plot.line(*_steps(group), role)
    plot.marks(group.censored, [group.at(when) for when in group.censored], "+", role)
    spread = [group.start + (group.last - group.start) * share for share in _shares(plot, place, count)]
    places = [*spread, *([] if group.median is None else [group.median])]
    plot.marks(places, [group.at(when) if when != group.median else 50.0 for when in places], mark, role)


def _shares(plot: Plot, place: int, count: int) -> list[float]:
    """Where along a curve its marks stand, staggered so that those of several groups do not cover each other."""
    most = max(plot.inner_width // MARK_EVERY, 1)
    return [(number + (place + 1) / (count + 1)) / most for number in range(most)]


def _steps(group: SurvivalGroup) -> tuple[list[float], list[float]]:
    """The corners of the curve."""
    xs, ys = [group.start], [100.0]
    for when, share in zip(group.time, group.survival, strict=True):
        xs += [float(when), float(when)]
        ys += [ys[-1], 100.0 * float(share)]
    return [*xs, group.last], [*ys, ys[-1]]
