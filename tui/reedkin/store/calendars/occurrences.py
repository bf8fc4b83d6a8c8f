"""What takes place when: the events of a calendar, recurring ones day by day, changed and called off as it says.

Reading one event is left to the library ical; what is made of several is said here, within bounds: a calendar that
recurs without end, or every second, is refused before it is gone through.
"""

from __future__ import annotations

import re
import warnings
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from itertools import groupby
from typing import TYPE_CHECKING, Any

from reedkin.domain.clock import Clock
from reedkin.domain.figures import date_words
from reedkin.errors import InputError
from reedkin.store.calendars.blocks import Block, CalendarText

if TYPE_CHECKING:
    from ical.event import Event

MOST = 2_000
"""Occurrences of a calendar in the days that are asked for."""
_MOST_STEPS = 100_000
"""Steps of rules that are gone through for all recurring events together; each takes some 50 microseconds."""
_DAYS = {"DAILY": 1, "WEEKLY": 7, "MONTHLY": 28, "YEARLY": 365}
_STEPS = {"DAILY": 1, "WEEKLY": 2, "MONTHLY": 3, "YEARLY": 20}
"""What a rule goes through at a time: so many days, and how long that takes beside a day."""
_MOST_FAULTS = 20
_UNKNOWN_ZONE = re.compile(r"TZID value '(.+?)' to be valid timezone")


@dataclass(frozen=True, slots=True)
class Occurrence:
    """An event that takes place: what the calendar calls it (`uid`, and of a recurring one `recurrence`, when it was
    planned), its title, its day and hour by the clock here, and how long it takes where that is less than a day."""

    uid: str
    recurrence: str
    title: str
    day: date
    hour: time | None
    minutes: int | None


@dataclass(frozen=True, slots=True)
class EventFault:
    """Why an event cannot be read, and the line on which it begins."""

    line: int
    message: str


def occurrences(
    text: CalendarText, wanted: Callable[[str], bool], first: date, last: date, clock: Clock
) -> tuple[list[Occurrence], list[EventFault]]:
    """What takes place from `first` to `last`, and what cannot be read. Only events whose title is `wanted` are looked
    at; of a series, all where one is. Raises InputError where ical is not there."""
    titles: dict[str, bool] = {}
    for block in text.events:
        uid = block.value("UID")
        titles[uid] = titles.get(uid, False) or wanted(block.title)
    blocks = [b for b in text.events if titles[b.value("UID")] and not b.over(first - timedelta(days=2))]
    read, faults = _read(blocks, text.zones)
    days = _Days(first, last, clock)
    found: list[Occurrence] = []
    read.sort(key=lambda one: str(one[1].uid))
    for _, series in groupby(read, key=lambda one: str(one[1].uid)):
        some = list(series)
        try:
            found += days.of_series([event for _, event in some])
        except (ValueError, OverflowError) as error:
            faults.append(EventFault(some[0][0].line, f"{some[0][0].title}: {error}"))
        if len(found) > MOST:
            raise InputError(f"it holds more than {MOST} engagements until {date_words(last)}: see to what recurs")
    return [] if text.cancels else [one for one in found if wanted(one.title)], faults


