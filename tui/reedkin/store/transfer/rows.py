"""The row form of an event: the columns of a file, a standing event as a row, and a row's cells as facts."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, time

from reedkin.bench.sessions import WorkSession
from reedkin.domain.clock import Clock
from reedkin.domain.facts import FACTS, KINDS, Fact, Facts, Value
from reedkin.domain.instruments import instrument_named
from reedkin.domain.pitch import parse_pitch
from reedkin.domain.reeds import Reed, Step
from reedkin.domain.units import of_ten, quantity
from reedkin.errors import InputError
from reedkin.grammar.words.prices import sum_of_money
from reedkin.grammar.words.verbs import BY_WORD
from reedkin.store.reading.records import FIRST_YEAR, LAST_YEAR, TOO_MUCH

Row = Mapping[str, object]
"""The cells of an event by column: text as a file gives it, or numbers, yes and no as JSON does. Empty is absent."""

REQUIRED = ("tag", "kind", "at")
_FIRST = (*REQUIRED, "session", "uid", "note")
_USUAL = (
    "instrument", "overall_mm", "tube", "tube_mm", "lot", "shape", "gouge_mm", "sink_min", "thread", "name",
    "hours_before", "where", "minutes", "clip_mm", "gauge_awg", "wire_mm", "turns", "tubing_mm", "crow",
    "tip_from_mm", "heart_from_mm", "opening_mm", "setting", "score", "response", "pitch", "stability", "tone",
    "ease", "cause", "to",
)  # fmt: skip
_FURTHER = tuple(dict.fromkeys(name for kind in KINDS.values() for name in kind.facts if name not in _USUAL))
FACT_COLUMNS = (*_USUAL, *_FURTHER)
REED_COLUMN = "reed"
"""The uid of the event that began the reed: it settles which bearer of a tag is meant, whatever the times say."""
SESSION_CONDITIONS = ("room_c", "humidity_pct", "knife_fresh")
SESSION_COLUMNS = ("session_start", "session_end", *SESSION_CONDITIONS)

COLUMNS = (*_FIRST, *_USUAL, *_FURTHER, REED_COLUMN, *SESSION_COLUMNS)
"""Every column, in the order of an export."""
WHOLE_COLUMNS = ("recorded", "entry", "of", "table", "subject", "more")
"""What the rows of a whole log have besides."""
KNOWN_COLUMNS = frozenset((*COLUMNS, *WHOLE_COLUMNS))

_PLAIN_NUMBER = re.compile(r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?")
_DAY_MONTH_YEAR = re.compile(r"(\d{1,2})\.(\d{1,2})\.(\d{4})(?:[ ,T]+(\d{1,2}):(\d{2}))?")
_SEPARATORS = re.compile(r"[\s,;]+")
_YES, _NO = ("yes", "y", "true", "1"), ("no", "n", "false", "0")


@dataclass(frozen=True, slots=True)
class NumberedRow:
    """A row and the line of the file that it begins in, from 1. `columns` are those that the file has, so that an empty
    cell can be told from what it does not speak of."""

    line: int
    row: Row
    columns: frozenset[str] = frozenset()
    latest: bool = False
    """Whether it replaces what was said before, even where it said the same once: a total."""


@dataclass(frozen=True, slots=True)
class RowFinding:
    """Something to say about a line of a file: a fault, or a question."""

    line: int
    message: str


# Ends of which a file does not say why


def endings_without_cause(rows: Iterable[NumberedRow | RowFinding]) -> list[int]:
    """The lines that retire a reed and do not say of what."""
    return [row.line for row in rows if isinstance(row, NumberedRow) and _lacks_cause(row)]


def with_cause(rows: Iterable[NumberedRow | RowFinding], cause: str) -> list[NumberedRow | RowFinding]:
    """The rows, those that lack a cause having this one."""
    return [
        replace(row, row={**row.row, "cause": cause}) if isinstance(row, NumberedRow) and _lacks_cause(row) else row
        for row in rows
    ]


def _lacks_cause(row: NumberedRow) -> bool:
    if not is_empty(row.row.get("cause")):
        return False
    try:
        return kind_of(row.row.get("kind"))[0] == "retired"
    except InputError:  # no kind at all, which is told with its line
        return False


# From events to rows


def row_of(reed: Reed, step: Step, session: WorkSession | None = None) -> dict[str, object]:
    """A standing event as a row, in the order of `COLUMNS`; columns that it has nothing for are left out."""
    cells: dict[str, object] = {
        "tag": reed.tag,
        "kind": step.kind,
        "at": step.at.isoformat(),
        "session": step.session,
        "uid": step.event.uid,
        "note": step.note or None,
        **as_cells(step.facts),
        REED_COLUMN: reed.id,
    }
    if session is not None:
        cells["session_start"] = session.started.isoformat()
        cells["session_end"] = session.ended.isoformat() if session.ended else None
        cells |= {name: getattr(session, name) for name in SESSION_CONDITIONS}
    return {name: value for name in COLUMNS if (value := cells.get(name)) is not None}


def as_cells(facts: Facts) -> dict[str, object]:
    """Facts as the cells of a row."""
    return {name: ", ".join(value) if isinstance(value, tuple) else value for name, value in facts.items()}


# From cells to values


def is_empty(cell: object) -> bool:
    """Whether a cell says nothing."""
    return cell is None or (isinstance(cell, str) and not cell.strip())


def text_of(cell: object, what: str) -> str:
    """A cell of text; a whole number counts as one, since a file may give a tag so. Raises InputError."""
    if isinstance(cell, str):
        return cell.strip()
    if isinstance(cell, int) and not isinstance(cell, bool):
        return str(cell)
    raise InputError(f"{what} is text; {cell!r} is not")


def kind_of(cell: object) -> tuple[str, Mapping[str, Value]]:
    """The kind of event that a cell names, or the kind of the entry line's verb and what that verb says by itself.
    Raises InputError."""
    word = " ".join(text_of(cell, "kind").lower().split())
    if word in KINDS:
        return word, {}
    verb = BY_WORD.get(word)
    if verb is not None and verb.table is None:
        return verb.kind, verb.preset
    raise InputError(f"{word} is not a kind of event; kinds are {', '.join(KINDS)}")


def moment_of(cell: object, clock: Clock, what: str = "at") -> datetime:
    """The moment that a cell gives, in ISO 8601 or as 12.3.2026; a day alone is its noon. Raises InputError."""
    text = text_of(cell, what)
    try:
        moment = _moment(text)
        if not FIRST_YEAR <= moment.year <= LAST_YEAR:
            raise InputError(f"{what} {text}: a year before {FIRST_YEAR} or after {LAST_YEAR} is a slip")
        return moment if moment.tzinfo is not None else clock.local(moment)
    except (ValueError, OverflowError):
        raise InputError(f"{what} {text} is not a time; write 2026-03-12T18:30+01:00 or 2026-03-12") from None


def _moment(text: str) -> datetime:
    if match := _DAY_MONTH_YEAR.fullmatch(text):
        day, month, year, hour, minute = match.groups()
        return datetime(int(year), int(month), int(day), int(hour or 12), int(minute or 0))
    try:
        return datetime.combine(date.fromisoformat(text), time(12))
    except ValueError:
        return datetime.fromisoformat(text)


def fact_of(name: str, cell: object) -> Value:
    """The value of a fact that a cell gives; text is read as the entry line reads it. Raises InputError."""
    fact = FACTS[name]
    match fact.type:
        case "number" | "whole":
            return _number(fact, cell)
        case "yes":
            return _yes(fact, cell)
        case "parts":
            listed = " ".join(map(str, cell)) if isinstance(cell, (list, tuple)) else text_of(cell, fact.words)
            return tuple(dict.fromkeys(part for part in _SEPARATORS.split(listed) if part))
        case "choice":
            return _choice(fact, text_of(cell, fact.words))
        case "pitch":
            return str(parse_pitch(text_of(cell, fact.words)))
        case _:
            return text_of(cell, fact.words)


def _number(fact: Fact, cell: object) -> int | float:
    if isinstance(cell, str):
        text = cell.strip()
        if fact.is_score and not _PLAIN_NUMBER.fullmatch(text):
            return of_ten(text)
        money = sum_of_money(text) if fact.name == "price" and not _PLAIN_NUMBER.fullmatch(text) else None
        value = money if money is not None else _plain_or_measured(text, fact)
    elif isinstance(cell, (int, float)) and not isinstance(cell, bool):
        value = float(cell)
    else:
        raise InputError(f"{fact.words} is a number; {cell!r} is not")
    if not abs(value) < TOO_MUCH:
        raise InputError(f"{fact.words} {cell} is more than can be")
    if fact.type == "whole" and (value.is_integer() or fact.unit == "min"):
        return round(value)
    return value


def _plain_or_measured(text: str, fact: Fact) -> float:
    return float(text if _PLAIN_NUMBER.fullmatch(text) else quantity(text, fact.measure))


def _yes(fact: Fact, cell: object) -> bool:
    if isinstance(cell, bool):
        return cell
    word = str(cell).strip().lower()
    if word not in (*_YES, *_NO):
        raise InputError(f"{fact.words} is yes or no; {word} is neither")
    return word in _YES


def _choice(fact: Fact, text: str) -> str:
    word = " ".join(text.lower().replace("’", "'").split())
    fits = [instrument_named(word)] if fact.name == "instrument" else [c for c in fact.choices if c.startswith(word)]
    found = word if word in fact.choices else fits[0] if len(fits) == 1 else None
    if found is None:
        raise InputError(f"{fact.words} {text} is not one of: {', '.join(fact.choices)}")
    return found
