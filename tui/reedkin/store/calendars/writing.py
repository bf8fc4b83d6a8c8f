"""What is to be tied by when, as a calendar (RFC 5545), for a telephone to remind one."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from reedkin.bench.titles import tying_title
from reedkin.domain.uid import uid_of_content
from reedkin.domain.words import INSTRUMENTS
from reedkin.errors import InputError
from reedkin.store.disk.files import free_name, write_new
from reedkin.store.disk.logfile import first_line
from reedkin.store.disk.outside import read_up_to


def write_tyings(path: Path, tyings: Sequence[tuple[date, str, int]], now: datetime, log: Path) -> Path:
    """Write whole days with what is to be tied by a log's maker: by when, for which instrument, how many blanks.
    Returns where it went. Raises InputError where ical is not there, and what writing a file raises.

    The first tying of an instrument has the same UID in every file of that log and of no other, and so have the further
    ones, so that a calendar which took in an earlier plan moves what it has (RFC 5545, 3.8.7.4) in place of keeping
    both. What an earlier file of this name has and the plan has no longer is written as cancelled.
    """
    try:
        from ical.calendar import Calendar
        from ical.calendar_stream import IcsCalendarStream
        from ical.event import Event, EventStatus
    except ImportError as error:
        raise InputError(
            "A calendar is written by the library ical, which is not there. To have it, from the folder of reedkin: "
            "pip install '.[calendar]'"
        ) from error
    whole = Calendar(prodid="-//reedkin//season//EN")
    sequence, count, whose = int(now.timestamp()) // 60, Counter[str](), first_line(log)

    def event(uid: str, day: date, title: str, status: EventStatus | None = None) -> Event:
        return Event(
            uid=uid, dtstamp=now.astimezone(UTC), sequence=sequence, summary=title, status=status,
            dtstart=day, dtend=day + timedelta(days=1),
        )  # fmt: skip

    for day, instrument, blanks in tyings:
        count[instrument] += 1
        uid = tying_uid(whose, instrument, count[instrument])
        whole.events.append(event(uid, day, tying_title(blanks, instrument)))
    for instrument, uid in _told_before(path, count, whose):
        whole.events.append(event(uid, now.date(), tying_title(0, instrument), EventStatus.CANCELLED))
    return write_new(path, IcsCalendarStream.calendar_to_ics(whole))


_MOST_TYINGS, _MOST_BYTES = 200, 1_000_000
"""Of an instrument in a plan of a year, and of a file of such."""


def tying_uid(whose: bytes, instrument: str, place: int) -> str:
    """The UID of the tying of an instrument that is the first, second, ... in the plan of the log that begins with the
    line `whose`: in a calendar that two makers share, neither moves what the other told."""
    return uid_of_content(0, f"tie {whose.hex()} {instrument} {place}")


def _told_before(path: Path, count: Mapping[str, int], whose: bytes) -> Iterator[tuple[str, str]]:
    """The instruments and UIDs of tyings that files written before under this name have, past those of the plan."""
    last, said, at = free_name(path), b"", 1
    earlier = path
    while earlier != last:
        said += read_up_to(_MOST_BYTES, earlier)
        at += 1
        earlier = path.with_stem(f"{path.stem}-{at}")
    for instrument in INSTRUMENTS if said else ():
        uids = [tying_uid(whose, instrument, place) for place in range(count.get(instrument, 0) + 1, _MOST_TYINGS + 1)]
        yield from ((instrument, uid) for uid in uids if uid.encode() in said)
