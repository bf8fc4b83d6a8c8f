"""The maker's invented town: days as whole numbers, the local offset by date, and the weather in her room."""

from __future__ import annotations

import math
from datetime import date
from functools import cache
from random import Random

DAY = 24 * 60
"""Minutes of a day. A time is a whole number of local minutes: day ordinal x DAY + minute of the day."""


def _last_sunday(year: int, month: int) -> int:
    last = date(year, month, 31).toordinal()  # March and October both have 31 days
    return last - last % 7  # ordinal 7 is a Sunday


@cache
def offset_minutes(day: int) -> int:
    """Minutes ahead of UTC on this day: an hour, and two from the last Sunday of March to that of October.

    The clocks change in the small hours, when the maker sleeps, so a whole day has one offset.
    """
    year = date.fromordinal(day).year
    return 120 if _last_sunday(year, 3) <= day < _last_sunday(year, 10) else 60


@cache
def _day_text(day: int) -> tuple[str, str]:
    return date.fromordinal(day).isoformat(), f":00+{offset_minutes(day) // 60:02d}:00"


def iso(time: int) -> str:
    """A local time as ISO 8601 with its offset."""
    day, minute = divmod(time, DAY)
    day_text, tail = _day_text(day)
    return f"{day_text}T{minute // 60:02d}:{minute % 60:02d}{tail}"


def utc_minutes(time: int) -> int:
    """A local time in minutes that count evenly, also over a change of the clocks."""
    return time - offset_minutes(time // DAY)


@cache
def season(day: int) -> int:
    """The year in which the concert season of this day began; seasons begin on 1 September."""
    on = date.fromordinal(day)
    return on.year if on.month >= 9 else on.year - 1


@cache
def holiday(day: int) -> str:
    """'' in the season, 'quiet' when there is only some practice, 'away' when the maker is away."""
    on = date.fromordinal(day)
    if (on.month, on.day) >= (12, 24) and (on.month, on.day) <= (12, 29):
        return "away"
    if on.month == 8 and on.day <= 18:
        return "away"
    return "quiet" if on.month in (7, 8) else ""


def warmth_of(day: int) -> float:
    """From -1 in the midst of winter to 1 in that of summer."""
    return -math.cos(2 * math.pi * (date.fromordinal(day).timetuple().tm_yday - 20) / 365.25)


def weather(day: int, rng: Random) -> tuple[float, int]:
    """Room temperature in Celsius and relative humidity in per cent: dry when heated, damp in summer."""
    warmth = warmth_of(day)
    room = 21.0 + 2.2 * warmth + rng.gauss(0, 0.7)
    humidity = 46 + 10 * warmth + rng.gauss(0, 4.5)
    return round(room * 2) / 2, round(min(75, max(24, humidity)))
