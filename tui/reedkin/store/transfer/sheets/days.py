"""Days and times in the ways in which people write them, and the order of day, month and year that a column has."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence
from datetime import datetime, time, timedelta
from functools import lru_cache
from typing import Literal

Order = Literal["day-first", "month-first", "year-first"]
ORDERS: tuple[Order, ...] = ("day-first", "month-first", "year-first")

_NOON = (12, 0)
_FIRST_SERIAL = datetime(1899, 12, 30)
_SERIALS = (36526, 55153)
_LONGEST = 60
"""Characters of a cell that can be a day."""
_MOST = 0.6
"""Such a share of a column's cells are days where it holds days: others are slips, and told."""
_CENTURY_TURNS = 70
"""Of years in two digits, 70 and later are of the last century."""
_TIME = re.compile(r"^(.*?)[ T,]+(\d{1,2})[:.h](\d{2})(?::\d{2}(?:\.\d+)?)?\s*(am|pm|uhr)?$", re.IGNORECASE)
_CLOCK = re.compile(r"(\d{1,2})(?:[:.h](\d{2})(?::\d{2}(?:\.\d+)?)?)?\s*(am|pm|a\.m\.|p\.m\.|uhr|h)?", re.IGNORECASE)
_FIRST_HOUR = 6
"""Of a column that holds times of day most are as late as that; "0:45" and "1:20" are lengths."""
_NUMBERS = re.compile(r"(\d{1,4})\s*[-/. ]\s*(\d{1,2})\s*[-/. ]\s*(\d{1,4})")
_DAY_NAME_YEAR = re.compile(r"(\d{1,2})(?:st|nd|rd|th)?[-. ]*\s*([^\W\d_]+)[-., ]*(\d{4}|\d{2})")
_NAME_DAY_YEAR = re.compile(r"([^\W\d_]+)[. ]+(\d{1,2})(?:st|nd|rd|th)?[, ]+(\d{4})")
_WEEKDAY = re.compile(r"[^\W\d_]{2,10}[.,]*\s+(?=\d)")

_MONTHS = (
    "january januar janvier gennaio enero jan jaen janv gen ene",
    "february februar fevrier febbraio febrero feb febr fev fevr",
    "march marz maerz mars marzo mar mrz",
    "april avril aprile abril apr avr abr",
    "may mai maggio mayo mag",
    "june juni juin giugno junio jun giu",
    "july juli juillet luglio julio jul juil lug",
    "august aout agosto aug ago",
    "september septembre settembre septiembre sep sept set",
    "october oktober octobre ottobre octubre oct okt ott",
    "november novembre noviembre nov",
    "december dezember decembre dicembre diciembre dec dez dic",
)
MONTHS = {name: number for number, names in enumerate(_MONTHS, 1) for name in names.split()}
"""The names of months in English, German, French, Italian and Spanish, without accents."""


@lru_cache(maxsize=20_000)
def plain(text: str) -> str:
    """Text in lower case and without accents."""
    apart = unicodedata.normalize("NFKD", text.casefold())
    return "".join(char for char in apart if not unicodedata.combining(char))


@lru_cache(maxsize=20_000)
def moment_as_written(text: str, order: Order) -> datetime | None:
    """The moment that a cell gives where its numbers stand in this order; a day alone is its noon. None if it gives
    none."""
    if len(text) > _LONGEST:
        return None
    if "T" in text and (moment := _iso(text)) is not None:
        return moment
    if is_serial(text):
        return _FIRST_SERIAL + timedelta(days=int(text), hours=_NOON[0])
    text, (hour, minute) = _apart(" ".join(text.split()))
    found = _numbers(text, order) or _named(text)
    if found is None:
        return None
    day, month, year = found
    try:
        return datetime(year, month, day, hour, minute)
    except ValueError:
        return None


def time_as_written(text: str) -> time | None:
    """The time of day that a cell gives: "19:30", "7.30 pm", "19h30", "20 Uhr". None if it gives none, as midnight,
    which spreadsheets write where there is no time."""
    match = _CLOCK.fullmatch(text.strip()) if len(text) <= _LONGEST else None
    if match is None or not (match[2] or match[3]):
        return None
    hour, half = int(match[1]), (match[3] or "").lower()[:1]
    if half in ("a", "p"):
        hour = hour % 12 + (12 if half == "p" else 0)
    minute = int(match[2] or 0)
    return time(hour, minute) if hour < 24 and minute < 60 and (hour, minute) != (0, 0) else None


