"""Round numbers for the axes of a chart, and dates."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil, floor, isfinite, log10

from reedkin.domain.columns import columns

Tick = tuple[float, str]


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


def number_axis(
    values: Iterable[float],
    most: int,
    unit: str = "",
    zero: bool = False,
    room: float = 0.0,
    snug: bool = False,
    whole: bool = False,
) -> Axis:
    """An axis that holds all of `values`, with at most about `most` ticks at round numbers; the last bears the unit.

    With `zero` it begins at 0, with `whole` the ticks are whole numbers. It reaches at least `room` beyond the values
    on either side, and on to the next tick unless it is `snug`.
    """
    finite = [value for value in values if isfinite(value)]
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
    step = max(ceil(length / max(most - 1, 1)), 1)
    places = range(0, length + 1, step)
    form = "%b %Y" if length > 300 else "%d %b"
    ticks = tuple(((first + timedelta(place)).toordinal(), f"{first + timedelta(place):{form}}") for place in places)
    return Axis(first.toordinal(), first.toordinal() + length, ticks)


def share_axis(height: int) -> Axis:
    """An axis from 0 to 100% for a chart of this height."""
    step = 25 if height >= 9 else 50
    return Axis(0.0, 100.0, tuple((float(share), f"{share}%") for share in range(0, 101, step)))
