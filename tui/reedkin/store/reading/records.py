"""
Records of the domain as documents of the log, and back. The usual line becomes a record in one step, in C; a line that
is out of the ordinary in any way is looked at field by field, so that it can be said what is wrong with it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from sys import intern
from typing import Annotated, Any, Literal

import msgspec

from reedkin.bench.sessions import SESSIONS
from reedkin.domain.events import REED_TABLE, Amendment, Event, Place, Record, Statement, Strike
from reedkin.domain.facts import FACTS, Facts, Value

AMENDED, STRUCK, STATED = "amended", "struck", "stated"
_CORRECTIONS = frozenset((AMENDED, STRUCK))

FIRST_YEAR, LAST_YEAR = 1900, 2999
"""A time of another year is a slip, and cannot be reckoned with everywhere."""
TOO_MUCH = 1e9
"""No measure of a reed, no price and no number of minutes comes near it."""

_SAID: dict[bytes, Facts] = {}
_MOST_SAID = 50_000
"""Facts met so far: a maker plays 45 minutes in rehearsal hundreds of times."""

_TYPES: Mapping[str, tuple[type, ...]] = {"number": (int, float), "whole": (int,), "yes": (bool,), "parts": (tuple,)}
"""What the values of facts are in Python, where they are not text."""
_TYPES_OF: Mapping[str, tuple[type, ...]] = {name: _TYPES.get(fact.type, (str,)) for name, fact in FACTS.items()}

_MOMENTS = frozenset(("started", "ended"))
"""The facts of a work session that are times, no two alike; they are of no event."""
_OF_MOMENTS = (str,)

_Whole = Annotated[int, msgspec.Meta(gt=-int(TOO_MUCH), lt=int(TOO_MUCH))]
_Number = Annotated[float, msgspec.Meta(gt=-TOO_MUCH, lt=TOO_MUCH)]
_KnownFacts = dict[Literal[(*FACTS, *_MOMENTS)], _Whole | _Number | bool | str | tuple[str, ...]]  # type: ignore[valid-type]
"""Facts that are all known here, of whatever type each is."""

_Moment = Annotated[datetime, msgspec.Meta(tz=True)]
_Text = Annotated[str, msgspec.Meta(min_length=1)]


class Other(msgspec.Struct, frozen=True, gc=False):
    """The other half of a move."""

    reed: str = ""
    event: str = ""


class Said(msgspec.Struct, frozen=True, gc=False):
    """A document of any of the four forms; which fields it must have depends on its kind."""

    kind: str = ""
    recorded: _Moment | None = None
    at: _Moment | None = None
    entry: str = ""
    tag: str = ""
    facts: msgspec.Raw = msgspec.Raw(b"{}")
    session: str | None = None
    note: str = ""
    of: str = ""
    subject: str = ""
    moved_from: Other | None = None
    moved_to: Other | None = None
    correction: bool = False


class Line(msgspec.Struct, frozen=True, gc=False):
    """A line of a log: REST with the brace before it."""

    table: str
    id: _Text
    doc: Said


class _SaidWhole(msgspec.Struct, frozen=True, gc=False):
    """The document of an event or a statement, all of whose fields are looked at as they are decoded."""

    kind: _Text
    recorded: _Moment
    entry: _Text
    at: _Moment | None = None
    facts: _KnownFacts = {}
    tag: str = ""
    subject: str = ""
    session: _Text | None = None
    note: str = ""
    moved_from: Other | None = None


class _SaidLine(msgspec.Struct, frozen=True, gc=False):
    """A line of a log that tells of one of these."""

    table: _Text
    id: _Text
    doc: _SaidWhole


_decode_facts = msgspec.json.Decoder(_KnownFacts).decode
_said_lines = msgspec.json.Decoder(_SaidLine).decode_lines
_decoder = msgspec.json.Decoder(Line)
decoded_line = _decoder.decode
"""A line as a `Line`. Raises ValueError or RecursionError for whatever is not as usual."""
decoded_lines = _decoder.decode_lines
"""JSON Lines as a list of `Line`. Raises as `decoded_line`."""


def usual_lines(text: bytes) -> list[Line] | None:
    """A table's lines if each is as this program writes it and no id stands twice; None if not, and the table has to be
    read document by document."""
    try:
        lines = decoded_lines(text)
    except (ValueError, RecursionError):
        return None
    return lines if len({line.id for line in lines}) == len(lines) else None


def usual_records(lines: Sequence[bytes]) -> list[Event | Statement | None]:
    """The events and statements that lines (REST) keep; None for a line that has to be looked at by itself. As
    `record_of`, in a third of the time, but that their facts are not shared."""
    try:
        told = _said_lines(b"\n".join([b"{" + rest for rest in lines]))
    except (ValueError, RecursionError):
        return [None] * len(lines)
    return [_usual_record(line.table, line.id, line.doc) for line in told]


def _usual_record(table: str, uid: str, told: _SaidWhole) -> Event | Statement | None:
    at, recorded, kind, entry, facts = told.at, told.recorded, told.kind, told.entry, told.facts
    if at is None or kind in _CORRECTIONS or told.moved_from is not None or not _as_typed(facts):
        return None
    in_reason = FIRST_YEAR <= at.year <= LAST_YEAR and FIRST_YEAR <= recorded.year <= LAST_YEAR
    if not in_reason or kind.isspace() or entry.isspace():
        return None
    if table.startswith(REED_TABLE):
        tag, session, reed = told.tag, told.session, table.removeprefix(REED_TABLE)
        if not tag or tag.isspace() or (session is not None and session.isspace()):
            return None
        return Event(uid, reed, kind, tag, at, recorded, entry, facts, session, told.note)
    subject = told.subject
    if not subject or subject.isspace() or (table == SESSIONS and not _times_in_reason(facts)):
        return None
    return Statement(uid, table, subject, at, recorded, entry, facts)


def _times_in_reason(facts: Facts) -> bool:
    try:
        _check_times(facts)
    except ValueError:
        return False
    return True


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
    written it, or a later version of this one."""
    fields = {name: document[name] for name in Said.__struct_fields__ if name in document and name != "facts"}
    for name in ("at", "recorded"):
        if name in fields:
            fields[name] = _moment(fields, name)
    facts = msgspec.json.encode(document.get("facts", {}))
    try:
        said = msgspec.convert(fields, Said)
    except msgspec.ValidationError as error:
        name = str(error).partition("`$.")[2].rstrip("`")
        raise ValueError(f"its {name} is not text") from error
    return record_of(table, uid, msgspec.structs.replace(said, facts=msgspec.Raw(facts)))