def are_times(cells: Sequence[str]) -> bool:
    """Whether most of these cells are times of day, and no lengths."""
    times = [one for cell in cells if (one := time_as_written(cell)) is not None and one.hour >= _FIRST_HOUR]
    return bool(cells) and len(times) >= _MOST * len(cells)


def is_serial(text: str) -> bool:
    """Whether a cell is a day as spreadsheets count them inside, from 2000 to 2050: 45962."""
    return len(text) == 5 and text.isdecimal() and text.isascii() and _SERIALS[0] <= int(text) <= _SERIALS[1]


def _iso(text: str) -> datetime | None:
    try:
        return datetime.fromisoformat(text.strip())
    except ValueError:
        return None


def _apart(text: str) -> tuple[str, tuple[int, int]]:
    """A day and the time of day behind it."""
    match = _TIME.match(text)
    if match is None or not re.search(r"\d", match[1]):
        return text, _NOON
    hour, minute, half = int(match[2]), int(match[3]), (match[4] or "").lower()
    if half in ("am", "pm"):
        hour = hour % 12 + (12 if half == "pm" else 0)
    # Spreadsheets write midnight behind a day that has no time.
    return match[1].strip(" ,"), (hour, minute) if (hour, minute) != (0, 0) else _NOON


def _numbers(text: str, order: Order) -> tuple[int, int, int] | None:
    match = _NUMBERS.fullmatch(text) or _NUMBERS.fullmatch(_WEEKDAY.sub("", text, count=1))
    if match is None or {"/", "."} <= set(match[0]):
        return None  # 6.5/10 is a score
    first, second, third = match.groups()
    if len(first) == 4:
        return (int(third), int(second), int(first)) if len(third) <= 2 else None
    if len(third) not in (2, 4) or len(first) > 2 or order == "year-first":
        return (int(third), int(second), _year(first)) if order == "year-first" and len(third) <= 2 else None
    day, month = (first, second) if order == "day-first" else (second, first)
    return int(day), int(month), _year(third)


def _named(text: str) -> tuple[int, int, int] | None:
    text = plain(text)
    for written in (text, _WEEKDAY.sub("", text, count=1)):
        if (match := _DAY_NAME_YEAR.fullmatch(written)) and match[2] in MONTHS:
            return int(match[1]), MONTHS[match[2]], _year(match[3])
        if (match := _NAME_DAY_YEAR.fullmatch(written)) and match[1] in MONTHS:
            return int(match[2]), MONTHS[match[1]], int(match[3])
    return None


def _year(text: str) -> int:
    year = int(text)
    return year if len(text) == 4 else year + (1900 if year >= _CENTURY_TURNS else 2000)


def is_day(text: str) -> bool:
    """Whether a cell holds a day, in whatever order."""
    return any(moment_as_written(text, order) is not None for order in ORDERS)


def order_shown(cells: Iterable[str]) -> Order | None:
    """Whether the day or the month comes first, where cells show it (a 13 in one place); None where they do not, or
    show both."""
    both: tuple[Order, Order] = ("day-first", "month-first")
    read = [[moment_as_written(cell, order) is not None for order in both] for cell in dict.fromkeys(cells)]
    shown = [order for place, order in enumerate(both) if any(one[place] and not one[1 - place] for one in read)]
    return shown[0] if len(shown) == 1 else None


def is_day_of_a_year(text: str) -> bool:
    """Whether a heading is a day, of whatever year where it says none: "Mon 5 Jan", "5.1."."""
    year = "2000"
    return text[-1:].isalnum() and any(is_day(one) for one in (text, f"{text} {year}", f"{text}/{year}"))


def orders_of(cells: Iterable[str]) -> Sequence[Order]:
    """The orders in which most of these cells are days; several only where they would be other days. Empty if too few
    are days in any."""
    texts = list(dict.fromkeys(cells))
    read = {order: [moment_as_written(text, order) for text in texts] for order in ORDERS}
    counts = {order: sum(one is not None for one in moments) for order, moments in read.items()}
    most = max(counts.values(), default=0)
    if not texts or most < _MOST * len(texts):
        return ()
    best = [order for order in ORDERS if counts[order] == most]
    unlike = [order for place, order in enumerate(best) if all(read[order] != read[other] for other in best[:place])]
    if len(unlike) > 1 and unlike[-1] == "year-first":  # years of two digits: the reading that lies together is meant
        apart = _span(read["year-first"]) - min(_span(read[order]) for order in unlike[:-1])
        return unlike[:-1] if apart >= 0 else unlike[-1:]
    return unlike


def _span(moments: Iterable[datetime | None]) -> float:
    times = [moment.replace(tzinfo=None).timestamp() for moment in moments if moment is not None]
    return max(times) - min(times)
