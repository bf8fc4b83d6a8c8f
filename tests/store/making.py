"""What the tests of the store share: logs made line by line, and a disk that fails on demand."""

from __future__ import annotations

import errno
import os
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from hypothesis import settings
from hypothesis import strategies as st

from reedkin.store.disk.calls import PRIVATE, Disk
from reedkin.store.reading.lines import SEAL_BYTES, document_tail, entry_lines, header_line, link_of, seal
from reedkin.store.scan import scan
from reedkin.store.storage import AppendOnlyStorage

HEADER = header_line("7d444840-9dc0-11d1-b245-5ffdce74fad2", "2024-03-01T09:00:00+00:00")

on_disk = settings(max_examples=25)
"""For properties that write files, which takes its time."""

Triple = tuple[str, str, dict[str, Any]]
"""Table, id, document."""

A: Triple = ("reed a", "1", {"kind": "tied", "note": "für"})
B: Triple = ("reed b", "2", {"kind": "scraped", "minutes": 10})
C: Triple = ("reed a", "3", {"kind": "played"})
D: Triple = ("sessions", "4", {"room": 21})
"""Documents of two reeds, and one beside them."""

texts = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
names = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=6)
values = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**53), 2**53) | st.floats(allow_nan=False, allow_infinity=False) | texts,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(texts, inner, max_size=3),
    max_leaves=6,
)
documents = st.dictionaries(texts, values, max_size=4)


@st.composite
def histories(draw: st.DrawFn, max_entries: int = 5) -> list[list[Triple]]:
    """Entries of one to four documents each, with no id twice in a table."""
    keys = draw(st.lists(st.tuples(names, names), min_size=1, max_size=max_entries * 2, unique=True))
    entries: list[list[Triple]] = []
    while keys:
        size = draw(st.integers(1, min(4, len(keys))))
        entries.append([(table, id, draw(documents)) for table, id in keys[:size]])
        keys = keys[size:]
    return entries


def entry(*triples: Triple, behind: bytes = b"") -> bytes:
    """The lines of one entry, one after the other, chained to the last of those that it is to stand behind; behind
    nothing as earlier versions wrote them, without a chain."""
    after = link_of(behind.splitlines()[-1]) if behind else b""
    return b"".join(entry_lines([document_tail(*triple) for triple in triples], after))


def content(entries: Sequence[Sequence[Triple]], chained: bool = True) -> bytes:
    """A whole log."""
    lines = [HEADER]
    for triples in entries:
        lines += entry(*triples, behind=lines[-1] if chained else b"").splitlines(keepends=True)
    return b"".join(lines)


def unchained(raw: bytes) -> bytes:
    """The lines of a log as they would be without a chain."""
    rests = (re.sub(rb',"after":"[0-9a-f]{8}"\}$', b"}", line[SEAL_BYTES:]) for line in raw.splitlines())
    return b"".join(map(seal, rests))


def tables_of(entries: Sequence[Sequence[Triple]]) -> dict[str, dict[str, Any]]:
    """What a log with these entries holds."""
    tables: dict[str, dict[str, Any]] = {}
    for triples in entries:
        for table, id, document in triples:
            tables.setdefault(table, {})[id] = document
    return tables


def tables_in(storage: AppendOnlyStorage) -> dict[str, dict[str, Any]]:
    """What an open log holds, read table by table."""
    tables = {name: dict(storage.documents(name)) for name in storage.names()}
    return {name: found for name, found in tables.items() if found}


def tables_at(path: Path) -> dict[str, dict[str, Any]]:
    """What the log at `path` holds."""
    return dict(scan(path).documents)


def record(storage: AppendOnlyStorage, *triples: Triple) -> None:
    """Record one entry through the mapping that TinyDB uses."""
    with storage.together():
        for table, id, document in triples:
            tables = storage.read()
            tables[table] = {**tables.get(table, {}), id: document}
            storage.write(tables)


class HastyDisk(Disk):
    """A disk that does not wait, for the many tests that are not about a loss of power."""

    def fsync(self, fd: int) -> None:
        pass


class FailingDisk(Disk):
    """A disk on which named calls fail, that has room for so many bytes, or that writes a few bytes at a time."""

    def __init__(self, room: int | None = None, at_once: int | None = None) -> None:
        self.failing: dict[str, OSError] = {}
        self.room = room
        self.at_once = at_once
        self.calls: list[str] = []

    def fail(self, call: str, code: int = errno.EIO) -> None:
        """From now on `call` fails with the error `code`."""
        self.failing[call] = OSError(code, os.strerror(code))

    def mend(self) -> None:
        """From now on nothing fails, and there is room."""
        self.failing.clear()
        self.room = None

    def _called(self, call: str) -> None:
        self.calls.append(call)
        if call in self.failing:
            raise self.failing[call]

    def open(self, path: Path, flags: int, mode: int = PRIVATE) -> int:
        self._called("open")
        return super().open(path, flags, mode)

    def read(self, fd: int, count: int) -> bytes:
        self._called("read")
        return super().read(fd, count)

    def write(self, fd: int, data: bytes | memoryview) -> int:
        self._called("write")
        count = len(data) if self.at_once is None else min(self.at_once, len(data))
        if self.room is not None:
            if not self.room:
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            count = min(count, self.room)
            self.room -= count
        return super().write(fd, data[:count])

    def fsync(self, fd: int) -> None:
        self._called("fsync")
        super().fsync(fd)

    def truncate(self, fd: int, size: int) -> None:
        self._called("truncate")
        super().truncate(fd, size)
