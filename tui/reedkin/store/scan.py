"""A full pass over a log without opening it for writing: every sound document and every fault, by line."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from reedkin.store.disk.calls import Disk
from reedkin.store.reading.faults import Fault
from reedkin.store.reading.lines import Header
from reedkin.store.reading.tables import Document
from reedkin.store.storage import AppendOnlyStorage


@dataclass(frozen=True)
class Scan:
    """What a log holds: `documents[table][id]` in the order of the file, and its faults in the same order."""

    header: Header | None
    documents: dict[str, dict[str, Document]]
    faults: tuple[Fault, ...]


def scan(path: Path | str, disk: Disk | None = None) -> Scan:
    """
    Read every line and every document of the log at `path`. Raises LogMissingError, LogUnreadableError,
    LogForeignError and LogNewerError; any other fault is in the result.
    """
    with AppendOnlyStorage(path, read_only=True, disk=disk) as storage:
        tables = {name: dict(storage.documents(name)) for name in storage.names()}
        documents = {name: documents for name, documents in tables.items() if documents}
        return Scan(storage.header, documents, storage.faults)