def _read(blocks: Sequence[Block], zones: Sequence[str]) -> tuple[list[tuple[Block, Event]], list[EventFault]]:
    """The events, all at once; where one of them cannot be read, by halves, until it is found which."""
    faults: list[EventFault] = []
    found: list[tuple[Block, Event]] = []
    waiting = [list(blocks)] if blocks else []
    while waiting and len(faults) < _MOST_FAULTS:
        some = waiting.pop()
        try:
            found += zip(some, _parsed(some, zones), strict=True)
        except ValueError as error:
            if len(some) == 1:
                faults.append(EventFault(some[0].line, f"{some[0].title or 'an event'}: {error}"))
            else:
                waiting += [some[len(some) // 2 :], some[: len(some) // 2]]
    return found, sorted(faults, key=lambda fault: fault.line)


def _parsed(blocks: Sequence[Block], zones: Sequence[str]) -> list[Event]:
    """The events as ical reads them. Raises ValueError where one of them makes no sense."""
    try:
        from ical.calendar_stream import IcsCalendarStream
        from ical.exceptions import CalendarError
    except ImportError as error:
        raise InputError(
            "A calendar is read by the library ical, which is not there. To have it, from the folder of reedkin: "
            "pip install '.[calendar]'"
        ) from error
    head = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//reedkin//reading//EN", *zones]
    whole = "\n".join((*head, *(block.text for block in blocks), "END:VCALENDAR", ""))
    try:
        events = list(IcsCalendarStream.calendar_from_ics(whole).events)
    except CalendarError as error:
        message = str(error).partition(":")[2].strip() or str(error)
        raise ValueError(_plainly(message.removeprefix("Failed to parse EVENT component:"))) from error
    if len(events) != len(blocks) or not all(event.uid and event.dtstart for event in events):
        raise ValueError("it has no day")
    return events


def _plainly(message: str) -> str:
    """What ical says of a fault, in plainer words where they are known."""
    zone = _UNKNOWN_ZONE.search(message)
    if zone is not None:
        return f"its time zone {zone[1]} is not known here"
    return " ".join(message.split()).removeprefix("Value error, ")


@dataclass
class _Days:
    """The days that are asked for, by the clock here, and how much was gone through for them so far."""

    first: date
    last: date
    clock: Clock
    steps: int = 0

    def of_series(self, events: Sequence[Event]) -> Iterator[Occurrence]:
        """The occurrences of what has one name: its rule, and those that were changed or called off. Of two that say
        the same the one with the higher sequence counts."""
        events = sorted(events, key=lambda event: event.sequence or 0)
        masters = [event for event in events if event.recurrence_id is None]
        changed = {_identity(event): event for event in events if event.recurrence_id is not None}
        onward = sorted((key, event) for key, event in changed.items() if _and_later(event))
        for master in masters[-1:]:
            for planned in self._planned(master):
                key = f"{planned:%Y%m%dT%H%M%S}" if master.rrule or master.rdate else ""
                event, shift = changed.pop(key, None), timedelta(0)
                if event is None and (later := [one for at, one in onward if key and at <= key]):
                    event, shift = later[-1], planned - _planned_at(later[-1])
                yield from self._one(event or master, key, _start(event, shift) if event else planned)
        for key, event in changed.items():
            yield from self._one(event, key, _start(event, timedelta(0)))

    def _one(self, event: Event, key: str, start: datetime) -> Iterator[Occurrence]:
        """An event that begins at this moment of its own clock, if it takes place in these days."""
        if str(event.status or "").upper().endswith("CANCELLED"):
            return
        title = Block(0, [f"SUMMARY:{event.summary or ''}"]).title
        if not isinstance(event.dtstart, datetime):
            if self.first <= start.date() <= self.last:
                yield Occurrence(str(event.uid), key, title, start.date(), None, None)
            return
        zone = event.dtstart.tzinfo
        here = self.clock.local(start.replace(tzinfo=zone) if zone is not None else start)
        if self.first <= here.date() <= self.last:
            minutes = round(event.computed_duration.total_seconds() / 60)
            lasts = minutes if 0 < minutes < 1440 else None
            yield Occurrence(str(event.uid), key, title, here.date(), here.time().replace(second=0, tzinfo=None), lasts)

    def _planned(self, event: Event) -> Iterator[datetime]:
        """The moments, by the event's own clock, for which it is planned until a day."""
        start = _start(event, timedelta(0))
        if not (event.rrule or event.rdate):
            yield start
            return
        zone = event.dtstart.tzinfo if isinstance(event.dtstart, datetime) else None
        without = {_naive(one, zone) for one in event.exdate}
        dates: list[Any] = list(event.rdate)
        times = {_naive(getattr(one, "start", one), zone) for one in dates}
        if event.rrule is None:
            times.add(start)
        else:
            times |= set(self._by_rule(event.rrule, start, zone))
        yield from sorted(times - without)

    def _by_rule(self, rule: Any, start: datetime, zone: tzinfo | None) -> Iterator[datetime]:
        """The moments of a rule, until a day. Raises ValueError for one that is not of days."""
        often = rule.freq.value
        if often not in _DAYS or any(len(by) > 1 for by in _within_a_day(rule)):
            raise ValueError("it recurs within a day, as no engagement does")
        until = _end_of(self.last)
        if rule.until is not None:
            until = min(until, _naive(rule.until, zone) if isinstance(rule.until, datetime) else _end_of(rule.until))
        each = _DAYS[often] * rule.interval
        if often in ("DAILY", "WEEKLY") and rule.count is None:
            # What is long past need not be gone through: the rule is the same begun a whole number of its steps later.
            start += timedelta(days=max((self.first - start.date()).days // each - 2, 0) * each)
        self._count((max((until.date() - start.date()).days, 0) // each + 1) * _STEPS[often])
        with warnings.catch_warnings():
            # That a rule has both a number and an end is no matter here: the end is that of the days asked for.
            warnings.simplefilter("ignore", DeprecationWarning)
            yield from rule.model_copy(update={"until": None}).as_rrule(start).replace(until=until)

    def _count(self, steps: int) -> None:
        self.steps += steps
        if self.steps > _MOST_STEPS:
            raise InputError("what recurs in it is more than can be gone through: see to its recurring events")


def _within_a_day(rule: Any) -> Iterator[Sequence[int]]:
    """The hours, minutes and seconds that a rule names; versions of ical before they were read have none."""
    return (getattr(rule, name, ()) or () for name in ("by_hour", "by_minute", "by_second"))


def _end_of(day: date) -> datetime:
    return datetime.combine(day, time.max)


def _naive(at: date, zone: tzinfo | None) -> datetime:
    """A moment, or the beginning of a day, by the clock of `zone`, without saying so."""
    if not isinstance(at, datetime):
        return datetime.combine(at, time())
    if at.tzinfo is not None and zone is not None:
        at = at.astimezone(zone)
    return at.replace(tzinfo=None)


def _identity(event: Event) -> str:
    """For when a changed occurrence was planned, by its series' own clock."""
    return f"{_planned_at(event):%Y%m%dT%H%M%S}"


def _planned_at(event: Event) -> datetime:
    text = str(event.recurrence_id)
    zone = event.dtstart.tzinfo if isinstance(event.dtstart, datetime) else None
    digits = text.rpartition(":")[2]
    if len(digits) == 8:
        return datetime.strptime(digits, "%Y%m%d")
    at = datetime.strptime(digits.rstrip("Z"), "%Y%m%dT%H%M%S")
    return _naive(at.replace(tzinfo=UTC), zone) if digits.endswith("Z") else at


def _start(event: Event, shift: timedelta) -> datetime:
    assert event.dtstart is not None
    return _naive(event.dtstart, None) + shift


def _and_later(event: Event) -> bool:
    """Whether a change is of this occurrence and all later ones."""
    said = getattr(event.recurrence_id, "range", None)
    return said is not None and str(getattr(said, "value", said)).upper() == "THISANDFUTURE"
