"""A maker's log: the file, and the bench that it makes. The one place where entries become durable."""

from __future__ import annotations

import os
import threading
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any, Self

from reedkin.bench.bench import Bench
from reedkin.domain.clock import Clock
from reedkin.domain.events import REED_TABLE, Event, Record, Strike, table_of
from reedkin.domain.reeds import Reed
from reedkin.domain.uid import UidMaker, last_of_millisecond
from reedkin.errors import InputError, LogError
from reedkin.store.backups.backups import Backup, backups_of, make_backup
from reedkin.store.database import LogDatabase
from reedkin.store.disk.calls import Disk
from reedkin.store.disk.lock import PATIENCE
from reedkin.store.entries import Entries
from reedkin.store.errors import BackupError, LogLockedError, LogMovedOnError, LogUnwritableError, LogWriteError
from reedkin.store.following import News
from reedkin.store.reading.faults import Fault, FaultKind
from reedkin.store.reading.records import to_document
from reedkin.store.reading.tables import Shelf
from reedkin.store.recorded import Recorded

if TYPE_CHECKING:
    from reedkin.grammar.reading import Reading

CIRCLE = "circle"
"""The folder beside a log where the files of a circle of makers are kept."""
MUCH = 50
"""Records that are worth a backup of their own, if there was one on that day already: an evening at the bench."""


