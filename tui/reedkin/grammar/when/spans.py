"""Stretches of days, as one asks about them: "30", "6 weeks", "october", "last year", "1 sep to 30 nov"."""

from __future__ import annotations

import re
from datetime import date, timedelta

from reedkin.domain.clock import Clock
from reedkin.domain.figures import date_words
from reedkin.errors import InputError
from reedkin.grammar.when.days import month_named, parse_when

_SPAN_DAYS = re.compile(r"(?:last |the last )?(\d{1,4})(?: ?(days?|weeks?|months?))?")
_YEAR_ALONE = re.compile(r"(?:19|20|21)\d\d")
_SPAN_HELP = "write 30 days, october, 2026, last year, or 1 sep to 30 nov"


def parse_span(text: str, clock: Clock, ending: date | None = None) -> tuple[date, date]:
    """The first and the last day of a stretch of days: "30", "6 weeks" (which end with `ending`, or today), "october"
    or "october 2025", "2026", "this year", "last year", "1 sep to 30 nov"; what is of the current year or month goes
    up to today. Raises InputError."""
    text = " ".join(text.lower().replace("–", " to ").split())
    today = clock.now().date()
    if _YEAR_ALONE.fullmatch(text) or text in ("this year", "last year"):
        year = int(text) if text.isdecimal() else today.year - (text == "last year")
        return _until_today(date(year, 1, 1), date(year, 12, 31), today)
    if match := _SPAN_DAYS.fullmatch(text):
        last = ending or today
        each = {"week": 7, "month": 30}.get((match[2] or "day").removesuffix("s"), 1)
        count = int(match[1]) * each
        if not 1 <= count <= 36_500:
            raise InputError(f"{text} is no stretch of days; {_SPAN_HELP}")
        return last - timedelta(days=count - 1), last
    name, _, of = text.removeprefix("last ").removeprefix("in ").partition(" ")
    month = month_named(name)
    if month is not None and (not of or _YEAR_ALONE.fullmatch(of)):
        year = int(of) if of else today.year - (month > today.month)
        following = date(year + month // 12, month % 12 + 1, 1)
        return _until_today(date(year, month, 1), following - timedelta(days=1), today)
    begin, to, end = text.removeprefix("from ").partition(" to ")
    if to:
        last = parse_when(end, clock).at.date()
        first = parse_when(begin, clock).at.date()
        if first > last:
            raise InputError(f"{date_words(first)} is after {date_words(last)}; turn them round")
        return first, last
    raise InputError(f"{text or 'nothing'} is no stretch of days; {_SPAN_HELP}")


def _until_today(first: date, last: date, today: date) -> tuple[date, date]:
    if first > today:
        raise InputError(f"{date_words(first)} is to come; name days that are past")
    return first, min(last, today)
