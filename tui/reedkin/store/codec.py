"""Records of the domain as documents of the log, and back."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from reedkin.domain.events import Amendment, Event, Record, Statement, Strike
from reedkin.domain.facts import FACTS, Facts, Value

REED = "reed "
"""What the name of a reed's table begins with; the uid of the event that began the reed follows."""

AMENDED, STRUCK, STATED = "amended", "struck", "stated"


def to_document(record: Record) -> dict[str, Any]:
    """The document of a record; its uid is the document's id and its table is `events.table_of`."""
    kept: dict[str, Any]
    match record:
        case Event():
            kept = {"kind": record.kind, "tag": record.tag, "at": record.at.isoformat()}
        case Amendment():
            kept = {"kind": AMENDED, "of": record.of, "at": record.at.isoformat()}
        case Strike():
            kept = {"kind": STRUCK, "of": record.of}
        case Statement():
            kept = {"kind": STATED, "subject": record.subject, "at": record.at.isoformat()}
    kept["recorded"] = record.recorded.isoformat()
    kept["entry"] = record.entry
    if isinstance(record, Event) and record.session is not None:
        kept["session"] = record.session
    if not isinstance(record, Strike):
        kept["facts"] = {name: list(v) if isinstance(v, tuple) else v for name, v in record.facts.items()}
        if not isinstance(record, Statement) and record.note:
            kept["note"] = record.note
    return kept


def from_document(table: str, uid: str, document: Mapping[str, Any]) -> Record:
    """The record that a document keeps. Raises ValueError, KeyError or TypeError if it keeps none."""
    kind = document["kind"]
    recorded = datetime.fromisoformat(document["recorded"])
    entry = str(document["entry"])
    if kind == STRUCK:
        return Strike(uid, table, str(document["of"]), recorded, entry)
    at = datetime.fromisoformat(document["at"])
    if at.tzinfo is None or recorded.tzinfo is None:
        raise ValueError("a time lacks its offset from UTC")
    facts = _facts(document.get("facts", {}))
    if not table.startswith(REED):
        return Statement(uid, table, str(document["subject"]), at, recorded, entry, facts)
    reed = table.removeprefix(REED)
    note = str(document.get("note", ""))
    if kind == AMENDED:
        return Amendment(uid, reed, str(document["of"]), at, recorded, entry, facts, note)
    session = document.get("session")
    tag = str(document["tag"])
    return Event(uid, reed, str(kind), tag, at, recorded, entry, facts, str(session) if session else None, note)


def _facts(kept: Mapping[str, Any]) -> Facts:
    facts: dict[str, Value] = {}
    for name, value in kept.items():
        if isinstance(value, (list, tuple)):
            facts[name] = tuple(str(v) for v in value)
        elif isinstance(value, (str, int, float, bool)):
            fact = FACTS.get(name)
            whole = fact is not None and fact.type == "whole" and isinstance(value, float) and value.is_integer()
            facts[name] = int(value) if whole else value
        else:
            raise ValueError(f"{name} holds no value")
    return facts
