"""The records of the log. None is ever changed: an amendment or a strike is a further record about an earlier one."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import NamedTuple

from reedkin.domain.facts import Facts, Value


class Place(NamedTuple):
    """Where an event stands: in the lineage of which reed, and under which uid."""

    reed: str
    event: str


class Event(NamedTuple):
    """Something that happened to a reed. `reed` is the uid of the event that began the reed. `moved_from` is the event
    that was written to another reed by mistake and struck there when this one was written.

    A named tuple, because a long log has a hundred thousand of them and making a frozen dataclass takes ten times as
    long.
    """

    uid: str
    reed: str
    kind: str
    tag: str
    at: datetime
    recorded: datetime
    entry: str
    facts: Facts
    session: str | None = None
    note: str = ""
    moved_from: Place | None = None


class Amendment(NamedTuple):
    """Replaces the facts, the time and the note of the event `of`."""

    uid: str
    reed: str
    of: str
    at: datetime
    recorded: datetime
    entry: str
    facts: Facts
    note: str = ""


class Strike(NamedTuple):
    """Takes the record `of` out of account: an event, an amendment, a statement, or another strike (which gives
    back what that one took). `moved_to` is the event that was written to another reed in its stead. A `correction` is
    an entry that can itself be taken back; the strikes by which an entry is taken back are none."""

    uid: str
    table: str
    of: str
    recorded: datetime
    entry: str
    moved_to: Place | None = None
    correction: bool = False


class Statement(NamedTuple):
    """Something said of a thing beside the reeds: a work session, a lot, an order, an instrument's targets, the
    settings. Later statements about the same subject add to the earlier ones and win where they differ."""

    uid: str
    table: str
    subject: str
    at: datetime
    recorded: datetime
    entry: str
    facts: Mapping[str, Value]


Record = Event | Amendment | Strike | Statement


REED_TABLE = "reed "
"""What the name of a reed's table begins with; the reed's id follows, which is the uid of the event that began it."""


def reed_table(reed: str) -> str:
    """The name of the table that holds a reed's lineage."""
    return REED_TABLE + reed


def table_of(record: Record) -> str:
    """The table that a record belongs in."""
    if isinstance(record, (Event, Amendment)):
        return reed_table(record.reed)
    return record.table


def standing(strikes: Iterable[Strike]) -> set[str]:
    """The uids that are struck out, given all strikes of a table: a strike that is itself struck does not count.

    Each strike is settled once all that are of it are, whatever the clocks of the machines said that wrote them.
    (Strikes that strike each other in a circle, which nobody can have written, are passed over.)
    """
    of = {strike.uid: strike.of for strike in strikes}
    unsettled = Counter(of.values())
    struck: set[str] = set()
    ready = [uid for uid in of if uid not in unsettled]
    while ready:
        uid = ready.pop()
        target = of[uid]
        if uid not in struck:
            struck.add(target)
        unsettled[target] -= 1
        if target in of and not unsettled[target]:
            ready.append(target)
    return struck
