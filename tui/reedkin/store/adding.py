"""What a write adds to the log, and how several writes are gathered into one entry."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import Any, NamedTuple

from reedkin.store.errors import AppendOnlyError, DocumentError
from reedkin.store.reading.lines import document_tail, parsed
from reedkin.store.reading.tables import Document

_CORRECT = "Record a correction instead."


class New(NamedTuple):
    """A document that is to be recorded: its line without the seal and `left`, and the document as it reads back."""

    table: str
    id: str
    tail: bytes
    document: Document


def new_in(table: str, documents: Mapping[str, Any], recorded: Mapping[str, Document]) -> list[New]:
    """What is new in a table that is written. Raises AppendOnlyError if a recorded document is missing or differs, and
    DocumentError for what JSON cannot hold."""
    new, kept = [], 0
    for id, document in documents.items():
        before = recorded.get(id)
        if before is None:
            new.append(_encode(table, id, document))
        elif before is document or before == document:
            kept += 1
        else:
            raise AppendOnlyError(f"The document {id} is recorded and cannot be changed. {_CORRECT}")
    if kept < len(recorded):
        raise AppendOnlyError(f"Documents of {table} are recorded and cannot be removed. {_CORRECT}")
    return new


def _encode(table: str, id: str, document: Any) -> New:
    if not isinstance(document, Mapping):
        raise DocumentError(f"The document {id} is not a mapping of names to values.")
    tail = document_tail(table, id, dict(document))
    return New(table, id, tail, parsed(tail)["doc"])


class Gathering:
    """What is taken inside a block is recorded as one entry at its end; without a block, at once."""

    def __init__(self, record: Callable[[Sequence[New]], None]) -> None:
        self._record = record
        self._gathered: dict[str, dict[str, New]] | None = None
        self._thread = 0

    def take(self, new: Sequence[New]) -> None:
        """Record these, or gather them. Raises what recording raises."""
        if self._gathered is None:
            self._record(new)
            return
        for one in new:
            self._gathered.setdefault(one.table, {})[one.id] = one

    def here(self) -> Mapping[str, Mapping[str, New]]:
        """What this thread has gathered, by table and id. Other threads see what is recorded."""
        return (self._gathered or {}) if self._thread == threading.get_ident() else {}

    @contextmanager
    def block(self) -> Iterator[None]:
        """All of it is recorded at the end or, if the block raises, nothing. One inside another becomes part of it."""
        self._thread = threading.get_ident()
        outer = self._gathered
        self._gathered = {table: dict(new) for table, new in (outer or {}).items()}
        try:
            yield
            gathered = self._gathered
        finally:
            self._gathered = outer
        if outer is not None:
            self._gathered = gathered
        else:
            self._record([one for new in gathered.values() for one in new.values()])
