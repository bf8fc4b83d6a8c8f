"""From what an entry line would record to the records themselves."""

from __future__ import annotations

from datetime import datetime

from reedkin.domain.entry.reading import Reading, ReedAction
from reedkin.domain.events import Event, Record, Statement
from reedkin.domain.uid import UidMaker


def to_records(reading: Reading, uids: UidMaker, now: datetime, session: str | None) -> list[Record]:
    """The records of an entry, all of one entry uid, in the order of their uids.

    `session` is the running work session's uid; an event that happened at another time is not of it. Raises
    ValueError where the reading is not ready.
    """
    if not reading.ready:
        raise ValueError("only a line without errors can be recorded")
    entry = uids.new()
    begun: dict[str, str] = {}
    records: list[Record] = []
    for action in reading.actions:
        uid = uids.new()
        if isinstance(action, ReedAction):
            reed = action.reed or begun.setdefault(action.tag, uid)
            of_session = session if reading.at is None else None
            records.append(
                Event(uid, reed, action.kind, action.tag, action.at, now, entry, action.facts, of_session, action.note)
            )
        else:
            subject = action.subject or uid
            records.append(Statement(uid, action.table, subject, action.at, now, entry, action.facts))
    return records
