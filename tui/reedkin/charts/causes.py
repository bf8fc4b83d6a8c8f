"""What ended the reeds: of a hundred that began to serve, how many were ended by each cause as they aged."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from reedkin.charts.canvas import Canvas, Drawing, Role, sentence, too_small
from reedkin.domain.columns import columns, fit

_COLUMN = 6
_NAME = 20
_COUNT = 7
_NEEDS = (_NAME + _COLUMN + _COUNT, 4)


@dataclass(frozen=True, slots=True)
class Ended:
    """A cause, how many reeds it ended, and the share (0 to 1) ended by it at each of the ages that are shown. `wear`:
    whether it counts as the end of a life. `count` is None for what is no end: still serving."""

    name: str
    count: int | None
    shares: Sequence[float]
    wear: bool = True


def causes_table(
    causes: Sequence[Ended], serving: Sequence[float], ages: Sequence[str], width: int, height: int
) -> Drawing:
    """One row a cause, as numbers of a hundred at each of the `ages` that there is room for, and as a bar at the last
    of them; beneath, those still serving. What does not fit is added up in one row."""
    small = too_small(width, height, *_NEEDS, what="the table")
    if small is not None:
        return small
    if not causes:
        return sentence("No reed has ended yet.", width, height)
    rows = [*_fitting(causes, height - 2), Ended("still serving", None, serving)]
    wide = max(_COLUMN, *(columns(age) + 1 for age in ages))
    places = _places(len(ages), (width - _NAME - _COUNT) // wide)
    bar = width - _NAME - _COUNT - wide * len(places) - 3
    canvas = Canvas(width, height)
    canvas.put(0, 0, fit("of 100, ended by", _NAME), "faint")
    for column, place in enumerate(places):
        canvas.put(_NAME + column * wide, 0, fit(ages[place], wide, ">"), "faint")
    canvas.put(_NAME + len(places) * wide, 0, fit("reeds", _COUNT, ">"), "faint")
    most = max(max(row.shares[places[-1]] for row in rows), 0.01)
    for line, row in enumerate(rows, 1):
        role: Role = "good" if row.count is None else "" if row.wear else "faint"
        canvas.put(0, line, fit(row.name, _NAME - 1), role)
        for column, place in enumerate(places):
            canvas.put(_NAME + column * wide, line, f"{100 * row.shares[place]:{wide}.0f}", role)
        count = "" if row.count is None else str(row.count)
        canvas.put(_NAME + len(places) * wide, line, f"{count:>{_COUNT}}", "faint")
        if bar >= 8:
            canvas.put(width - bar, line, _bar(row.shares[places[-1]] / most, bar), role or "cane")
    return canvas.drawing()


def _places(ages: int, room: int) -> list[int]:
    """Which of so many ages are shown where there is room for so many: the last, and back from it in even steps."""
    step = -(-ages // max(room, 1))
    return list(range(ages - 1, -1, -step))[::-1]


def _bar(share: float, width: int) -> str:
    halves = round(2 * share * width)
    return "█" * (halves // 2) + "▌" * (halves % 2)


def _fitting(causes: Sequence[Ended], room: int) -> list[Ended]:
    """The causes in so many rows, the last of them adding up those that do not fit."""
    if len(causes) <= room:
        return list(causes)
    kept, rest = list(causes[: room - 1]), causes[room - 1 :]
    shares = [sum(column) for column in zip(*(one.shares for one in rest), strict=True)]
    total = sum(one.count or 0 for one in rest)
    return [*kept, Ended(f"{len(rest)} other causes", total, shares, any(one.wear for one in rest))]
