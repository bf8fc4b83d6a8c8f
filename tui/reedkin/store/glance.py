"""A look at a table's lines that keeps only what the bench asks of all reeds at once, so that a long log opens fast."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from operator import attrgetter

from reedkin.domain.events import Event
from reedkin.domain.facts import BEGINNINGS
from reedkin.domain.uid import is_uid
from reedkin.store.records import AMENDED, STRUCK, Line, decoded_lines, record_of

_RETIRED, _HANDED, _RETURNED, _PLAYED = "retired", "handed over", "returned", "played"
_ID, _TABLE, _KIND, _ENTRY = map(attrgetter, ("id", "table", "doc.kind", "doc.entry"))


@dataclass(frozen=True, slots=True)
class Glance:
    """What a table's lines say of a reed: `begun` is the event that began it where that stands as it was written (else
    None, and the lineage has to be folded), `over` whether it is surely retired, `away` whether it is surely with
    somebody else unless it is over, `handed` and `played` whether it may have been handed over, and played. `latest` is
    the latest entry that the table has a record of, `greatest` the identifier that sorts after all others of the table,
    of records and entries (empty if there is none)."""

    begun: Event | None
    over: bool
    away: bool
    handed: bool
    played: bool
    latest: str
    greatest: str


def usual_lines(table: str, text: bytes) -> list[Line] | None:
    """A table's lines if each is as this program writes it and no id stands twice; None if not, and the table has to be
    read document by document."""
    try:
        lines = decoded_lines(text)
    except (ValueError, RecursionError):
        return None
    if len(set(map(_ID, lines))) < len(lines) or not {table}.issuperset(map(_TABLE, lines)):
        return None
    return lines


def glance_at(table: str, reed: str, lines: list[Line]) -> Glance:
    """What the lines of a table say; `reed` is the id that a reed's table has in its name."""
    kinds = set(map(_KIND, lines))
    corrected: set[str] = set()
    if STRUCK in kinds or AMENDED in kinds:
        corrected = {line.doc.of for line in lines if line.doc.kind in (STRUCK, AMENDED)}

    def surely(kind: str) -> bool:
        """Whether an event of this kind stands as it was written."""
        return kind in kinds and any(
            line.doc.kind == kind and line.id not in corrected and _event(table, line) for line in reversed(lines)
        )

    first = _event(table, lines[0]) if lines and lines[0].id == reed and reed not in corrected else None
    begun = first if first is not None and first.kind in BEGINNINGS else None
    latest = max(map(_ENTRY, lines), default="")
    greatest = max(greatest_uid(list(map(_ID, lines))), latest if is_uid(latest) else greatest_uid(map(_ENTRY, lines)))
    over = surely(_RETIRED)
    away = not over and _RETURNED not in kinds and surely(_HANDED)
    return Glance(begun, over, away, _HANDED in kinds, _PLAYED in kinds, latest, greatest)


def greatest_uid(ids: Iterable[str]) -> str:
    """The greatest of these that has the shape of an identifier made here; empty if none has."""
    ids = list(ids)
    greatest = max(ids, default="")
    return greatest if is_uid(greatest) else max(filter(is_uid, ids), default="")


def _event(table: str, line: Line) -> Event | None:
    try:
        record = record_of(table, line.id, line.doc)
    except ValueError:
        return None
    return record if isinstance(record, Event) else None
