"""From a backup to a log again. Nothing that is there is written over: the present log is kept aside."""

from __future__ import annotations

import os
from dataclasses import dataclass
from datetime import datetime
from glob import escape
from pathlib import Path

from reedkin.errors import LogError
from reedkin.store.backups.backups import (
    Backup,
    Contents,
    aside_stem,
    backups_of,
    begins_with,
    contents,
    folder_of,
    holding_of,
    make_backup,
    parts,
    stamp,
)
from reedkin.store.backups.shortfall import entries_lacking
from reedkin.store.disk.calls import Disk, clear_unfinished, mode_of
from reedkin.store.disk.files import free_name
from reedkin.store.disk.lock import LogLock
from reedkin.store.disk.logfile import open_for_reading
from reedkin.store.errors import BackupError, LogMissingError
from reedkin.store.reading.faults import Flaw
from reedkin.store.reading.holding import Holding
from reedkin.store.reading.lines import SEAL_BYTES, read_document

_END = 64 * 1024


@dataclass(frozen=True)
class Restored:
    """What was done: `events` in `log`, and where the log is that was there before (None if there was none)."""

    log: Path
    events: int
    aside: Path | None


@dataclass(frozen=True)
class Loss:
    """What a log holds and a backup lacks: the `entries` by their ids, oldest first, with when each was recorded (as it
    stands in the log). `unknown` says why it cannot be told, where the log cannot be read."""

    entries: dict[str, str]
    unknown: str = ""

    def __bool__(self) -> bool:
        return bool(self.entries or self.unknown)


def loss(log: Path, backup: Backup) -> Loss:
    """What would be lost if a backup took the place of the log and nobody took in again what is kept aside. Raises the
    LogErrors of opening the backup."""
    disk = Disk()
    with holding_of(backup, disk) as copy:
        try:
            fd = open_for_reading(log, disk)
        except LogMissingError:
            return Loss({})
        except LogError as error:
            return Loss({}, str(error))
        try:
            lacking = entries_lacking(Holding(log, disk, fd).shelf, copy.shelf)
        except LogError as error:
            return Loss({}, str(error)) if log.stat().st_size else Loss({})
        finally:
            os.close(fd)
    return Loss(dict(sorted(lacking.items())))


def choose(log: Path, name: str | None) -> Backup:
    """The backup of that name, or the latest whose name begins so; without a name the one with the latest entry. Raises
    BackupError if there is none."""
    found = [backup for backup in backups_of(log) if backup.name.startswith(name or "")]
    if not found:
        which = f"named {name} " if name else ""
        raise BackupError(f"There is no backup {which}in {folder_of(log)}. To see what there is: reedkin backups")
    return found[-1] if name else max(found, key=lambda backup: (_latest_entry(backup), backup.made))


def _latest_entry(backup: Backup) -> str:
    """The latest entry among the last lines of a backup: what was recorded last, whatever a clock said when the copy
    was made."""
    latest = ""
    with backup.path.open("rb") as file:
        file.seek(max(0, backup.size - _END))
        for line in file:
            found = read_document(line[SEAL_BYTES:].rstrip(b"\r\n"))  # damaged or not
            if not isinstance(found, Flaw):
                latest = max(latest, str(found[1].get("entry", "")))
    return latest


def copy_out(backup: Backup, to: Path, seen: bool = False) -> Restored:
    """
    Write a backup to a file of its own; `seen` says that the user has seen its damage. Raises BackupError: also where
    `to` is there already.
    """
    disk = Disk()
    held = verified(backup, seen)
    try:
        disk.create(to, parts(backup.path, disk=disk), mode=mode_of(backup.path))
        if not _equal(to, backup, disk):
            to.unlink()
            raise _unequal(to)
    except FileExistsError:
        raise BackupError(f"{to} is there already and was left alone. Choose another name.") from None
    except OSError as error:
        raise _failed(to, error) from error
    return Restored(to, held.events, None)


def restore(
    log: Path, backup: Backup, now: datetime, seen: bool = False, disk: Disk | None = None, wait: float = 0.0
) -> Restored:
    """
    Put a backup in the place of the log, having kept the log aside under a dated name; `seen` says that the user has
    seen the backup's damage, `wait` is how many seconds to wait for another writer. Raises BackupError, LogLockedError
    and LogUnwritableError; the log is as it was then.
    """
    disk = disk or Disk()
    log = Path(os.path.realpath(log))
    held = verified(backup, seen)
    new = log.with_name(f".{log.name}.restored")
    lock = LogLock(log)
    lock.take(wait)
    try:
        new.unlink(missing_ok=True)
        for names in (escape(new.name), f"{escape(aside_stem(log))}*{escape(log.suffix)}"):
            clear_unfinished(log.parent, names)
        disk.create(new, parts(backup.path, disk=disk), mode=mode_of(log if log.exists() else backup.path))
        if not _equal(new, backup, disk):
            raise _unequal(log)
        aside = _keep_aside(log, now, disk)
        new.replace(log)
        disk.sync_folder(log.parent)
        if backup.path != backups_of(log, now)[-1].path:
            # The newest backup says what the log is to hold, so that one which another program cuts short is noticed.
            make_backup(log, backup.size, now, disk)
    except OSError as error:
        raise _failed(log, error) from error
    finally:
        new.unlink(missing_ok=True)
        lock.release()
    return Restored(log, held.events, aside)


def verified(backup: Backup, seen: bool) -> Contents:
    """What a backup holds. Raises BackupError where it is damaged and nobody has `seen` that."""
    held = contents(backup)
    if not held.sound and not seen:
        raise BackupError(
            f"The backup {backup.name} is of a log that was damaged already, or is damaged itself. Choose another "
            "(reedkin backups), or take it as it is with --seen."
        )
    return held


def _keep_aside(log: Path, now: datetime, disk: Disk) -> Path | None:
    if not log.exists():
        return None
    aside = free_name(log.with_stem(aside_stem(log) + stamp(now)))
    disk.create(aside, parts(log, disk=disk), mode=mode_of(log))
    if not begins_with(aside, log, disk):
        aside.unlink()
        raise BackupError(f"The present log could not be kept aside in {aside}. Nothing was changed. Check the disk.")
    return aside


def _equal(copy: Path, backup: Backup, disk: Disk) -> bool:
    return copy.stat().st_size == backup.size and begins_with(copy, backup.path, disk)


def _unequal(path: Path) -> BackupError:
    return BackupError(f"What was written to {path} did not read back the same, and was removed. Check the disk.")


def _failed(path: Path, error: OSError) -> BackupError:
    return BackupError(
        f"The backup could not be written to {path}: {error.strerror or error}. What was there is unharmed. "
        "Free some space, or check who may write there."
    )
