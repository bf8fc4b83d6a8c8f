"""
Dated copies of a log in a folder beside it, made without asking. Since a log only grows, the bytes of its whole entries
are a consistent copy at any moment, whatever is being recorded meanwhile.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Hashable, Iterable, Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from itertools import zip_longest
from pathlib import Path
from typing import NamedTuple

from reedkin.domain.events import REED_TABLE
from reedkin.store.disk.calls import READ, Disk, clear_unfinished, mode_of
from reedkin.store.disk.logfile import open_for_reading
from reedkin.store.errors import BackupError
from reedkin.store.reading.faults import Fault
from reedkin.store.reading.holding import Holding

DAYS, WEEKS, MONTHS = 7, 4, 12
_STAMP = "%Y-%m-%dT%H%M%S%z"
_NAME = re.compile(r"(\d{4}-\d\d-\d\dT\d{6}[+-]\d{4})\.jsonl")
_CHUNK = 1024 * 1024


class Backup(NamedTuple):
    """A copy of a log: where it is, when it was made (with the offset of that place and day) and its size in bytes."""

    path: Path
    made: datetime
    size: int

    @property
    def name(self) -> str:
        """What it is called on the command line."""
        return self.path.stem


class Contents(NamedTuple):
    """What a copy holds: how many events (corrections count as events), and its faults."""

    events: int
    faults: tuple[Fault, ...]

    @property
    def sound(self) -> bool:
        """Whether nothing that was recorded is missing from it."""
        return not any(fault.blocks for fault in self.faults)


def folder_of(log: Path) -> Path:
    """Where the copies of a log are."""
    log = Path(os.path.realpath(log))
    return log.with_name(f"{log.name}.backups")


def stamp(moment: datetime) -> str:
    """A moment, which has its offset from UTC, as it stands in the names of files."""
    return moment.strftime(_STAMP)


def aside_stem(log: Path) -> str:
    """What the names of the logs begin with that were kept aside when a backup took the place of this one."""
    return f"{log.stem}-until-"


def backups_of(log: Path, now: datetime | None = None) -> list[Backup]:
    """The copies of a log, the one made first first; where it is told what time it is `now`, those of days to come
    before all others, since a clock that had gone wrong named them. Raises BackupError if the folder cannot be read."""
    folder = folder_of(log)
    try:
        found = [backup for path in folder.iterdir() if (backup := _backup_at(path)) is not None]
    except FileNotFoundError:
        return []
    except OSError as error:
        raise BackupError(
            f"The backups in {folder} cannot be read: {_why(error)}. No backup was made or put back."
        ) from error
    past = now + timedelta(days=1) if now is not None else None
    return sorted(found, key=lambda backup: (past is None or backup.made <= past, backup.made, backup.name))


def _backup_at(path: Path) -> Backup | None:
    """The copy that is a file, or None: it is something else, or another program has just removed it."""
    match = _NAME.fullmatch(path.name)
    if match is None:
        return None
    try:
        return Backup(path, datetime.fromisoformat(match[1]), path.stat().st_size)
    except (FileNotFoundError, ValueError):
        return None


def contents(backup: Backup) -> Contents:
    """Read a copy and verify every line of it. Raises the LogErrors of opening a log."""
    with holding_of(backup, Disk()) as copy:
        shelf = copy.shelf
        events = sum(len(shelf.of(name)) for name in shelf.names() if name.startswith(REED_TABLE))
        return Contents(events, copy.faults())


@contextmanager
def holding_of(backup: Backup, disk: Disk) -> Iterator[Holding]:
    """What a copy holds, line by line. Raises the LogErrors of opening a log."""
    fd = open_for_reading(backup.path, disk)
    try:
        yield Holding(backup.path, disk, fd)
    finally:
        os.close(fd)


def make_backup(log: Path, size: int, now: datetime, disk: Disk | None = None) -> Backup:
    """
    Copy the first `size` bytes of the log, which must be whole entries, verify the copy, and thin out the older ones.
    The caller holds the log's lock. Raises BackupError; the older copies are as they were then.
    """
    disk = disk or Disk()
    try:
        _make_folder(folder_of(log), disk)
        path, now = _free_name(folder_of(log), now)
        clear_unfinished(path.parent)
        disk.create(path, parts(log, size, disk), mode=mode_of(log))
        if not begins_with(log, path, disk):
            path.unlink()
            raise BackupError(f"A backup in {path.parent} did not read back as it was written. Check the disk.")
        _thin_out(log, path, disk)
    except OSError as error:
        raise BackupError(
            f"No backup of the log could be made in {folder_of(log)}: {_why(error)}. {_unharmed(log, size)}"
            "Free some space, or check who may write there."
        ) from error
    return Backup(path, now, size)


def _unharmed(log: Path, size: int) -> str:
    """That the log is unharmed, where it is: it may be the log that could not be read."""
    try:
        return "The log itself is unharmed. " if log.stat().st_size >= size else ""
    except OSError:
        return ""


def _free_name(folder: Path, now: datetime) -> tuple[Path, datetime]:
    while (path := folder / f"{stamp(now)}.jsonl").exists():
        now += timedelta(seconds=1)
    return path, now


def _why(error: Exception) -> object:
    return getattr(error, "strerror", None) or error


def _make_folder(folder: Path, disk: Disk) -> None:
    """Unlike the log's own, this folder is only made where the one above it is: if that has vanished, it stays so."""
    if not folder.exists():
        folder.mkdir()
        disk.sync_folder(folder.parent)


def parts(path: Path, size: int | None = None, disk: Disk | None = None) -> Iterator[bytes]:
    """The first `size` bytes of a file (None: all), a part at a time. Raises OSError, also for a shorter file."""
    disk = disk or Disk()
    left = path.stat().st_size if size is None else size
    fd = disk.open(path, READ)
    try:
        while left:
            data = disk.read(fd, min(left, _CHUNK))
            if not data:
                raise OSError(f"{path.name} became shorter while it was copied")
            left -= len(data)
            yield data
    finally:
        os.close(fd)


def begins_with(path: Path, other: Path, disk: Disk | None = None) -> bool:
    """Whether the file at `path` begins with all the bytes of `other`. Raises OSError."""
    size = other.stat().st_size
    if path.stat().st_size < size:
        return False
    return all(ours == theirs for ours, theirs in zip_longest(parts(path, size, disk), parts(other, size, disk)))


def _thin_out(log: Path, new: Path, disk: Disk) -> None:
    """
    Remove the copies that the rule does not keep, but none that holds anything which the new one lacks: those from
    before a log was damaged or exchanged stay.
    """
    kept = backups_of(log)
    worth = worth_keeping(backup.made for backup in kept)
    for backup in kept:
        # The new one may be the oldest by its date, where a clock went wrong.
        if backup.path != new and backup.made not in worth and begins_with(new, backup.path, disk):
            backup.path.unlink()


def worth_keeping(made: Iterable[datetime]) -> set[datetime]:
    """
    The rule, given when copies were made: the latest is kept, and the first of each of the last 7 days, 4 weeks and
    12 months that have one.
    """
    times = sorted(made)
    kept = set(times[-1:])
    for period, count in _PERIODS:
        firsts: dict[Hashable, datetime] = {}
        for time in times:
            firsts.setdefault(period(time), time)
        kept.update(list(firsts.values())[-count:])
    return kept


_PERIODS: tuple[tuple[Callable[[datetime], Hashable], int], ...] = (
    (lambda time: time.date(), DAYS),
    (lambda time: time.isocalendar()[:2], WEEKS),
    (lambda time: (time.year, time.month), MONTHS),
)
