"""A season drawn as a line of weeks: the good reeds of an instrument, its engagements, and what is to be tied."""

from __future__ import annotations

from datetime import timedelta

from reedkin.answers.season.question import Season
from reedkin.charts.canvas import Canvas, Drawing, Role, too_small
from reedkin.domain.figures import day_and_month
from reedkin.domain.instruments import short_name

_NEEDS = (40, 5)
_LABEL = 9
_ROWS = 5
"""Rows of one instrument: its stock in two, engagements, tyings, and a space."""
SHORT, SERVED, OTHER = "!", "●", "○"
"""Marks of an engagement: one that stays short, a performance, another."""


def season_drawing(found: Season, width: int, height: int, marked: tuple[str, int] | None = None) -> Drawing:
    """Each instrument's weeks side by side, a column for each; `marked` is the week of an instrument that is chosen."""
    if not found.stock:
        return ()
    small = too_small(width, height, *_NEEDS, "the weeks")
    if small is not None:
        return small
    wide = max(1, min(5, (width - _LABEL) // found.weeks))
    weeks = min(found.weeks, (width - _LABEL) // wide)
    names = list(found.stock)[: max(1, (height - 1) // _ROWS)]
    canvas = Canvas(width, 1 + _ROWS * len(names) - 1)
    _months(canvas, found, weeks, wide)
    for place, name in enumerate(names):
        week = marked[1] if marked is not None and marked[0] == name else None
        _instrument(canvas, found, name, 1 + place * _ROWS, weeks, wide, week)
    return canvas.drawing()


def _months(canvas: Canvas, found: Season, weeks: int, wide: int) -> None:
    """The day on which a week begins, where there is room for it."""
    free = 0
    for week in range(weeks):
        day = found.today + timedelta(weeks=week)
        label = day_and_month(day)
        at = _LABEL + week * wide
        if at >= free and at + len(label) <= canvas.width:
            canvas.put(at, 0, label, "axis")
            free = at + len(label) + 2


def _instrument(
    canvas: Canvas, found: Season, name: str, top: int, weeks: int, wide: int, marked: int | None
) -> None:  # fmt: skip
    stock = found.stock[name]
    canvas.put(0, top, short_name(name)[: _LABEL - 1], "strong")
    canvas.put(0, top + 1, " reeds", "faint")
    canvas.put(0, top + 2, " plays", "faint")
    canvas.put(0, top + 3, " tie", "faint")
    asked = _asked(found, name)
    for week in range(weeks):
        at = _LABEL + week * wide
        if marked == week:
            canvas.put(at, top, "▾", "strong")
        if week < len(stock.middle):
            role: Role = "warn" if week in asked and stock.middle[week] < asked[week] else "good"
            canvas.put(at, top + 1, _number(stock.middle[week], wide), role)
        canvas.put(at, top + 2, *_marks(found, name, week, wide))
        blanks = sum(one.blanks for one in found.tie if one.instrument == name and one.week == week)
        canvas.put(at, top + 3, _number(blanks, wide) if blanks else "·", "strong" if blanks else "faint")


def _number(value: int, wide: int) -> str:
    return str(value) if len(str(value)) <= max(wide, 2) else "+"


def _asked(found: Season, name: str) -> dict[int, int]:
    """The most reeds that are wanted at once in each week."""
    most: dict[int, int] = {}
    for one in found.chances:
        if one.engagement.instrument == name:
            week = (one.engagement.day - found.today).days // 7
            most[week] = max(most.get(week, 0), one.engagement.reeds)
    return most


def _marks(found: Season, name: str, week: int, wide: int) -> tuple[str, Role]:
    """The engagements of a week: the worst first, as many as there is room for."""
    here = [
        one
        for one in found.chances
        if one.engagement.instrument == name and (one.engagement.day - found.today).days // 7 == week
    ]
    short = [one for one in here if one.planned < found.reach]
    rest = sorted(
        (one for one in here if one.planned >= found.reach), key=lambda one: one.engagement.setting != "performance"
    )
    marks = SHORT * len(short) + "".join(SERVED if one.engagement.setting == "performance" else OTHER for one in rest)
    return marks[: max(1, wide - (wide > 2))], "warn" if short else ""
