"""A season drawn as a line of weeks: the good reeds of an instrument, its engagements, and what is to be tied."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta

from reedkin.answers.season.question import Chance, Season
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
    drawn = _WeekLine(canvas, found, weeks, wide)
    drawn.months()
    for place, name in enumerate(names):
        week = marked[1] if marked is not None and marked[0] == name else None
        drawn.instrument(name, 1 + place * _ROWS, week)
    return canvas.drawing()


@dataclass(frozen=True)
class _WeekLine:
    """So many weeks of a season on a canvas, each so many columns wide."""

    canvas: Canvas
    found: Season
    weeks: int
    wide: int

    def months(self) -> None:
        """The day on which a week begins, where there is room for it."""
        free = 0
        for week in range(self.weeks):
            day = self.found.today + timedelta(weeks=week)
            label = day_and_month(day)
            at = _LABEL + week * self.wide
            if at >= free and at + len(label) <= self.canvas.width:
                self.canvas.put(at, 0, label, "axis")
                free = at + len(label) + 2

    def instrument(self, name: str, top: int, marked: int | None) -> None:
        """What there is to say of an instrument, from a row on; with a mark on one of its weeks."""
        canvas, wide, stock = self.canvas, self.wide, self.found.stock[name]
        canvas.put(0, top, short_name(name)[: _LABEL - 1], "strong")
        canvas.put(0, top + 1, " reeds", "faint")
        canvas.put(0, top + 2, " plays", "faint")
        canvas.put(0, top + 3, " tie", "faint")
        engaged = self._by_week(name)
        for week in range(self.weeks):
            at, here = _LABEL + week * wide, engaged.get(week, ())
            if marked == week:
                canvas.put(at, top, "▾", "strong")
            if week < len(stock.middle):
                enough = stock.middle[week] >= max((one.engagement.reeds for one in here), default=0)
                canvas.put(at, top + 1, _number(stock.middle[week], wide), "good" if enough else "warn")
            canvas.put(at, top + 2, *self._marks(here))
            blanks = sum(one.blanks for one in self.found.tie if one.instrument == name and one.week == week)
            canvas.put(at, top + 3, _number(blanks, wide) if blanks else "·", "strong" if blanks else "faint")

    def _by_week(self, name: str) -> Mapping[int, Sequence[Chance]]:
        """The engagements of an instrument by the week in which they are."""
        found: dict[int, list[Chance]] = {}
        for one in self.found.chances:
            if one.engagement.instrument == name:
                found.setdefault((one.engagement.day - self.found.today).days // 7, []).append(one)
        return found

    def _marks(self, here: Sequence[Chance]) -> tuple[str, Role]:
        """The engagements of a week: the worst first, as many as there is room for."""
        rest = [one.engagement.setting == "performance" for one in here if one.planned >= self.found.reach]
        short = len(here) - len(rest)
        marks = SHORT * short + SERVED * sum(rest) + OTHER * (len(rest) - sum(rest))
        return marks[: max(1, self.wide - (self.wide > 2))], "warn" if short else ""


def _number(value: int, wide: int) -> str:
    return str(value) if len(str(value)) <= max(wide, 2) else "+"
