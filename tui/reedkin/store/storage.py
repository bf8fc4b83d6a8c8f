"""
A TinyDB storage that only appends. What is new in an assigned table is written as lines at the end of the log, fsynced,
and only then recorded; nothing is ever changed or removed.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Any, Self, cast
from uuid import uuid4

import orjson
from tinydb.storages import Storage

from reedkin.domain.describe import plural
from reedkin.store.disk import Disk
from reedkin.store.errors import AppendOnlyError, DocumentError, LogDamagedError, LogUnwritableError, LogWriteError
from reedkin.store.faults import Fault, FaultKind, Flaw, excerpt
from reedkin.store.lines import SEAL_BYTES, Header, document_tail, entry_lines, guess, header_line
from reedkin.store.lock import LogLock
from reedkin.store.logfile import LogFile, open_for_reading, unreadable
from reedkin.store.reading import Reader, lines_with
from reedkin.store.sealed import SealedDict, sealed
from reedkin.store.tables import Documents, Shelf, Tables, name_of

_MARK_BYTES = 4096
_CORRECT = "Record a correction instead."


@dataclass(frozen=True)
class _New:
    """A document that is to be recorded: its line without the seal and `left`, and the document as it reads back."""

    table: str
    id: str
    tail: bytes
    document: SealedDict


@dataclass(frozen=True)
class News:
    """What `refresh` found: the tables that got documents, and whether the whole log had to be read again."""

    tables: frozenset[str] = frozenset()
    reloaded: bool = False

    def __bool__(self) -> bool:
        return self.reloaded or bool(self.tables)


class AppendOnlyStorage(Storage):
    """
    The log at `path`. For writing (the default) the file and its folder are made if missing, and the lock is taken;
    with `read_only` nothing on disk is touched and no lock is needed. Raises the errors of `store.errors`.
    """

    def __init__(self, path: Path | str, *, read_only: bool = False, disk: Disk | None = None) -> None:
        # One file has one lock, whatever name it is opened by.
        self.path = Path(os.path.realpath(path))
        self.read_only = read_only
        self._disk = disk or Disk()
        self._writing = threading.RLock()
        """Held by the thread that writes, through all of a block of `together`. Taken before `_shelving`."""
        self._shelving = threading.RLock()
        """Held for moments, so that other threads can read while one gathers an entry."""
        self._closed = False
        self._gathered: dict[str, dict[str, _New]] | None = None
        self._gatherer = 0
        self._lock: LogLock | None = None
        self._file: LogFile | None = None
        self._fd: int | None = None
        self._start_over()
        try:
            if read_only:
                self._fd = open_for_reading(self.path, self._disk)
                self._read(self._fd)
            else:
                self._open_for_writing()
        except BaseException:
            self.close()
            raise

    def _start_over(self) -> None:
        self._found: list[Fault] = []
        self._unplaced: dict[bytes, list[int]] = {}
        """The places in `_found` of faults whose lines are not known yet, by what the lines hold."""
        self._torn: Fault | None = None
        self._seen = False
        self._shelf = Shelf(self._report_flaw)
        self._reader = Reader(self.path, self._disk, self._shelf, self._found.append)
        self._mark = b""

    # Opening and closing

    def _open_for_writing(self) -> None:
        try:
            self._disk.make_folder(self.path.parent)
        except OSError as error:
            raise LogUnwritableError(
                f"The folder {self.path.parent} cannot be made: {error.strerror or error}. Choose another place."
            ) from error
        self._lock = LogLock(self.path)
        if not self.path.exists():
            self._create()
        self._file = LogFile(self.path, self._disk)
        self._read(self._file.fd)
        self._file.size = os.fstat(self._file.fd).st_size
        if not any(fault.blocks for fault in self._found):
            self._make_ready()

    def _create(self) -> None:
        try:
            self._disk.create(self.path, [_new_header()])
        except OSError as error:
            raise LogUnwritableError(
                f"The log {self.path} cannot be made: {error.strerror or error}. "
                "Choose another place, or free some space."
            ) from error

    def _read(self, fd: int) -> None:
        try:
            self._reader.read(fd)
            self._mark = self._bytes_before(fd)
        except OSError as error:
            raise unreadable(self.path, error) from error
        torn = self._reader.torn
        message = "The last entry was not written to its end and was never recorded."
        self._torn = Fault(torn.line, FaultKind.TORN, message, torn.size) if torn else None

    def _make_ready(self) -> None:
        """Set a torn end aside, and begin an empty file with its first line."""
        file, torn = self._file, self._reader.torn
        if file is None:
            return
        if torn is not None and self._torn is not None:
            kept = file.set_aside_end(torn.offset)
            file.size = torn.offset
            self._reader.torn = None
            message = f"{self._torn.message} It was set aside in {kept.name}."
            self._torn = replace(self._torn, kept=kept, message=message)
        if file.size == 0:
            file.append(_new_header())
            self._reader.read(file.fd)

    def close(self) -> None:
        """Close the file and let the next writer in. Closing twice is harmless."""
        with self._writing, self._shelving:
            self._closed = True
            if self._file is not None:
                self._file.close()
                self._file = None
            if self._fd is not None:
                os.close(self._fd)
                self._fd = None
            if self._lock is not None:
                self._lock.release()
                self._lock = None

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    # Faults

    @property
    def header(self) -> Header | None:
        """The first line, or None if it is damaged or the file was empty."""
        return self._reader.header

    @property
    def length(self) -> int:
        """How many bytes of the file are whole entries."""
        if self._file is None:
            return self._reader.offset
        return self._reader.torn.offset if self._reader.torn is not None else self._file.size

    @property
    def waits(self) -> bool:
        """Whether there is damage that nobody has said was seen, so that nothing is written."""
        return not self._seen and any(fault.blocks for fault in self._found)

    @property
    def faults(self) -> tuple[Fault, ...]:
        """All faults found so far, in the order of the file. Faults inside a document show when its table is read."""
        with self._shelving:
            self._find_lines()
        torn = (self._torn,) if self._torn else ()
        return tuple(sorted((*self._found, *torn), key=lambda fault: fault.line))

    def acknowledge(self) -> None:
        """The user has seen the faults: a torn end is set aside, and writing may go on. Raises LogWriteError."""
        with self._writing, self._shelving:
            self._make_ready()
            self._seen = True

    def _report_flaw(self, flaw: Flaw, table: str, rest: bytes) -> None:
        """A line with a sound checksum turned out to hold no document of its own."""
        self._unplaced.setdefault(rest, []).append(len(self._found))
        self._found.append(Fault(0, flaw.kind, flaw.message, len(rest), table, guess(rest)[1], excerpt(rest)))
        if flaw.kind is not FaultKind.REPEAT:
            self._seen = False

    def _find_lines(self) -> None:
        """Find the lines of the faults that showed inside documents, in one reading of the file however many they are.
        Of lines that are alike, those that have a fault already are not meant."""
        fd = self._file.fd if self._file is not None else self._fd
        if not self._unplaced or fd is None:
            return
        known = {fault.line for fault in self._found}
        try:
            for line, rest in lines_with(self._disk, fd, self._unplaced):
                if line not in known and (places := self._unplaced[rest]):
                    place = places.pop(0)
                    self._found[place] = replace(self._found[place], line=line)
        except OSError as error:
            raise unreadable(self.path, error) from error
        self._unplaced.clear()

    # Questions that decode nothing

    def names(self) -> list[str]:
        """The names of all tables."""
        with self._shelving:
            names = self._shelf.names()
        gathered = self._gathered_here()
        return list(dict.fromkeys((*names, *gathered))) if gathered else names

    def count(self, table: str) -> int:
        """How many documents a table has."""
        with self._shelving:
            return len(self._shelf.of(table)) + len(self._gathered_here().get(table, ()))

    def raw(self, table: str) -> Iterator[bytes]:
        """The recorded lines of a table in the order of the file, each a JSON object with `id` and `doc`."""
        return (b"{" + rest for rest in tuple(self._shelf.of(table)))

    def first_raw(self, table: str) -> bytes | None:
        """The first recorded line of a table, as `raw`, or None."""
        lines = self._shelf.of(table)
        return b"{" + lines[0] if lines else None

    def holding(self, *needles: bytes) -> set[str]:
        """The tables of which some recorded line contains one of `needles`."""
        with self._shelving:
            # A needle has no line end, so looking through a table's lines at once finds the same.
            joined = ((key, b"\n".join(lines)) for key, lines in self._shelf.lines.items())
            return {name_of(key) for key, text in joined if any(needle in text for needle in needles)}

    # Documents

    def documents(self, table: str) -> Documents:
        """The documents of a table by id, sealed; within a block of `together` also those that it has gathered."""
        with self._shelving:
            recorded = self._shelf.documents(table)
            gathered = self._gathered_here().get(table)
            return {**recorded, **{id: new.document for id, new in gathered.items()}} if gathered else recorded

    def _gathered_here(self) -> Mapping[str, dict[str, _New]]:
        """What the block of `together` in this thread has gathered. Other threads see what is recorded."""
        return (self._gathered or {}) if self._gatherer == threading.get_ident() else {}

    def read(self) -> dict[str, dict[str, Any]]:
        """The tables, for TinyDB: a `Tables`, which it treats as the dictionary of dictionaries that it expects."""
        return cast("dict[str, dict[str, Any]]", Tables(self.names, self.documents))

    def write(self, data: Mapping[str, Mapping[str, Any]]) -> None:
        """
        Record what is new in `data`: the `Tables` that `read` gave, or any mapping of all tables. Raises
        AppendOnlyError if a recorded document is missing or differs, DocumentError for what JSON cannot hold,
        LogDamagedError and LogWriteError; nothing is recorded then.
        """
        with self._writing:
            self._check_may_write()
            changed = data.changed if isinstance(data, Tables) else data
            if not isinstance(data, Tables) and (missing := [name for name in self.names() if name not in data]):
                raise AppendOnlyError(f"The table {missing[0]} cannot be removed: a log is only ever added to.")
            new = [one for table, documents in changed.items() for one in self._new_in(table, documents)]
            if self._gathered is None:
                self._record(new)
                return
            for one in new:
                self._gathered.setdefault(one.table, {})[one.id] = one

    @contextmanager
    def together(self) -> Iterator[None]:
        """
        Record everything that is written inside the block as one entry at its end: all of it or, if the block raises,
        nothing. A block inside another becomes part of it.
        """
        with self._writing:
            self._gatherer = threading.get_ident()
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

    def _check_may_write(self) -> None:
        if self.read_only:
            raise LogWriteError(f"Not recorded: the log {self.path} is open for reading only.")
        if self._closed:
            raise LogWriteError(f"Not recorded: the log {self.path} is closed. Open it again.")
        if self.waits:
            blocking = [fault for fault in self.faults if fault.blocks]
            raise LogDamagedError(
                f"Not recorded: {plural(len(blocking), 'damaged line')} in the log {self.path}, the first in line "
                f"{blocking[0].line}. Nothing is written until you have looked at them."
            )

    def _new_in(self, table: str, documents: Mapping[str, Any]) -> list[_New]:
        recorded = self.documents(table)
        self._check_may_write()  # reading the table may have shown damage
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

    def _record(self, new: list[_New]) -> None:
        if not new or self._file is None:
            return
        lines = entry_lines([one.tail for one in new])
        self._file.append(b"".join(lines))
        with self._shelving:
            for one, line in zip(new, lines, strict=True):
                self._shelf.add_recorded(one.table, one.id, line[SEAL_BYTES:-1], one.document)

    # Following a log that another program writes

    def refresh(self) -> News:
        """
        For a reader: take in what was recorded since. If the file was replaced or cut, it is read again from the start.
        A writer has nothing to learn. Raises LogMissingError, LogUnreadableError, LogForeignError, LogNewerError.
        """
        with self._writing, self._shelving:
            if self._fd is None:
                return News()
            if self._was_replaced(self._fd):
                return self._reload()
            self._read(self._fd)
            return News(frozenset(map(name_of, self._reader.touched)))

    def _was_replaced(self, fd: int) -> bool:
        """Whether the file is another one than before, or what was read of it is no longer there."""
        try:
            there, here = self.path.stat(), os.fstat(fd)
            return not os.path.samestat(there, here) or self._bytes_before(fd) != self._mark
        except FileNotFoundError:
            return True
        except OSError as error:
            raise unreadable(self.path, error) from error

    def _bytes_before(self, fd: int) -> bytes:
        """The last bytes of what was read: a writer that took an entry back and wrote another changes them."""
        start = max(0, self._reader.offset - _MARK_BYTES)
        os.lseek(fd, start, os.SEEK_SET)
        return self._disk.read(fd, self._reader.offset - start)

    def _reload(self) -> News:
        fresh = open_for_reading(self.path, self._disk)
        before = dict(vars(self))
        try:
            self._start_over()
            self._read(fresh)
        except BaseException:
            vars(self).update(before)  # what was read last can still be asked for
            os.close(fresh)
            raise
        os.close(cast(int, self._fd))
        self._fd = fresh
        return News(frozenset(self.names()), reloaded=True)


def _new_header() -> bytes:
    return header_line(str(uuid4()), datetime.now(UTC).isoformat(timespec="seconds"))


def _encode(table: str, id: str, document: Any) -> _New:
    if not isinstance(document, Mapping):
        raise DocumentError(f"The document {id} is not a mapping of names to values.")
    plain = dict(document)
    tail = document_tail(table, id, plain)
    back = orjson.loads(b"{" + tail)["doc"]
    if back != plain:
        raise DocumentError(f"The document {id} holds something that JSON does not keep. Nothing was recorded.")
    return _New(table, id, tail, sealed(back))
