"""Records of the domain as documents of the log, and back."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, tzinfo
from sys import intern
from typing import Any

from reedkin.domain.events import REED_TABLE, Amendment, Event, Place, Record, Statement, Strike
from reedkin.domain.facts import FACTS, Facts, Value

SESSIONS = "sessions"
AMENDED, STRUCK, STATED = "amended", "struck", "stated"

FIRST_YEAR, LAST_YEAR = 1900, 2999
"""A time of another year is a slip, and cannot be reckoned with everywhere."""
TOO_MUCH = 1e9
"""No measure of a reed, no price and no number of minutes comes near it."""

_SAID: dict[tuple[Any, ...], Facts] = {}
_MOST_SAID = 50_000
"""Facts met so far: a maker plays 45 minutes in rehearsal hundreds of times."""
_ZONES: dict[tzinfo, tzinfo] = {}
"""Offsets from UTC met so far, of which each moment would otherwise have one of its own."""

_TYPES: Mapping[str, tuple[type, ...]] = {"number": (int, float), "whole": (int,), "yes": (bool,), "parts": (tuple,)}
"""What the values of facts are in Python, where they are not text."""


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
    if isinstance(record, Event) and record.moved_from is not None:
        kept["moved_from"] = record.moved_from._asdict()
    if isinstance(record, Strike) and record.moved_to is not None:
        kept["moved_to"] = record.moved_to._asdict()
    if isinstance(record, Strike) and record.correction:
        kept["correction"] = True
    return kept


def from_document(table: str, uid: str, document: Mapping[str, Any]) -> Record:
    """The record that a document keeps. Raises ValueError, which says why, if it keeps none: another program may have
    written it, or a later version of this one. What many records say alike they share, which in a long log saves much
    memory."""
    kind, entry = _word(document, "kind"), _text(document, "entry")
    entry = uid if entry == uid else intern(entry)
    recorded = _moment(document, "recorded")
    if kind == STRUCK:
        correction = document.get("correction") is True
        return Strike(uid, table, _text(document, "of"), recorded, entry, _place(document, "moved_to"), correction)
    at = recorded if document.get("at") == document["recorded"] else _moment(document, "at")
    facts = _facts(document)
    if not table.startswith(REED_TABLE):
        if table == SESSIONS:
            for name in facts.keys() & {"started", "ended"}:
                _moment(facts, name)
        return Statement(uid, table, _text(document, "subject"), at, recorded, entry, facts)
    reed = intern(table.removeprefix(REED_TABLE))
    note = document.get("note", "")
    if not isinstance(note, str):
        raise ValueError("its note is not text")
    if kind == AMENDED:
        return Amendment(uid, reed, _text(document, "of"), at, recorded, entry, facts, note)
    session = _word(document, "session") if document.get("session") is not None else None
    return Event(
        uid,
        reed,
        kind,
        _word(document, "tag"),
        at,
        recorded,
        entry,
        facts,
        session,
        note,
        _place(document, "moved_from"),
    )


def _place(fields: Mapping[str, Any], name: str) -> Place | None:
    """Where the other half of a move stands; None where there was none."""
    kept = fields.get(name)
    if kept is None:
        return None
    if not isinstance(kept, Mapping):
        raise ValueError(f"its {name} names no event")
    return Place(_text(kept, "reed"), _text(kept, "event"))


def _word(fields: Mapping[str, Any], name: str) -> str:
    """A text that many records have."""
    return intern(_text(fields, name))


def _text(fields: Mapping[str, Any], name: str) -> str:
    text = fields.get(name)
    if not isinstance(text, str) or not text.strip():
        raise ValueError(f"it lacks the text of its {name}")
    return text


def _moment(fields: Mapping[str, Any], name: str) -> datetime:
    moment = datetime.fromisoformat(_text(fields, name))
    if moment.tzinfo is None:
        raise ValueError(f"the time of its {name} lacks the offset from UTC")
    if not FIRST_YEAR <= moment.year <= LAST_YEAR:
        raise ValueError(f"the time of its {name} is in the year {moment.year}")
    return moment.replace(tzinfo=_ZONES.setdefault(moment.tzinfo, moment.tzinfo))


def _facts(document: Mapping[str, Any]) -> Facts:
    kept = document.get("facts", {})
    if not isinstance(kept, Mapping):
        raise ValueError("its facts are not named")
    values = [tuple(value) if isinstance(value, list) else value for value in kept.values()]
    said = (*kept, *values, *map(type, values))  # with the types, since 60 and 60.0 are equal but not written alike
    try:
        known = _SAID.get(said)
    except TypeError:  # for what no fact holds, such as an object; the check below says where
        known = None
    if known is None:
        known = {name: _value(name, value) for name, value in kept.items()}
        if len(_SAID) >= _MOST_SAID:
            _SAID.clear()
        _SAID[said] = known
    return known


def _value(name: str, value: Any) -> Value:
    """The value of a fact, of the type that the fact has; of a fact that is not known here, as it is."""
    fact = FACTS.get(name)
    if isinstance(value, (list, tuple)) and all(isinstance(part, str) for part in value):
        kept: Value = tuple(value)
    elif isinstance(value, (str, bool)) or (isinstance(value, (int, float)) and abs(value) < TOO_MUCH):
        kept = value
    else:
        raise ValueError(f"{name} holds no value")
    if fact is None:
        return kept
    if fact.type == "whole" and isinstance(kept, float) and kept.is_integer():
        kept = int(kept)
    if type(kept) not in _TYPES.get(fact.type, (str,)):
        raise ValueError(f"{fact.words} is of another type")
    return kept
