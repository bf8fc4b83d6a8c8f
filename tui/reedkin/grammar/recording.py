"""From what an entry line would record to the records themselves."""

from __future__ import annotations

from datetime import datetime

from reedkin.domain.events import Amendment, Event, Record, Statement
from reedkin.domain.uid import UidMaker
from reedkin.grammar.actions import AddedAction, Reading, ReedAction


def to_records(reading: Reading, uids: UidMaker, now: datetime, session: str | None) -> list[Record]:
    """The records of an entry, all of one entry uid, in the order of their uids.

    `session` is the running work session's uid; an event that happened at another time is not of it, and one of an
    entry that starts a session or ends it is of that session or of none. Raises ValueError where the reading is not
    ready.
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
            continue
        if isinstance(action, AddedAction):
            step, facts = action.step, {**action.step.facts, **action.facts}
            note = action.note or step.note
            records.append(Amendment(uid, step.event.reed, step.event.uid, step.at, now, entry, facts, note))
            continue
        if action.table == "sessions" and "started" in action.facts:
            session = uid
        elif action.table == "sessions" and "ended" in action.facts:
            session = None
        records.append(Statement(uid, action.table, action.subject or uid, action.at, now, entry, action.facts))
    return records
