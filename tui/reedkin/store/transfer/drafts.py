"""A row read: the event it describes, before it is known which reed it happened to."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import partial
from itertools import pairwise
from typing import TypeVar

import msgspec

from reedkin.domain.clock import Clock
from reedkin.domain.events import Event
from reedkin.domain.facts import FACTS, Facts, Value
from reedkin.domain.reeds import Step
from reedkin.domain.uid import is_uid, milliseconds_of, uid_of_content
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

NOTE = "note"
_SPOKEN = frozenset((*FACT_COLUMNS, NOTE))
_TRIES = 1000
_NEEDED = {"tag": "tag (which reed)", "kind": "kind (what was done)", "at": "at (on which day)"}


@dataclass(slots=True)
class Draft:
    """What a row says. `session` is the name that the file has for it; `reed` the uid that the row gives for its
    reed's beginning, or nothing. `named` says that the row brought its own uid, `marked` that it brought an identifier
    of its source. `spoken` are the facts that its file speaks of, and the note: empty there, they are none."""

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
    marked: bool = False
    spoken: frozenset[str] = frozenset()
    latest: bool = False
    """Whether what it says replaces all that was said before: a total may shrink, and grow to what it was."""
    known: str = ""
    """The uid of the event of the log that this row was found to be."""
    corrects: Step | None = None
    """The event that is to say this instead."""
    faults: list[str] = field(default_factory=list)

    @property
    def same(self) -> tuple[object, ...]:
        """What two rows about the same thing have in common."""
        return (self.tag.casefold(), self.kind, self.at, self.facts, self.note)


def draft_of(numbered: NumberedRow, clock: Clock) -> Draft:
    """The draft of a row, with everything in it that cannot be read as its `faults`."""
    row = numbered.row
    draft = Draft(numbered.line, "", "", clock.now(), {}, str(row.get("note") or ""), latest=numbered.latest)
    missing = [name for name in REQUIRED if is_empty(row.get(name))]
    if missing:
        draft.faults.append(f"{' and '.join(_NEEDED[name] for name in missing)} missing")

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
        value = read(name, partial(_told_of, name), None)
        if value is not None:
            draft.facts[name] = value
    spoken = (numbered.columns & _SPOKEN) | draft.facts.keys()
    draft.spoken = frozenset(spoken | {NOTE} if draft.note else spoken)
    return draft


def _told_of(name: str, cell: object) -> Value:
    """A fact of a row. Raises InputError, which names the column."""
    try:
        return fact_of(name, cell)
    except InputError as error:
        said = str(error)
        raise InputError(said if said.startswith(FACTS[name].words) else f"{FACTS[name].words}: {said}") from error


def give_uids(drafts: Sequence[Draft]) -> None:
    """
    Give every draft a uid: the row's own if it is one of ours, else one of its source's identifier, else one of its
    content. Rows of one tag and one moment get uids in the order of the file, or against it where the file runs from
    the newest to the oldest.
    """
    seen: dict[tuple[str, datetime], int] = {}
    for draft in _in_time(drafts):
        if is_uid(draft.uid.lower()):
            draft.uid, draft.named = draft.uid.lower(), True
            continue
        place = seen.get((draft.tag.casefold(), draft.at), 0)
        seen[draft.tag.casefold(), draft.at] = place + 1
        draft.marked = bool(draft.uid)
        said = _mark(draft) if draft.marked else _content(draft)
        draft.uid = uid_of_content(_milliseconds(draft) + place, said)


def own_uid(draft: Draft) -> str:
    """A uid for a row that is to count beside the event that it would be otherwise."""
    return uid_of_content(_milliseconds(draft), f"beside {draft.known} {_content(draft)}")


def keep_order(drafts: Sequence[Draft]) -> None:
    """Give new rows that stand between rows which the log knows, of one tag and one moment, uids between theirs."""
    groups: dict[tuple[str, datetime], list[Draft]] = {}
    for draft in _in_time(drafts):
        groups.setdefault((draft.tag.casefold(), draft.at), []).append(draft)
    for group in groups.values():
        if not any(draft.known for draft in group):
            continue
        last = ""
        for place, draft in enumerate(group):
            if not draft.known and not draft.named:
                following = next((one.known for one in group[place:] if one.known), "")
                draft.uid = _between(last, following, draft)
            last = draft.known or draft.uid


def _between(after: str, before: str, draft: Draft) -> str:
    """A uid of a row that sorts between two others; its own where there is no room."""
    if not after < (before or "g") or after < draft.uid < (before or "g"):
        return draft.uid
    start = milliseconds_of(after) if after else _milliseconds(draft)
    tried = (uid_of_content(start, f"{salt} {draft.uid}") for salt in range(_TRIES))
    return next((uid for uid in tried if after < uid < (before or "g")), draft.uid)


def row_mark(uid: str) -> str:
    """The part of a uid that does not tell the time: the same for a row of one identifier, reed and kind, whatever was
    corrected of it besides."""
    return uid[19:]


def is_of_file(event: Event) -> bool:
    """Whether an event came from a file that gave it no uid: that which it got tells when it happened, long before it
    was recorded."""
    happened = round(event.at.timestamp() * 1000)
    return 0 <= milliseconds_of(event.uid) - happened < _TRIES and event.recorded - event.at > timedelta(minutes=1)


def _in_time(drafts: Sequence[Draft]) -> Iterable[Draft]:
    falls = sum(b.at < a.at for a, b in pairwise(drafts))
    rises = sum(b.at > a.at for a, b in pairwise(drafts))
    return reversed(drafts) if falls > rises else drafts


def _milliseconds(draft: Draft) -> int:
    return max(0, round(draft.at.timestamp() * 1000))


def _mark(draft: Draft) -> str:
    return msgspec.json.encode(["row", draft.uid, draft.tag.casefold(), draft.kind]).decode()


def _content(draft: Draft) -> str:
    said = [draft.tag, draft.kind, draft.at.timestamp(), draft.facts, draft.note, draft.session, draft.uid]
    return msgspec.json.encode(said, order="sorted").decode()
