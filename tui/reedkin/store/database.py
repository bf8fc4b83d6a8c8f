"""TinyDB on a log: tables whose documents bring their own ids, and of which nothing is changed or removed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, NoReturn, cast

from tinydb import TinyDB
from tinydb.storages import Storage
from tinydb.table import Document, Table

from reedkin.store.errors import AppendOnlyError, DocumentError
from reedkin.store.storage import AppendOnlyStorage


class LogTable(Table):
    """A table with text ids. Results of queries are not kept, since another program may add to the log."""

    document_id_class = str  # type: ignore[assignment]

    def __init__(self, storage: Storage, name: str, cache_size: int = 0, persist_empty: bool = False) -> None:
        super().__init__(storage, name, cache_size=cache_size, persist_empty=persist_empty)

    def record(self, id: str, document: Mapping[str, Any]) -> None:
        """Insert `document` under `id`. Raises ValueError if the table has that id, and what the storage raises."""
        # TinyDB declares its ids as numbers, whatever `document_id_class` says.
        super().insert(Document(document, cast(int, id)))

    def record_all(self, documents: Mapping[str, Mapping[str, Any]]) -> None:
        """As `record`, for many documents by their ids; costs little more than for one."""
        super().insert_multiple([Document(document, cast(int, id)) for id, document in documents.items()])

    def insert(self, document: Mapping[str, Any]) -> int:
        """As TinyDB's, for a `Document` with an id of its own. Raises DocumentError for one without."""
        return super().insert(_with_id(document))

    def insert_multiple(self, documents: Iterable[Mapping[str, Any]]) -> list[int]:
        """As TinyDB's, for `Document`s with ids of their own. Raises DocumentError for one without."""
        return super().insert_multiple([_with_id(document) for document in documents])

    def _refuse(self, *args: object, **kwargs: object) -> NoReturn:
        raise AppendOnlyError("What is recorded is never changed or removed. Record a correction instead.")

    update = update_multiple = upsert = remove = truncate = _refuse


def _with_id(document: Mapping[str, Any]) -> Document:
    if not isinstance(document, Document):
        raise DocumentError("A document needs an id of its own; nothing was recorded.")
    return document


class LogDatabase(TinyDB):
    """A TinyDB on the log at a path: `AppendOnlyStorage` has the options, and raises what there is to raise."""

    default_storage_class = AppendOnlyStorage  # type: ignore[assignment]  # TinyDB declares its own
    table_class = LogTable

    @property
    def log(self) -> AppendOnlyStorage:
        """The storage, as what it is."""
        return cast(AppendOnlyStorage, self.storage)

    def table(self, name: str, **kwargs: Any) -> LogTable:
        """The table of that name."""
        return cast(LogTable, super().table(name, **kwargs))
