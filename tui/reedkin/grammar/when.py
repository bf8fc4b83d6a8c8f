"""When it happened: "@10:30", "@yesterday 18:00", "@12 March", "@2h ago", "@2026-03-12T18:00"."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from reedkin.domain.clock import Clock
from reedkin.errors import InputError

_MONTHS = ("january", "february", "march", "april", "may", "june", "july", "august", "september", "october",
           "november", "december")  # fmt: skip
_DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_TIME = re.compile(r"([01]?\d|2[0-3])[:.h]([0-5]\d)")
_AGO = re.compile(
    r"-?(?:(\d{1,5})\s*w(?:eeks?)?)?\s*(?:(\d{1,5})\s*d(?:ays?)?)?"
    r"\s*(?:(\d{1,5})\s*h(?:ours?)?)?\s*(?:(\d{1,6})\s*m(?:in(?:utes?)?)?)?"
)
_DATE = re.compile(r"(\d{1,2})\.?\s+([a-z]+)\.?(?:\s+(\d{4}))?|([a-z]+)\.?\s+(\d{1,2})(?:,?\s+(\d{4}))?")
_YEARS = range(1900, 2200)
"""Other years are slips, and near the ends of the calendar no offset can be had."""
_HELP = "write @10:30, @yesterday, @yesterday 18:00, @12 March or @2026-03-12"


@dataclass(frozen=True, slots=True)
class When:
    """A moment with its offset. `whole_day` says that no time of day was given: it is then noon, or today the present
    moment."""

    at: datetime
    whole_day: bool = False


def parse_when(text: str, clock: Clock) -> When:
    """Read a moment. A day without a year is the latest that has passed. Raises InputError."""
    text = " ".join(text.lower().split())
    now = clock.now()
    if text in ("now", "today"):
        return When(now)
    if moment := _iso(text):
        return _on(moment, "t" not in text and ":" not in text, clock)
    if (text.endswith(" ago") or text.startswith("-")) and (match := _ago(text.removesuffix(" ago"), now)):
        return match
    day, _, clock_time = text.rpartition(" ")
    if _TIME.fullmatch(text.partition(" ")[0]) and day:  # "10:30 yesterday"
        clock_time, _, day = text.partition(" ")
    spoken = _TIME.fullmatch(clock_time)
    at = time(int(spoken[1]), int(spoken[2])) if spoken else time(12)
    said = _day((day or "today") if spoken else text, now)
    if said is None:
        raise InputError(f"{text or '@'} is not a time known here; {_HELP}")
    return _on(datetime.combine(said, at), spoken is None, clock)


def parse_day(text: str, clock: Clock) -> date:
    """Read a day that something is to happen on: without a year, the next to come. Raises InputError."""
    text = " ".join(text.lower().split())
    today = clock.now().replace(hour=0, minute=0, second=0, microsecond=0, tzinfo=None)
    try:
        return date.fromisoformat(text)
    except ValueError:
        day = _day(text, today, ahead=True)
    if day is None or day.year not in _YEARS:
        raise InputError(f"{text} is not a day known here; write 12 March, friday or 2026-03-12")
    return day.date()


def _on(moment: datetime, whole_day: bool, clock: Clock) -> When:
    """A moment, in local time unless it says otherwise; of a whole day its noon, of today what has passed of it."""
    if moment.year not in _YEARS:
        raise InputError(f"{moment.year} is not a year known here; {_HELP}")
    now = clock.now()
    if whole_day and moment.date() == now.date():
        return When(now)
    if whole_day:
        moment = moment.replace(hour=12)
    return When(moment if moment.tzinfo is not None else clock.local(moment), whole_day)


def _iso(text: str) -> datetime | None:
    try:
        return datetime.fromisoformat(text.upper().replace(" ", "T") if ":" in text else text)
    except ValueError:
        return None


def _ago(text: str, now: datetime) -> When | None:
    match = _AGO.fullmatch(text)
    if match is None or not any(match.groups()):
        return None
    weeks, days, hours, minutes = (int(g or 0) for g in match.groups())
    then = now - timedelta(weeks=weeks, days=days, hours=hours, minutes=minutes)
    return When(then) if then.year in _YEARS else None


def _day(text: str, now: datetime, ahead: bool = False) -> datetime | None:
    """The day that words mean: the latest such day before today, or the next after it where one looks `ahead`."""
    today = now.replace(hour=0, minute=0, second=0, microsecond=0, tzinfo=None)
    if text in ("today", "tomorrow"):
        return today + timedelta(days=text == "tomorrow")
    if len(text) > 2 and "yesterday".startswith(text) and not ahead:
        return today - timedelta(days=1)
    weekdays = [i for i, name in enumerate(_DAYS) if len(text) > 1 and name.startswith(text.removeprefix("last "))]
    if len(weekdays) == 1:
        back = (today.weekday() - weekdays[0]) % 7
        return today + timedelta(days=7 - back if ahead else -(back or 7))
    match = _DATE.fullmatch(text)
    if match is None:
        return None
    number, name, year = (match[1], match[2], match[3]) if match[1] else (match[5], match[4], match[6])
    months = [i for i, month in enumerate(_MONTHS, 1) if len(name) > 2 and month.startswith(name)]
    if len(months) != 1:
        return None
    if year:
        return _date(int(number), months[0], int(year))
    return _nearest(int(number), months[0], today, ahead)


def _date(day: int, month: int, year: int) -> datetime | None:
    try:
        return datetime(year, month, day)
    except ValueError:
        return None


def _nearest(day: int, month: int, today: datetime, ahead: bool) -> datetime | None:
    """The latest such day that is not to come, or the next that has not passed; 29 February may be eight years off."""
    days = (_date(day, month, today.year + (years if ahead else -years)) for years in range(9))
    return next((d for d in days if d is not None and (d >= today if ahead else d <= today)), None)
