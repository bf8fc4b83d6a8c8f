"""The events of a calendar file as text, each with its line, cut down to what an engagement needs.

So nothing else of the file can be in the way of reading it: neither what other programs put there, nor a fault in an
event that has no part in this; and a file made to do harm is refused before anything is reckoned from it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from reedkin.domain.literal import literal
from reedkin.errors import InputError
from reedkin.store.disk.outside import read_up_to

LARGEST = 20_000_000
"""Bytes of a file."""
MOST_EVENTS = 50_000
LONGEST_LINE = 8_000
"""Characters of one property, unfolded; of a title so many are kept."""
LONGEST_TITLE = 200
_MOST_ZONES = 200
_CUT = 2 * LONGEST_TITLE
"""Characters of a title's property that are read."""
_KEPT = (
    "UID", "SUMMARY", "DTSTART", "DTEND", "DURATION", "RRULE", "RDATE", "EXDATE", "RECURRENCE-ID", "STATUS", "SEQUENCE",
)  # fmt: skip
_NAME = re.compile(r"[A-Za-z0-9-]+")
_DAY = re.compile(r":(\d{8})")
_YEARLY = re.compile(r"(?i)^RRULE[^:]*:(?:.*;)?FREQ=YEARLY(?:;|$)")


@dataclass
class Block:
    """A component of a calendar: the number of its first line, and its properties that are kept."""

    line: int
    properties: list[str] = field(default_factory=list)

    def value(self, name: str) -> str:
        """What stands behind the colon of a property; "" where there is none."""
        found = next((one for one in self.properties if _named(one) == name), "")
        return found.partition(":")[2]

    @property
    def title(self) -> str:
        """What the event is called."""
        plain = self.value("SUMMARY").replace("\\n", " ").replace("\\N", " ")
        return " ".join(re.sub(r"\\(.)", r"\1", plain).split())[:LONGEST_TITLE]

    @property
    def recurs(self) -> bool:
        return any(_named(one) in ("RRULE", "RDATE", "RECURRENCE-ID") for one in self.properties)

    def over(self, today: date) -> bool:
        """Whether it surely lies before a day, and does not come again."""
        start = next((one for one in self.properties if _named(one) == "DTSTART"), "")
        found = _DAY.search(start)
        return found is not None and not self.recurs and found[1] < f"{today:%Y%m%d}"

    @property
    def text(self) -> str:
        return "\n".join(("BEGIN:VEVENT", "DTSTAMP:20200101T000000Z", *self.properties, "END:VEVENT", ""))


@dataclass
class CalendarText:
    """A calendar file taken apart. `name` is what it calls itself; `cancels`: all its events are called off."""

    name: str = ""
    cancels: bool = False
    zones: list[str] = field(default_factory=list)
    events: list[Block] = field(default_factory=list)


def read_text(path: Path) -> CalendarText:
    """Take a calendar file apart. Raises InputError where it is none, or is larger than a calendar can be."""
    raw = read_up_to(LARGEST, path)
    if len(raw) > LARGEST:
        raise InputError(f"{path.name} is larger than {LARGEST // 1_000_000} MB: no calendar of engagements is")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError(f"{path.name} is no calendar: it is not in UTF-8, as RFC 5545 asks") from error
    return _taken_apart(path.name, text)


def _taken_apart(file: str, text: str) -> CalendarText:
    found = CalendarText()
    inside: list[str] = []
    zone: list[str] = []
    begun = False
    for number, line in _unfolded(text):
        name, value = _named(line), line.partition(":")[2].strip()
        if name == "BEGIN":
            inside.append(value.upper())
            begun = begun or inside == ["VCALENDAR"]
            if len(inside) > 8:
                raise InputError(f"{file} line {number}: no calendar is nested so deep")
            if inside == ["VCALENDAR", "VEVENT"]:
                found.events.append(Block(number))
        if inside[1:2] == ["VTIMEZONE"]:
            zone.append(line)
            if name == "RRULE" and _YEARLY.match(line) is None:
                raise InputError(f"{file} line {number}: a time zone changes by the year, and no oftener")
        elif inside == ["VCALENDAR", "VEVENT"] and name in _KEPT:
            if len(line) > LONGEST_LINE and name != "SUMMARY":
                raise InputError(f"{file} line {number}: {name} is longer than {LONGEST_LINE} characters")
            found.events[-1].properties += _as_kept(name, line, value)
        elif inside == ["VCALENDAR"] and name in ("NAME", "X-WR-CALNAME"):
            found.name = found.name or value[:LONGEST_TITLE]
        elif inside == ["VCALENDAR"] and name == "METHOD":
            found.cancels = found.cancels or value.upper() == "CANCEL"
        if name == "END" and inside and inside.pop() == "VTIMEZONE":
            found.zones += _unknown(zone)
            zone = []
        if len(found.events) > MOST_EVENTS or len(found.zones) > _MOST_ZONES * 20:
            raise InputError(f"{file} holds more than {MOST_EVENTS} events: no calendar of engagements does")
    if not begun:
        raise InputError(f"{file} is no calendar: it does not begin with BEGIN:VCALENDAR (RFC 5545, a file in .ics)")
    return found


def _as_kept(name: str, line: str, value: str) -> list[str]:
    """A property of an event as it is handed on; nothing where it says nothing that counts here."""
    if name == "STATUS":
        return ["STATUS:CANCELLED"] if value.upper() == "CANCELLED" else []
    shown = literal(line)  # what steers a terminal is in no sound calendar, and ical takes none with it
    return [shown[:_CUT].rstrip("\\") if name == "SUMMARY" else shown]


def _unfolded(text: str) -> Iterator[tuple[int, str]]:
    """The lines with what goes on in the next joined to them, and their numbers."""
    parts: list[str] = []
    first = 1
    for number, line in enumerate(re.split(r"\r\n|\n|\r", text), 1):
        if line[:1] in (" ", "\t") and parts:
            parts.append(line[1:])
            continue
        if parts:
            yield first, "".join(parts)
        parts, first = [line], number
    if parts:
        yield first, "".join(parts)


def _named(line: str) -> str:
    """The name of a property."""
    found = _NAME.match(line)
    return found[0].upper() if found and line[found.end() : found.end() + 1] in (":", ";") else ""


def _unknown(zone: list[str]) -> list[str]:
    """A time zone's definition, where it is none of those that everybody knows."""
    name = next((line.partition(":")[2] for line in zone if _named(line) == "TZID"), "")
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return _all_year(zone)
    return []


def _all_year(zone: list[str]) -> list[str]:
    """A zone that has one time all year, said so that it begins anew each year: else ical takes it for that of
    Greenwich (14.3)."""
    ends = [n for n, line in enumerate(zone) if _named(line) == "END"]
    if len(ends) == 2 and not any(_named(line) in ("RRULE", "RDATE") for line in zone):
        return [*zone[: ends[0]], "RRULE:FREQ=YEARLY", *zone[ends[0] :]]
    return zone
