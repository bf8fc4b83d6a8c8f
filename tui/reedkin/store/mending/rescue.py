"""What can be done where a log lost entries: take in again what the program still holds of them and the newest backup
has, put that backup in its place, or write all of it to a file of its own."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime
from itertools import chain
from pathlib import Path
from uuid import uuid4

from reedkin.errors import LogError
from reedkin.store.backups.backups import Backup, holding_of, stamp
from reedkin.store.backups.restoring import Restored, choose, restore
from reedkin.store.backups.shortfall import entries_lacking
from reedkin.store.disk.calls import Disk, in_parts, mode_of
from reedkin.store.disk.files import free_name
from reedkin.store.errors import BackupError
from reedkin.store.log import Log
from reedkin.store.merging.uniting import United, unite_documents
from reedkin.store.reading.lines import document_tail, entry_lines, header_line, link_of
from reedkin.store.reading.tables import Document, Shelf


def take_in_missing(log: Log) -> United:
    """Merge what is still known of the log into it; the damage is taken for seen by that. Raises LogError."""
    known: dict[str, dict[str, Document]] = {}
    for (id, table), document in _known(log, Disk()).items():
        known.setdefault(table, {})[id] = document
    log.acknowledge()
    return unite_documents(log, known, "what was held before")


def put_back(log: Log, now: datetime) -> tuple[Restored, int, Path | None]:
    """Put the newest backup in the log's place, and go on with that. What was done, how many entries the program still
    held that the backup lacks, and the file that they are in. Raises LogError."""
    done = restore(log.path, choose(log.path, None), now)
    log.refresh()
    *before, there = log.shelves()
    lacking = {entry for shelf in before for entry in entries_lacking(shelf, there)}
    kept = rescue(log, now)[0] if lacking else None
    log.acknowledge()
    return done, len(lacking), kept


def rescue(log: Log, now: datetime, disk: Disk | None = None) -> tuple[Path, int]:
    """Write what is still known of the log to a new file beside it, or at home where its folder is gone: where it is,
    and how many records it has. Raises LogError."""
    disk = disk or Disk()
    folder = log.path.parent if log.path.parent.is_dir() else Path.home()
    to = free_name(folder / f"{log.path.stem}-rescued-{stamp(now)}.jsonl")
    known = _known(log, disk)
    try:
        header = header_line(str(uuid4()), now.isoformat())
        disk.create(to, in_parts(chain([header], _lines(known, link_of(header)))), mode=mode_of(log.path))
    except OSError as error:
        why = error.strerror or error
        raise LogError(f"Nothing could be written to {to}: {why}. Free some space there.") from error
    return to, len(known)


def _known(log: Log, disk: Disk) -> dict[tuple[str, str], Document]:
    """What the program holds in memory, what it held before the log was cut, and what the newest backup holds."""
    known = _union(log.shelves())
    try:
        with holding_of(_newest(log.path), disk) as copy:
            for key, document in _union([copy.shelf]).items():
                known.setdefault(key, document)
    except LogError:
        pass  # there may be none, or its disk is gone with the log: memory is what there is
    return known


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
