"""What can be done where a log lost entries: take in what a backup has of them, or write all that is still known to a
file of its own."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime
from itertools import chain
from pathlib import Path
from uuid import uuid4

from reedkin.domain.clock import Clock
from reedkin.errors import LogError
from reedkin.store.backups.backups import Backup, backups_of, holding_of, stamp
from reedkin.store.backups.restoring import choose
from reedkin.store.disk.calls import Disk, in_parts, mode_of
from reedkin.store.disk.files import free_name
from reedkin.store.errors import BackupError
from reedkin.store.log import Log
from reedkin.store.merging.conflicts.conflicts import conflicts
from reedkin.store.merging.conflicts.settling import Conflict
from reedkin.store.merging.merging import plan_merge
from reedkin.store.reading.lines import document_tail, entry_lines, header_line, link_of
from reedkin.store.reading.tables import Document, Shelf


def take_in_missing(log: Log, clock: Clock) -> tuple[int, list[Conflict]]:
    """Merge the newest backup that has what the log lacks into it; the damage is taken for seen by that. How many
    records it lacked, and what of them does not go together with what was recorded since. Raises LogError."""
    log.acknowledge()
    for backup in reversed(backups_of(log.path)):
        with Log(backup.path, clock, read_only=True) as copy:
            plan = plan_merge(log, copy)
        if plan.differing:
            raise LogError(f"Nothing was taken in: {backup.name} and the log differ in a record. See: reedkin merge")
        if plan.new:
            log.unite(plan.new)
            return len(plan.new), list(conflicts(log.bench, plan))
    return 0, []


def rescue(log: Log, now: datetime, disk: Disk | None = None) -> tuple[Path, int]:
    """Write what the program holds in memory, what it held before the log was cut, and what the newest backup holds to
    a new file beside the log, or at home where the log's folder is gone: where it is, and how many records it has.
    Raises LogError."""
    disk = disk or Disk()
    folder = log.path.parent if log.path.parent.is_dir() else Path.home()
    to = free_name(folder / f"{log.path.stem}-rescued-{stamp(now)}.jsonl")
    known = _union(log.shelves())
    try:
        with holding_of(_newest(log.path), disk) as copy:
            for key, document in _union([copy.shelf]).items():
                known.setdefault(key, document)
    except LogError:
        pass  # there may be none, or its disk is gone with the log: memory is what there is
    try:
        header = header_line(str(uuid4()), now.isoformat())
        disk.create(to, in_parts(chain([header], _lines(known, link_of(header)))), mode=mode_of(log.path))
    except OSError as error:
        why = error.strerror or error
        raise LogError(f"Nothing could be written to {to}: {why}. Free some space there.") from error
    return to, len(known)


def _newest(log: Path) -> Backup:
    try:
        return choose(log, None)
    except OSError as error:
        raise BackupError(f"The backups cannot be read: {error.strerror or error}.") from error


def _union(shelves: Iterable[Shelf]) -> dict[tuple[str, str], Document]:
    known: dict[tuple[str, str], Document] = {}
    for shelf in shelves:
        for table in shelf.names():
            for id, document in shelf.documents(table).items():
                known.setdefault((id, table), document)
    return known


def _lines(known: dict[tuple[str, str], Document], after: bytes) -> Iterator[bytes]:
    """Every document as an entry of its own, since in a file that is written whole none can be half there; `after` is
    the link of the line before the first."""
    for (id, table), document in sorted(known.items(), key=lambda one: one[0]):
        (line,) = entry_lines([document_tail(table, id, document)], after)
        after = link_of(line)
        yield line
