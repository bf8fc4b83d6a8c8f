"""Round numbers for the axes of a chart, and dates."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from math import ceil, floor, isfinite, log10

from reedkin.domain.columns import columns

Tick = tuple[float, str]
_FULL = 5 / 6
_ROWS = 3
"""Rows from one tick to the next, at the least."""


@dataclass(frozen=True, slots=True)
class Axis:
    """From where to where an axis reaches, and what is written along it."""

    low: float
    high: float
    ticks: tuple[Tick, ...]

    @property
    def label_width(self) -> int:
        return max((columns(label) for _, label in self.ticks), default=0)


def step_for(span: float, most: int) -> float:
    """The smallest of 1, 2 and 5 times a power of ten that divides `span` into at most `most` steps."""
    least = span / max(most, 1)
    power = 10.0 ** floor(log10(least))
    return next(m * power for m in (1, 2, 5, 10, 20) if m * power >= least * (1 - 1e-9))


def evened(axis: Axis, cells: int) -> Axis:
    """The axis over so many cells with its ticks the same whole number of cells apart: it reaches a little further, so
    that the numbers along it are as evenly spaced as they are. One with uneven ticks stays as it is."""
    if len(axis.ticks) < 2 or cells < 2:
        return axis
    places = [place for place, _ in axis.ticks]
    first, last, step = places[0], places[-1], places[1] - places[0]
    if any(abs(after - before - step) > 1e-6 * step for before, after in pairwise(places)):
        return axis
    for apart in range(int((cells - 1) * step / (axis.high - axis.low) + 1e-9), 0, -1):
        cell = step / apart
        before = ceil((first - axis.low) / cell - 1e-9)
        if before + max(round((last - first) / cell), ceil((axis.high - first) / cell - 1e-9)) <= cells - 1:
            low = first - before * cell
            return Axis(low, low + (cells - 1) * cell, axis.ticks)
    return axis


def fullest(axes: Iterable[Axis], cells: int) -> Axis:
    """Of some axes the first that, evened, leaves no more than a sixth of so many cells empty; else the one that leaves
    least."""
    best, most = None, 0.0
    for axis in axes:
        even = evened(axis, cells)
        filled = (axis.high - axis.low) / (even.high - even.low)
        if best is None or filled > most + 1e-9:
            best, most = axis, filled
        if most >= _FULL:
            break
    assert best is not None
    return best


def number_axis(
    values: Iterable[float],
    most: int,
    unit: str = "",
    zero: bool = False,
    room: float = 0.0,
    snug: bool = False,
    whole: bool = False,
    each: bool = False,
) -> Axis:
    """An axis that holds all of `values`, with at most about `most` ticks at round numbers; the last bears the unit.

    With `zero` it begins at 0, with `whole` the ticks are whole numbers. It reaches at least `room` beyond the values
    on either side, and on to the next tick unless it is `snug`. With `each`, where `values` are
    all that is shown and not its ends alone, there are no more ticks than values, and one alone is itself the tick.
    """
    finite = [value for value in values if isfinite(value)]
    different = len(set(finite))
    if each and different == 1:
        return Axis(finite[0] - (room or 0.5), finite[0] + (room or 0.5), labelled(finite[:1], unit))
    most = max(min(most, different), 1) if each else most
    low = 0.0 if zero else min(finite, default=0.0) - room
    high = max(finite, default=1.0) + room
    if high - low < 1e-9 * max(1.0, abs(high)):
        low, high = (low, low + 1.0) if zero else (low - 0.5, high + 0.5)
    step = max(step_for(high - low, most), float(whole))
    first, last = floor(low / step + 1e-9), ceil(high / step - 1e-9)
    places = [round(count * step, 10) for count in range(first, last + 1)]
    if not snug:
        return Axis(places[0], places[-1], labelled(places, unit))
    return Axis(low, high, labelled([place for place in places if low <= place <= high], unit))


def labelled(places: Sequence[float], unit: str = "") -> tuple[Tick, ...]:
    """Ticks at these numbers, the last with the unit."""
    texts = [f"{place:g}" for place in places]
    if texts and unit:
        texts[-1] += f" {unit}"
    return tuple(zip(places, texts, strict=True))


def date_axis(days: Sequence[date], most: int) -> Axis:
    """An axis of days as ordinals, from the first of `days` to the end of the last, with at most `most` dates."""
    first, last = min(days), max(days)
    length = (last - first).days + 1
    step = max(ceil(length / max(most, 1)), 1)
    dates = [first + timedelta(place) for place in range(0, length, step)]
    form = "%b %Y" if length > 300 else "%b"
    ticks = tuple(
        (float(date.toordinal()), f"{date:{form}}" if length > 300 else f"{date.day} {date:{form}}") for date in dates
    )
    return Axis(first.toordinal(), first.toordinal() + length, ticks)


def share_axis(height: int, low: int = 0) -> Axis:
    """An axis from `low` to 100% for a chart of this height."""
    rows = height - 2
    steps = [
        step for step in (10, 20, 25, 50, 100 - low) if (100 - low) % step == 0 and _ROWS * (100 - low) // step < rows
    ]
    axes = [Axis(float(low), 100.0, tuple((float(share), f"{share}%") for share in range(low, 101, step)))
            for step in [*steps, 100 - low]]  # fmt: skip
    return fullest(axes, rows)
