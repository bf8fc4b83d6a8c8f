"""TinyDB on the log does what TinyDB on its own storage in memory does, for every operation that a log allows."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any, cast

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.store.making import HastyDisk, documents, names, on_disk
from tinydb import TinyDB, where
from tinydb.storages import MemoryStorage
from tinydb.table import Document

from reedkin.store.database import LogDatabase, LogTable
from reedkin.store.errors import AppendOnlyError, DocumentError


class MemoryDatabase(TinyDB):
    table_class = LogTable


@pytest.fixture(params=["memory", "log"])
def database(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[TinyDB]:
    with MemoryDatabase(storage=MemoryStorage) if request.param == "memory" else LogDatabase(tmp_path / "a.log") as db:
        yield db


def document(id: str, **fields: Any) -> Document:
    return Document(fields, cast(int, id))


@pytest.fixture
def reed(database: TinyDB) -> LogTable:
    table = cast(LogTable, database.table("reed a"))
    table.insert(document("1", kind="tied", facts={"overall": 72.5}, seen=["tip", "heart"]))
    table.insert_multiple([document("2", kind="scraped", facts={"minutes": 10}), document("3", kind="played")])
    database.table("sessions").insert(document("1", room=21))
    return table


def test_an_empty_database(database: TinyDB) -> None:
    assert database.tables() == set()
    assert database.table("reed a").all() == []
    assert len(database.table("reed a")) == 0
    assert database.table("reed a").get(doc_id=cast(int, "1")) is None


def test_insert_gives_the_id_back(database: TinyDB) -> None:
    assert database.table("a").insert(document("x9", v=1)) == "x9"
    assert database.table("a").insert_multiple([document("b", v=1), document("a", v=2)]) == ["b", "a"]
    assert [d.doc_id for d in database.table("a")] == ["x9", "b", "a"]


def test_reading(database: TinyDB, reed: LogTable) -> None:
    assert database.tables() == {"reed a", "sessions"}
    assert len(reed) == 3
    assert [(d.doc_id, d["kind"]) for d in reed] == [("1", "tied"), ("2", "scraped"), ("3", "played")]
    assert reed.get(doc_id=cast(int, "2")) == {"kind": "scraped", "facts": {"minutes": 10}}
    assert [d["kind"] for d in reed.get(doc_ids=["3", "1", "none"])] == ["tied", "played"]
    assert reed.contains(doc_id=cast(int, "3"))
    assert not reed.contains(doc_id=cast(int, "4"))


def test_queries(database: TinyDB, reed: LogTable) -> None:
    assert [d.doc_id for d in reed.search(where("facts").minutes > 5)] == ["2"]
    assert [d.doc_id for d in reed.search(where("seen").any(["heart"]))] == ["1"]
    assert reed.search(where("facts") == {"overall": 72.5})[0].doc_id == "1"
    assert reed.count(where("kind").exists()) == 3
    assert reed.get(where("kind") == "cracked") is None
    assert [d["room"] for d in database.table("sessions").search(where("room").test(lambda r: r > 20))] == [21]


def test_a_query_sees_what_was_inserted_since(reed: LogTable) -> None:
    played = where("kind") == "played"
    assert reed.count(played) == 1
    reed.insert(document("4", kind="played"))
    assert reed.count(played) == 2


def test_an_id_is_given_once_in_a_table(database: TinyDB, reed: LogTable) -> None:
    for attempt in (lambda: reed.insert(document("2", kind="wired")), lambda: reed.record("2", {"kind": "wired"})):
        with pytest.raises(ValueError):
            attempt()
    with pytest.raises(ValueError):
        reed.insert_multiple([document("4", kind="wired"), document("1", kind="wired")])
    assert [d["kind"] for d in reed] == ["tied", "scraped", "played"]


def test_what_a_query_gave_is_the_callers_own(reed: LogTable) -> None:
    found = reed.all()[0]
    found["kind"] = "changed"
    found.pop("facts")
    assert reed.all()[0] == {"kind": "tied", "facts": {"overall": 72.5}, "seen": ["tip", "heart"]}


def test_a_document_that_is_none_is_refused(reed: LogTable) -> None:
    with pytest.raises(DocumentError):
        reed.insert({"kind": "wired"})
    with pytest.raises(DocumentError):
        reed.insert_multiple([document("4"), {"kind": "wired"}])
    assert len(reed) == 3


def test_nothing_is_changed_or_removed(reed: LogTable) -> None:
    before = reed.all()
    for attempt in (
        lambda: reed.update({"kind": "wired"}),
        lambda: reed.update(lambda d: d.pop("kind"), doc_ids=[cast(int, "1")]),
        lambda: reed.update_multiple([({"kind": "wired"}, where("kind") == "tied")]),
        lambda: reed.upsert(document("1", kind="wired")),
        lambda: reed.remove(doc_ids=[cast(int, "1")]),
        reed.truncate,
    ):
        with pytest.raises(AppendOnlyError):
            attempt()
    assert reed.all() == before


@on_disk
@given(st.lists(st.tuples(names, names, documents), max_size=12))
def test_any_insertions_read_the_same(tmp_path_factory: pytest.TempPathFactory, inserted: list[Any]) -> None:
    path = tmp_path_factory.mktemp("log") / "a.log"
    with MemoryDatabase(storage=MemoryStorage) as memory, LogDatabase(path, disk=HastyDisk()) as log:
        for table, id, fields in inserted:
            outcomes = []
            for database in (memory, log):
                try:
                    outcomes.append(database.table(table).insert(Document(fields, id)))
                except ValueError:
                    outcomes.append(None)
            assert outcomes[0] == outcomes[1]
        held = {name: memory.table(name).all() for name in memory.tables()}
        assert {name: log.table(name).all() for name in log.tables()} == held
    with LogDatabase(path, read_only=True) as again:
        assert {name: again.table(name).all() for name in again.tables()} == held
        assert again.log.faults == ()