class Log:
    """An open log. `bench` is its state and follows everything that is recorded through it."""

    def __init__(
        self,
        path: Path,
        clock: Clock,
        read_only: bool = False,
        disk: Disk | None = None,
        *,
        shared: bool = False,
        wait: float = 0.0,
    ) -> None:
        """`shared`: other programs may record meanwhile; `wait`: the seconds to wait for one that does."""
        self.path = path
        self.clock = clock
        self.read_only = read_only
        self._backing_up = threading.Lock()
        self.why_read_only: LogError | None = None
        """Why a log that was to be written can only be read."""
        self._disk = disk
        self._database = LogDatabase(path, read_only=read_only, shared=shared, wait=wait, disk=disk, clock=clock)
        self._storage = self._database.log
        self.bench = self._bench()
        self.uids = UidMaker(after="" if read_only else self._latest())

    @classmethod
    def open(cls, path: Path, clock: Clock, disk: Disk | None = None) -> Log:
        """Open for writing beside other programs, or for reading where that cannot be: one of them does not let go of
        it, or the disk or its owner forbids it (`read_only` and `why_read_only` tell). Raises LogError where it cannot
        be read either."""
        try:
            return cls(path, clock, disk=disk, shared=True, wait=PATIENCE)
        except (LogLockedError, LogUnwritableError, LogWriteError) as error:
            if not os.path.exists(path):  # noqa: PTH110 - a folder that may not be looked into is no second error
                raise
            log = cls(path, clock, read_only=True, disk=disk)
            log.why_read_only = error
            return log

    def close(self) -> None:
        self._database.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    # Reading

    def _bench(self) -> Bench:
        recorded = self._recorded = Recorded(self._storage)
        self.entries = Entries(self._storage, recorded)
        bench = Bench(self.clock, recorded.headings(), recorded.lineage, recorded.beside())
        bench.circle = self.path.parent / CIRCLE
        return bench

    @property
    def misfits(self) -> list[str]:
        """Sound documents that are no records, in words: another program wrote them, or a newer version."""
        return self._recorded.misfits

    @property
    def tables(self) -> list[str]:
        """The names of all tables that the file has."""
        return self._storage.names()

    def records(self, table: str) -> list[Record]:
        """The records of a table in the order of the file."""
        return self._recorded.records(table)

    def documents(self, table: str) -> Mapping[str, Mapping[str, Any]]:
        """The documents of a table by uid in the order of the file, those that are no records among them."""
        return self._storage.documents(table)

    @property
    def faults(self) -> Sequence[Fault]:
        """What is wrong with the file, line by line, as far as it has been read."""
        return self._storage.faults

    def shelves(self) -> list[Shelf]:
        """What the program holds of the log, and what it held before another program took entries from it."""
        return self._storage.shelves()

    def reed_of(self, fault: Fault) -> str | None:
        """The label of the reed that a damaged line seems to be of."""
        reed = (fault.table or "").removeprefix(REED_TABLE)
        return self.bench.reed(reed).label if reed in self.bench else None

    @property
    def damaged(self) -> bool:
        """Whether the file has damage that must be seen before anything is written."""
        return any(fault.blocks for fault in self._storage.faults)

    @property
    def waits(self) -> bool:
        """Whether there is such damage that nobody has said was seen."""
        return self._storage.waits

    def acknowledge(self) -> None:
        """The user has seen the damage: writing may go on."""
        short = any(fault.kind is FaultKind.SHORT for fault in self._storage.faults)
        with self.alone():
            self._storage.acknowledge()
        if short:
            self.back_up()  # so that it is not asked about again

    def refresh(self) -> bool:
        """Take in what another program has recorded since; True if there was anything."""
        news = self._storage.refresh()
        if news:
            self._take_in(news)
        return bool(news)

    @contextmanager
    def alone(self) -> Iterator[bool]:
        """Keep other programs from recording while the block lasts; gives whether the log had to take in what they have
        recorded, so that what was planned before may not hold. Raises LogError."""
        with self._storage.alone() as news:
            if news:
                self._take_in(news)
            yield bool(news)

    def _take_in(self, news: News) -> None:
        """Take what another program has recorded into the bench: record by record, so that a long log costs no more
        than a short one, or all anew where that does not plainly go on from what is known."""
        further = None if news.reloaded else self._recorded.further(news.lines, self.bench)
        if further is None:
            self._begin_anew()
            return
        if (latest := self._latest()) and not self.read_only:
            self.uids.go_on_after(latest)
        self.bench.add(record for records in further.values() for record in records)

    def _begin_anew(self) -> None:
        self.bench = self._bench()
        if not self.read_only:
            self.uids = UidMaker(after=self._latest())

    @contextmanager
    def _as_planned(self) -> Iterator[None]:
        """As `alone`, for what was planned with the bench as it is: raises LogMovedOnError where that is no more so."""
        with self.alone() as moved_on:
            if moved_on:
                raise LogMovedOnError(
                    "Not recorded: another program has just recorded something too. It is taken in now; look at it, "
                    "then do this again."
                )
            yield

    def back_up(self, daily: bool = False) -> Backup | None:
        """
        Make a backup if there is none of the log as it is, and say where; never of a log with damage that nobody has
        seen. `daily`: only if there is none of today, or much was recorded since the latest. May be called by any
        thread, whatever is being recorded. Raises BackupError.
        """
        with self._backing_up, self._undisturbed():
            size, now = self._storage.length, self.clock.now()
            if self.read_only or self._storage.waits or not self._storage.names():
                return None
            made = backups_of(self.path, now)
            today = any(backup.made.date() == now.date() for backup in made)
            if daily and today and self._storage.lines_behind(made[-1].size) < MUCH:
                return None
            if made and made[-1].size == size:
                return None
            return make_backup(self._storage.path, size, now, self._disk)

    @contextmanager
    def _undisturbed(self) -> Iterator[None]:
        with ExitStack() as stack:
            try:
                stack.enter_context(self._storage.undisturbed())
            except LogError as error:
                raise BackupError(f"No backup of the log was made. {error}") from error
            yield

    # Recording

    def record(self, reading: Reading) -> list[Record]:
        """Record an entry as it was read. When this returns, it is on the disk."""
        from reedkin.grammar.recording import to_records  # not before a log that is only read

        with self._as_planned():
            session = self.bench.sessions.open()
            records = to_records(reading, self.uids, self.clock.now(), session.uid if session else None)
            self.write(records)
            return records

    def write(self, records: Sequence[Record]) -> None:
        """Write records as one entry, all or nothing, and take them into the bench. Raises LogMovedOnError where they
        were planned before another program recorded something."""
        with self._as_planned():
            self._write((table_of(record), record.uid, to_document(record)) for record in records)
            self.bench.add(records)

    def _write(self, documents: Iterable[tuple[str, str, Mapping[str, Any]]]) -> None:
        tables: dict[str, dict[str, Mapping[str, Any]]] = {}
        for table, uid, document in documents:
            tables.setdefault(table, {})[uid] = document
        with self._storage.together():
            for table, of_table in tables.items():
                self._database.table(table).record_all(of_table)

    def unite(self, documents: Iterable[tuple[str, str, Mapping[str, Any]]]) -> None:
        """Write documents of another log, each with its table and uid, as they stand there; all or nothing."""
        with self._as_planned():
            self._write(documents)
            self._begin_anew()

    def strike(self, records: Iterable[Record]) -> list[Record]:
        """Take records out of account by striking them; they stay in the log."""
        with self._as_planned():
            now, entry = self.clock.now(), self.uids.new()
            strikes: list[Record] = [Strike(self.uids.new(), table_of(r), r.uid, now, entry) for r in records]
            self.write(strikes)
            return strikes

    def handled_last(self) -> list[Reed]:
        """The reeds that the last entry was about, in its order: where nobody has taken one in hand since, the one that
        is in hand is the only one of them, or, on the screen, the first that is at work."""
        entry = sorted(self.entries.last(), key=lambda record: record.uid)
        reeds = dict.fromkeys(record.reed for record in entry if isinstance(record, Event))
        return [self.bench.reed(reed) for reed in reeds if reed in self.bench]

    def _latest(self) -> str:
        """What new identifiers are to sort after, even where a clock was set back since: all that were made in the
        millisecond of the greatest there is. (Of corrections of one event that with the greatest identifier counts.)"""
        greatest = self._storage.glance.greatest
        return last_of_millisecond(greatest) if greatest else ""

    def take_back(self) -> list[Record]:
        """Strike the latest entry that stands, and return it. Raises InputError if there is none."""
        with self._as_planned():
            entry = self.entries.last()
            if not entry:
                raise InputError("There is nothing to take back.")
            self.strike(entry)
            return entry
