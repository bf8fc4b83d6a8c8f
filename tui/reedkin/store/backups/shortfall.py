"""Whether a log has lost what its newest backup still holds: another program emptied it, or cut it short."""

from __future__ import annotations

import os
from collections.abc import Iterable
from datetime import datetime

from reedkin.domain.figures import plural
from reedkin.errors import LogError
from reedkin.store.backups.backups import Backup, backups_of, holding_of
from reedkin.store.disk.calls import READ, Disk
from reedkin.store.errors import BackupError
from reedkin.store.reading.faults import Fault, FaultKind, Flaw
from reedkin.store.reading.holding import Holding
from reedkin.store.reading.lines import read_document, tail_of
from reedkin.store.reading.tables import Shelf

_END = 4096


def note_shortfall(held: Holding, disk: Disk, now: datetime) -> None:
    """Compare a log that was read with its newest backup that can be read. Adds a fault where the log lacks entries
    that the backup has, and one for each newer backup that cannot be read. A backup of another log says nothing. Little
    of the backup is read, unless the log is shorter or ends otherwise."""
    try:
        made = backups_of(held.path, now)
    except BackupError:
        return  # the folder cannot be looked into: told by the backup that is due, and by `check`
    for backup in reversed(made):
        try:
            missing = 0 if _goes_on_from(held, backup, disk) else _missing(held, backup, disk)
        except (LogError, OSError) as error:
            why = getattr(error, "strerror", None) or error
            _note(
                held, FaultKind.BACKUP,
                f"The backup {backup.name} cannot be read ({why}), so that the log could not be compared with it. "
                "To see all of them: reedkin backups",
            )  # fmt: skip
            continue
        _note_missing(held, backup, missing)
        return


def _note(held: Holding, kind: FaultKind, message: str) -> None:
    held.findings.add(Fault(held.reader.line + 1, kind, message))


def _note_missing(held: Holding, backup: Backup, missing: int) -> None:
    if missing:
        name, entries = backup.name, _entries(missing)
        message = (
            f"The log lacks {entries} that its newest backup holds: another program cut it short or "
            f"emptied it. To put the backup in its place: reedkin restore {name}. To take in only what is missing, "
            f"once this was seen: reedkin merge {backup.path}"
        )
        _note(held, FaultKind.SHORT, message)


def note_loss(held: Holding, before: Shelf) -> bool:
    """Add a fault where the log, read anew because another program changed it, lacks what it held before: whether it
    does."""
    missing = len(entries_lacking(before, held.shelf))
    if missing:
        message = (
            f"Another program put another file in the place of the log, or cut it: it lacks {_entries(missing)} that "
            "it held a moment ago. To see the copies that there are: reedkin backups"
        )
        _note(held, FaultKind.SHORT, message)
    return bool(missing)


def _goes_on_from(held: Holding, backup: Backup, disk: Disk) -> bool:
    """Whether the log reaches as far as the backup, and holds the same there."""
    if held.reader.offset < backup.size:
        return False
    start = max(0, backup.size - _END)
    fd = disk.open(backup.path, READ)
    try:
        return _read_at(disk, fd, start) == _read_at(disk, held.fd, start)[: backup.size - start]
    finally:
        os.close(fd)


def _read_at(disk: Disk, fd: int, start: int) -> bytes:
    os.lseek(fd, start, os.SEEK_SET)
    return disk.read(fd, _END)


def _missing(held: Holding, backup: Backup, disk: Disk) -> int:
    """How many entries of the backup have a line that the log lacks."""
    with holding_of(backup, disk) as copy:
        ours, theirs = held.reader.header, copy.reader.header
        if ours is not None and theirs is not None and ours.log != theirs.log:
            return 0
        return len(entries_lacking(copy.shelf, held.shelf))


def entries_lacking(whole: Shelf, other: Shelf) -> dict[str, str]:
    """The entries that have a line on one shelf which the other lacks, with when each was recorded (as it stands there;
    empty where it is not said)."""
    entries: dict[str, str] = {}
    for table, rests in whole.lines.items():
        there = other.of(table)
        lacking = set(rests).difference(there)
        for rest in lacking and _told_nowhere(lacking, there):
            found = read_document(rest)
            if not isinstance(found, Flaw):
                head, document = found
                entries[str(document.get("entry", head.id))] = str(document.get("recorded", ""))
    return entries


def _told_nowhere(lines: Iterable[bytes], there: Iterable[bytes]) -> list[bytes]:
    """Those of the lines whose document stands in none of the others, wherever in the log it may stand there."""
    known = set(map(tail_of, there))
    return [rest for rest in lines if tail_of(rest) not in known]


def _entries(count: int) -> str:
    return plural(count, "entry", "entries")