def record_of(table: str, uid: str, said: Said) -> Record:
    """The record that a document of a table says. Raises ValueError as `from_document`. What many records say alike
    they share, which in a long log saves much memory."""
    kind, entry, recorded = _text(said.kind, "kind"), _text(said.entry, "entry"), _in_reason(said.recorded, "recorded")
    kind, entry = intern(kind), uid if entry == uid else intern(entry)
    if kind == STRUCK:
        return Strike(uid, table, _text(said.of, "of"), recorded, entry, _place(said.moved_to), said.correction)
    at = _in_reason(said.at, "at")
    if at == recorded and at.tzinfo is recorded.tzinfo:
        at = recorded
    facts = _facts(bytes(said.facts))
    if not table.startswith(REED_TABLE):
        if table == SESSIONS:
            _check_times(facts)
        return Statement(uid, table, _text(said.subject, "subject"), at, recorded, entry, facts)
    reed = intern(table.removeprefix(REED_TABLE))
    if kind == AMENDED:
        return Amendment(uid, reed, _text(said.of, "of"), at, recorded, entry, facts, said.note)
    session = intern(_text(said.session, "session")) if said.session is not None else None
    tag, moved_from = intern(_text(said.tag, "tag")), _place(said.moved_from)
    return Event(uid, reed, kind, tag, at, recorded, entry, facts, session, said.note, moved_from)


def _place(other: Other | None) -> Place | None:
    """Where the other half of a move stands; None where there was none."""
    if other is None:
        return None
    return Place(_text(other.reed, "reed"), _text(other.event, "event"))


def _text(text: str, name: str) -> str:
    if not text or text.isspace():
        raise ValueError(f"it lacks the text of its {name}")
    return text


def _in_reason(moment: datetime | None, name: str) -> datetime:
    if moment is None:
        raise ValueError(f"it lacks the text of its {name}")
    if not FIRST_YEAR <= moment.year <= LAST_YEAR:
        raise ValueError(f"the time of its {name} is in the year {moment.year}")
    return moment


def _check_times(facts: Facts) -> None:
    """Raises ValueError where a time of a work session is no moment in reason."""
    for name in facts.keys() & _MOMENTS:
        _in_reason(_moment(facts, name), name)


def _moment(fields: Mapping[str, Any], name: str) -> datetime:
    """A time as ISO 8601 has it, also in a form that nobody here writes."""
    text = fields[name]
    moment = datetime.fromisoformat(_text(text if isinstance(text, str) else "", name))
    if moment.tzinfo is None:
        raise ValueError(f"the time of its {name} lacks the offset from UTC")
    return moment


def _facts(raw: bytes) -> Facts:
    known = _SAID.get(raw)
    if known is None:
        known = _usual_facts(raw)
        if known is None:
            kept = msgspec.json.decode(raw)
            if not isinstance(kept, dict):
                raise ValueError("its facts are not named")
            known = {intern(name): _value(name, value) for name, value in kept.items()}
        if len(_SAID) >= _MOST_SAID:
            _SAID.clear()
        _SAID[raw] = known
    return known


def _usual_facts(raw: bytes) -> Facts | None:
    """Facts of which each is known here and is of the type that it has; None where one is not."""
    try:
        facts: dict[str, Value] = _decode_facts(raw)
    except (ValueError, RecursionError):
        return None
    return facts if _as_typed(facts) else None


def _as_typed(facts: dict[str, Value]) -> bool:
    """Whether facts that are known here are each of the type that it has. Their texts are shared with all others."""
    for name, value in facts.items():
        if type(value) not in _TYPES_OF.get(name, _OF_MOMENTS):
            return False
        if type(value) is str and name not in _MOMENTS:
            facts[name] = intern(value)
    return True


def _value(name: str, value: Any) -> Value:
    """The value of a fact, of the type that the fact has; of a fact that is not known here, as it is."""
    if isinstance(value, str):
        kept: Value = intern(value)
    elif isinstance(value, bool) or (isinstance(value, (int, float)) and abs(value) < TOO_MUCH):
        kept = value
    elif isinstance(value, list) and all(isinstance(part, str) for part in value):
        kept = tuple(value)
    else:
        raise ValueError(f"{name} holds no value")
    types = _TYPES_OF.get(name)
    if types is None or type(kept) in types:
        return kept
    if int in types and isinstance(kept, float) and kept.is_integer():
        return int(kept)
    raise ValueError(f"{FACTS[name].words} is of another type")
