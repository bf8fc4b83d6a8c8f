"""Years and seasons: a season is a year that begins in another month, such as that of orchestras in September."""

from __future__ import annotations

from datetime import date
from typing import Literal

from reedkin.domain.words import MONTHS

Period = Literal["year", "season"]
PERIODS: tuple[Period, ...] = ("year", "season")
SEASON_FROM = "september"
"""The month in which a season begins where she has set none (common practice, no source)."""


def month_number(name: object) -> int:
    """The number of the month that seasons begin in."""
    return MONTHS.index(name) + 1 if name in MONTHS else MONTHS.index(SEASON_FROM) + 1


def first_day(day: date, month: int) -> date:
    """The day on which the year that begins with a month began, of which `day` is one."""
    return date(day.year - (day.month < month), month, 1)


def period_name(day: date, month: int) -> str:
    """What the year of a day is called, of those that begin with a month: "2026", "2025/26"."""
    begun = first_day(day, month).year
    return f"{begun}" if month == 1 else f"{begun}/{(begun + 1) % 100:02d}"
