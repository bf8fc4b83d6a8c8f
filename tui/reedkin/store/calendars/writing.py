"""What is to be tied by when, as a calendar (RFC 5545), for a telephone to remind one."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from reedkin.domain.figures import plural
from reedkin.domain.uid import uid_of_content
from reedkin.domain.words import spelt
from reedkin.errors import InputError
from reedkin.store.disk.files import write_new


def write_tyings(path: Path, tyings: Sequence[tuple[date, str, int]], now: datetime) -> Path:
    """Write whole days with what is to be tied: by when, for which instrument, how many blanks. Where it went. Raises
    InputError where ical is not there, and what writing a file raises."""
    try:
        from ical.calendar import Calendar
        from ical.calendar_stream import IcsCalendarStream
        from ical.event import Event
    except ImportError as error:
        raise InputError(
            "A calendar is written by the library ical, which is not there. To have it, from the folder of reedkin: "
            "pip install '.[calendar]'"
        ) from error
    whole = Calendar(prodid="-//reedkin//season//EN")
    for day, instrument, blanks in tyings:
        title = f"Tie {plural(blanks, f'{spelt(instrument)} blank')}"
        whole.events.append(
            Event(
                uid=uid_of_content(0, f"tie {day} {instrument}"), dtstamp=now.astimezone(UTC), summary=title,
                dtstart=day, dtend=day + timedelta(days=1),
            )
        )  # fmt: skip
    return write_new(path, IcsCalendarStream.calendar_to_ics(whole))
