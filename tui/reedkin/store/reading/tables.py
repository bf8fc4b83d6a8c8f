"""
What a log holds, in memory: the raw lines of each table, and the documents of the tables that were asked for.
`Shelf` keeps it; `Tables` is the mapping that TinyDB reads and assigns to.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Iterator, Mapping, MutableMapping, Sequence
from types import MappingProxyType
from typing import Any

from reedkin.store.errors import AppendOnlyError
from reedkin.store.reading.faults import FaultKind, Flaw
from reedkin.store.reading.glance import Glance
from reedkin.store.reading.lines import Gist, read_document

Document = dict[str, Any]
"""What a line keeps, as parsed from JSON. Nobody changes one: whoever wants another makes a copy."""
Documents = Mapping[str, Document]
"""The documents of one table by id, in the order of the file."""

KEPT_DECODED = 64
"""Tables whose documents are kept decoded; beyond it the table unused longest is decoded again when asked for."""


class Shelf:
    """
    Raw lines (REST, see `lines`) by table, and what they say at a glance; documents are decoded when a table is first
    asked for. A line that turns out not to hold a document is taken off the shelf and handed to
    `report(flaw, table, rest)`.
    """

    def __init__(self, report: Callable[[Flaw, str, bytes], None]) -> None:
        self.lines: dict[str, list[bytes]] = {}
        self._glance = Glance()
        self._unglanced: list[tuple[str, bytes]] = []
        """Lines that were put singly and not looked at yet, each with its table."""
        self._report = report
        self._decoded: OrderedDict[str, dict[str, Document]] = OrderedDict()

    def add(self, table: str, rest: bytes) -> None:
        """Put a line that was read at the end of its table."""
        self._put(table, rest)
        self._decoded.pop(table, None)

    def add_all(self, gists: Sequence[Gist], rests: Sequence[bytes]) -> None:
        """The same of several lines, in order, that are known in short already."""
        self.glance.take(gists, rests)
        lines = self.lines
        for gist, rest in zip(gists, rests, strict=True):
            table = gist.table
            if table in lines:
                lines[table].append(rest)
            else:
                lines[table] = [rest]
        if self._decoded:
            self._decoded.clear()

    def add_recorded(self, table: str, id: str, rest: bytes, document: Document) -> None:
        """Put a line that was just written, with its document, at the end of its table."""
        self._put(table, rest)
        if table in self._decoded:
            self._decoded[table][id] = document

    def _put(self, table: str, rest: bytes) -> None:
        self.lines.setdefault(table, []).append(rest)
        self._unglanced.append((table, rest))

    @property
    def glance(self) -> Glance:
        """What all lines say, as far as the bench asks it of all reeds at once."""
        if self._unglanced:
            self._glance.take_singly(self._unglanced)
            self._unglanced = []
        return self._glance

    def names(self) -> list[str]:
        """The names of all tables."""
        return list(self.lines)

    def of(self, table: str) -> list[bytes]:
        """The raw lines of a table; empty if there is none of that name."""
        return self.lines.get(table, [])

    def documents(self, table: str) -> Documents:
        """The documents of a table, decoding them if need be; empty if there is none of that name."""
        known = self._decoded.get(table)
        if known is not None:
            self._decoded.move_to_end(table)
            return known
        if table not in self.lines:
            return {}
        documents = self._decoded[table] = self._decode(table)
        if len(self._decoded) > KEPT_DECODED:
            self._decoded.popitem(last=False)
        return documents

    def _decode(self, table: str) -> dict[str, Document]:
        documents: dict[str, Document] = {}
        flawed: list[tuple[bytes, Flaw]] = []
        sound = []
        for rest in self.lines[table]:
            found = self._document(rest, documents)
            if isinstance(found, Flaw):
                flawed.append((rest, found))
            else:
                documents[found[0]] = found[1]
                sound.append(rest)
        for rest, flaw in reversed(flawed):
            self._report(flaw, table, rest)
        if flawed:
            self.glance.odd.add(table)
            self.lines[table] = sound
        if not sound:
            del self.lines[table]
        return documents

    def _document(self, rest: bytes, known: Documents) -> tuple[str, Document] | Flaw:
        found = read_document(rest)
        if isinstance(found, Flaw):
            return found
        head, document = found
        before = known.get(head.id)
        if before is None:
            return head.id, document
        if before == document:
            return Flaw(FaultKind.REPEAT, "The same document stands in an earlier line; this one was left out.")
        return Flaw(FaultKind.CONFLICT, "An earlier line has the same id and other content; the earlier one counts.")


class Tables(MutableMapping[str, Mapping[str, Mapping[str, Any]]]):
    """
    The tables as TinyDB sees them: reading decodes only the table asked for, assigning marks a table as changed and
    changes nothing yet. Removing raises AppendOnlyError.
    """

    def __init__(self, names: Callable[[], list[str]], documents: Callable[[str], Documents]) -> None:
        self._names = names
        self._documents = documents
        self.changed: dict[str, Mapping[str, Mapping[str, Any]]] = {}

    def __getitem__(self, table: str) -> Mapping[str, Mapping[str, Any]]:
        if table in self.changed:
            return self.changed[table]
        documents = self._documents(table)
        if not documents:
            raise KeyError(table)
        return MappingProxyType(documents)

    def __setitem__(self, table: str, documents: Mapping[str, Mapping[str, Any]]) -> None:
        self.changed[table] = documents

    def __delitem__(self, table: str) -> None:
        raise AppendOnlyError(f"The table {table} cannot be removed: a log is only ever added to.")

    def __iter__(self) -> Iterator[str]:
        yield from dict.fromkeys((*self._names(), *self.changed))

    def __len__(self) -> int:
        return sum(1 for _ in self)
