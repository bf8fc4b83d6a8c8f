"""A row read: the event it describes, before it is known which reed it happened to."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from itertools import pairwise
from typing import TypeVar

import msgspec

from reedkin.domain.clock import Clock
from reedkin.domain.facts import Facts, Value
from reedkin.domain.uid import is_uid, uid_of_content
from reedkin.errors import InputError
from reedkin.store.transfer.rows import (
    FACT_COLUMNS,
    REED_COLUMN,
    REQUIRED,
    NumberedRow,
    fact_of,
    is_empty,
    kind_of,
    moment_of,
    text_of,
)  # fmt: skip

T = TypeVar("T")


@dataclass(slots=True)
class Draft:
    """What a row says. `session` is the name that the file has for it; `reed` the uid that the row gives for its
    reed's beginning, or nothing. `named` says that the row brought its own uid."""

    line: int
    tag: str
    kind: str
    at: datetime
    facts: dict[str, Value]
    note: str
    uid: str = ""
    reed: str = ""
    session: str | None = None
    named: bool = False
    faults: list[str] = field(default_factory=list)

    @property
    def same(self) -> tuple[object, ...]:
        """What two rows about the same thing have in common."""
        return (self.tag.casefold(), self.kind, self.at, self.facts, self.note)


def draft_of(numbered: NumberedRow, clock: Clock) -> Draft:
    """The draft of a row, with everything in it that cannot be read as its `faults`."""
    row = numbered.row
    draft = Draft(numbered.line, "", "", clock.now(), {}, str(row.get("note") or ""))
    missing = [name for name in REQUIRED if is_empty(row.get(name))]
    if missing:
        draft.faults.append(f"{' and '.join(missing)} missing")

    def read(name: str, how: Callable[[object], T], otherwise: T) -> T:
        if is_empty(row.get(name)):
            return otherwise
        try:
            return how(row[name])
        except InputError as error:
            draft.faults.append(str(error))
            return otherwise

    draft.tag = read("tag", lambda cell: text_of(cell, "tag"), "")
    nothing: tuple[str, Facts] = ("", {})
    draft.kind, preset = read("kind", kind_of, nothing)
    draft.at = read("at", lambda cell: moment_of(cell, clock), draft.at)
    draft.uid = read("uid", lambda cell: text_of(cell, "uid"), "")
    draft.reed = read(REED_COLUMN, lambda cell: text_of(cell, REED_COLUMN), "")
    draft.facts.update(preset)
    for name in (name for name in FACT_COLUMNS if name in row):  # in this order: a file always gives the same records
        value = read(name, lambda cell, name=name: fact_of(name, cell), None)  # type: ignore[misc]
        if value is not None:
            draft.facts[name] = value
    return draft


def give_uids(drafts: Sequence[Draft]) -> None:
    """
    Give every draft a uid: the row's own if it is one of ours, else one of its content. Rows of one tag and one moment
    get uids in the order of the file, or against it where the file runs from the newest to the oldest.
    """
    seen: dict[tuple[str, datetime], int] = {}
    for draft in _in_time(drafts):
        if is_uid(draft.uid.lower()):
            draft.uid, draft.named = draft.uid.lower(), True
            continue
        place = seen.get((draft.tag.casefold(), draft.at), 0)
        seen[draft.tag.casefold(), draft.at] = place + 1
        milliseconds = max(0, round(draft.at.timestamp() * 1000)) + place
        draft.uid = uid_of_content(milliseconds, _content(draft))


def _in_time(drafts: Sequence[Draft]) -> Iterable[Draft]:
    falls = sum(b.at < a.at for a, b in pairwise(drafts))
    rises = sum(b.at > a.at for a, b in pairwise(drafts))
    return reversed(drafts) if falls > rises else drafts


def _content(draft: Draft) -> str:
    said = [draft.tag, draft.kind, draft.at.timestamp(), draft.facts, draft.note, draft.session, draft.uid]
    return msgspec.json.encode(said, order="sorted").decode()
