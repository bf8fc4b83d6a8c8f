"""
A TinyDB storage that only appends. What is new in an assigned table is written as lines at the end of the log, fsynced,
and only then recorded; nothing is ever changed or removed.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Any, Self, cast
from uuid import uuid4

from tinydb.storages import Storage

from reedkin.domain.clock import Clock
from reedkin.domain.figures import plural
from reedkin.store.adding import Gathering, New, new_in
from reedkin.store.backups.shortfall import note_loss, note_shortfall
from reedkin.store.disk.calls import Disk
from reedkin.store.disk.lock import LogLock
from reedkin.store.disk.logfile import LogFile
from reedkin.store.disk.unsure import settled, unsure_from
from reedkin.store.errors import (
    AppendOnlyError,
    LogDamagedError,
    LogMissingError,
    LogUnwritableError,
    LogWriteError,
)
from reedkin.store.following import Follower, News
from reedkin.store.reading.faults import Fault, FaultKind
from reedkin.store.reading.glance import Glance
from reedkin.store.reading.holding import Holding
from reedkin.store.reading.lines import SEAL_BYTES, Header, entry_lines, header_line
from reedkin.store.reading.tables import Documents, Shelf, Tables


class AppendOnlyStorage(Storage):
    """
    The log at `path`. For writing (the default) the file and its folder are made if missing, and the lock is taken;
    with `read_only` nothing on disk is touched and no lock is needed. `wait` is how many seconds to wait for another
    writer. With `shared` the lock is held only while something is written, and what other writers have recorded is
    taken in before; without, it is held until this is closed. Raises the errors of `store.errors`.
    """

    def __init__(
        self,
        path: Path | str,
        *,
        read_only: bool = False,
        shared: bool = False,
        wait: float = 0.0,
        disk: Disk | None = None,
        clock: Clock | None = None,
    ) -> None:
        # One file has one lock, whatever name it is opened by.
        self.path = Path(os.path.realpath(path))
        self.read_only = read_only
        self._disk, self._clock = disk or Disk(), clock or Clock()
        self._writing = threading.RLock()
        """Held by the thread that writes, through all of a block of `together`. Taken before `_shelving`."""
        self._shelving = threading.RLock()
        """Held for moments, so that other threads can read while one gathers an entry."""
        self._closed = False
        self._shared = shared
        self._lost: list[Shelf] = []
        self._news = News()
        """What was taken in and nobody has been told yet."""
        self._wait = wait
        self._alone = False
        """Whether a block of `alone` is under way."""
        self._gathering = Gathering(self._record)
        self._lock: LogLock | None = None
        self._file: LogFile | None = None
        self._follower: Follower | None = None
        try:
            if read_only:
                self._follower = Follower(self.path, self._disk, self._clock)
                self._held = self._follower.holding
            else:
                self._held = self._open_for_writing()
        except BaseException:
            self.close()
            raise

    # Opening and closing

    def _open_for_writing(self) -> Holding:
        try:
            self._disk.make_folder(self.path.parent)
        except OSError as error:
            raise LogUnwritableError(
                f"The folder {self.path.parent} cannot be made: {error.strerror or error}. Choose another place."
            ) from error
        self._lock = LogLock(self.path)
        self._lock.take(self._wait)
        if not self.path.exists():
            self._create()
        held = self._read_file()
        note_shortfall(held, self._disk, self._clock.now())
        self._settle(held)
        if not held.findings.block:
            self._make_ready(held)
        if self._shared:
            self._lock.release()
        return held

    def _read_file(self) -> Holding:
        """Open the file that is at the path now, in the place of one that was open, and read it."""
        before, file = self._file, LogFile(self.path, self._disk)
        try:
            held = Holding(self.path, self._disk, file.fd)
        except BaseException:
            file.close()
            raise
        self._file = file
        self._measure(held, file)
        if before is not None:
            before.close()
        return held

    @staticmethod
    def _measure(held: Holding, file: LogFile) -> None:
        file.size = os.fstat(file.fd).st_size
        file.unended = held.reader.unended

    def _create(self) -> None:
        try:
            self._disk.create(self.path, [_new_header()])
        except OSError as error:
            raise LogUnwritableError(
                f"The log {self.path} cannot be made: {error.strerror or error}. "
                "Choose another place, or free some space."
            ) from error

    def _settle(self, held: Holding) -> None:
        """Where it was not sure when the log was last open whether an entry was recorded, make it so and tell it. It is
        asked again at the next opening if the disk still does not vouch for it."""
        sure, file = unsure_from(self.path), self._file
        if sure is None or file is None:
            return
        try:
            self._disk.fsync(file.fd)
        except OSError as error:
            raise LogUnwritableError(
                f"The disk does not vouch for what it has of the log {self.path} ({error.strerror or error}). "
                "Check the disk; until then it is open for reading only."
            ) from error
        there = held.reader.offset > sure
        what = "it was, and counts" if there else "it was not; enter it again"
        message = f"When the log was last open it was not sure whether its last entry was recorded: {what}."
        held.findings.add(Fault(held.reader.line, FaultKind.UNSURE, message))
        settled(self.path)

    def _make_ready(self, held: Holding) -> None:
        """Set a torn end aside, and begin an empty file with its first line."""
        file, torn, fault = self._file, held.reader.torn, held.findings.torn
        if file is None:
            return
        if torn is not None and fault is not None:
            kept = file.set_aside_end(torn.offset)
            file.size = torn.offset
            held.reader.torn = None
            told = f"{fault.message} It was set aside in {kept.name}."
            held.findings.set_aside(replace(fault, kept=kept, message=told))
        if file.size == 0:
            file.append(_new_header())
            held.reader.read(file.fd)

    def close(self) -> None:
        """Close the file and let the next writer in. Closing twice is harmless."""
        with self._writing, self._shelving:
            self._closed = True
            if self._file is not None:
                self._file.close()
                self._file = None
            if self._follower is not None:
                self._follower.close()
                self._follower = None
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
        return self._held.reader.header

    @property
    def length(self) -> int:
        """How many bytes of the file are whole entries."""
        return self._held.reader.offset

    def lines_behind(self, offset: int) -> int:
        """How many lines the file has from a byte on, by the descriptor that is open. Raises LogUnreadableError."""
        with self._shelving:
            return self._held.lines_behind(offset)

    @property
    def waits(self) -> bool:
        """Whether there is damage that nobody has said was seen, so that nothing is written."""
        return self._held.findings.wait

    @property
    def faults(self) -> tuple[Fault, ...]:
        """All faults found so far, in the order of the file. Faults inside a document show when its table is read."""
        with self._shelving:
            return self._held.faults()

    def acknowledge(self) -> None:
        """The user has seen the faults: a torn end is set aside, and writing may go on. Raises LogWriteError."""
        with self.alone(), self._shelving:
            self._make_ready(self._held)
            self._held.findings.acknowledge()

    # Questions that decode nothing

    def names(self) -> list[str]:
        """The names of all tables."""
        with self._shelving:
            names = self._held.shelf.names()
        gathered = self._gathering.here()
        return list(dict.fromkeys((*names, *gathered))) if gathered else names

    def count(self, table: str) -> int:
        """How many documents a table has."""
        with self._shelving:
            return len(self._held.shelf.of(table)) + len(self._gathering.here().get(table, ()))

    @property
    def glance(self) -> Glance:
        """What all recorded lines say, as far as the bench asks it of all reeds at once."""
        with self._shelving:
            return self._held.shelf.glance

    def lines(self, table: str) -> list[bytes]:
        """The recorded lines of a table in the order of the file, without their seals."""
        return list(self._held.shelf.of(table))

    def first(self, table: str) -> bytes:
        """The first of the lines of a table that has one."""
        return self._held.shelf.of(table)[0]

    def text(self, table: str) -> bytes:
        """The recorded lines of a table in the order of the file, each a JSON object with `id` and `doc`."""
        lines = self._held.shelf.of(table)
        return b"{" + b"\n{".join(lines) if lines else b""

    def shelves(self) -> list[Shelf]:
        """What is held of the log, and before it what the file held that was there before, where it held more."""
        with self._shelving:
            return [*self._lost, self._held.shelf]

    # Documents

    def documents(self, table: str) -> Documents:
        """The documents of a table by id; within a block of `together` also those that it has gathered."""
        with self._shelving:
            recorded = self._held.shelf.documents(table)
            gathered = self._gathering.here().get(table)
            return {**recorded, **{id: new.document for id, new in gathered.items()}} if gathered else recorded

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
            new: list[New] = []
            for table, documents in changed.items():
                recorded = self.documents(table)
                self._check_may_write()  # reading the table may have shown damage
                new += new_in(table, documents, recorded)
            self._gathering.take(new)

    @contextmanager
    def together(self) -> Iterator[None]:
        """
        Record everything that is written inside the block as one entry at its end: all of it or, if the block raises,
        nothing. A block inside another becomes part of it.
        """
        with self._writing, self._gathering.block():
            yield

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

    def _record(self, new: Sequence[New]) -> None:
        if not new or self._file is None:
            return
        with self.alone():
            self._check_may_write()  # what was taken in may be damaged
            reader = self._held.reader
            lines = entry_lines([one.tail for one in new], reader.link, [one.after for one in reader.breaks])
            self._file.append(b"".join(lines))
            with self._shelving:
                self._held.wrote(lines, self._file.size)
                for one, line in zip(new, lines, strict=True):
                    self._held.shelf.add_recorded(one.table, one.id, line[SEAL_BYTES:-1], one.document)

    # Beside other programs

    @contextmanager
    def alone(self) -> Iterator[News]:
        """
        Keep other writers out for as long as the block lasts; gives what they have recorded before. One inside another
        has nothing to learn. Raises LogLockedError, and what `refresh` raises.
        """
        with self._writing:
            if self._alone or not self._shared or self._file is None or self._lock is None:
                yield News()
                return
            self._check_there()
            self._lock.take(self._wait)
            self._alone = True
            try:
                with self._shelving:
                    self._taken_in_to_write()
                    if not self._held.findings.wait:
                        self._measure(self._held, self._file)
                        self._make_ready(self._held)
                yield self._told()
            finally:
                self._alone = False
                self._lock.release()

    @contextmanager
    def undisturbed(self) -> Iterator[None]:
        """Keep other programs from writing, whatever this one does meanwhile."""
        lock = self._lock
        if lock is None:
            yield
            return
        lock.take(self._wait)
        try:
            yield
        finally:
            lock.release()

    def refresh(self) -> News:
        """
        Take in what other programs have recorded since. If the file was replaced or cut, it is read again from the
        start. A writer that holds the lock has nothing to learn. Raises LogMissingError, LogUnreadableError,
        LogForeignError, LogNewerError; what was read last can still be asked for then.
        """
        with self._writing, self._shelving:
            if self._follower is not None:
                news = self._follower.look()
                self._held = self._follower.holding
                return news
            if not self._shared or self._alone or self._file is None:
                return News()
            self._take_in()
            return self._told()

    def _told(self) -> News:
        news, self._news = self._news, News()
        return news

    def _taken_in_to_write(self) -> None:
        try:
            self._take_in()
        except LogMissingError:
            self._check_there()
            raise

    def _check_there(self) -> None:
        if not os.path.exists(self.path):  # noqa: PTH110 - a folder that may not be looked into is no other error
            raise LogWriteError(
                f"Not recorded: the log {self.path} is no longer there. Put it or its disk back and try again."
            )

    def _take_in(self) -> None:
        """As `refresh`, of a writer. What is new is kept until it is told: what comes next may fail."""
        if self._held.was_replaced():
            before, self._held = self._held, self._read_file()
            if note_loss(self._held, before.shelf):
                self._lost.append(before.shelf)
            self._news = self._news.and_then(News(frozenset(self._held.shelf.names()), reloaded=True))
            return
        self._held.read()
        self._news = self._news.and_then(News.of(self._held))


def _new_header() -> bytes:
    return header_line(str(uuid4()), datetime.now(UTC).isoformat(timespec="seconds"))
