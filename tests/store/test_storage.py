"""The storage: what is recorded is there, what is not recorded leaves no trace, and readers can follow."""

from __future__ import annotations

import errno
import json
import os
import stat
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from tests.store.making import (
    HEADER,
    A,
    B,
    C,
    D,
    FailingDisk,
    HastyDisk,
    Triple,
    content,
    entry,
    histories,
    on_disk,
    record,
    tables_at,
    tables_in,
    tables_of,
    unchained,
)

from reedkin.store.database import LogDatabase
from reedkin.store.errors import (
    AppendOnlyError,
    DocumentError,
    LogForeignError,
    LogMissingError,
    LogUnreadableError,
    LogUnwritableError,
    LogWriteError,
)
from reedkin.store.reading.faults import FaultKind
from reedkin.store.storage import AppendOnlyStorage, News

# Making and recording


def test_a_new_log_is_a_header_in_a_folder_of_its_own(tmp_path: Path) -> None:
    path = tmp_path / "music" / "reeds" / "bench.log"
    with AppendOnlyStorage(path) as storage:
        header = storage.header
        assert storage.names() == []
        assert storage.faults == ()
    assert header is not None
    assert json.loads(path.read_bytes()) | {"crc": ""} == {
        "crc": "",
        "format": "reedkin log",
        "version": 1,
        "log": header.log,
        "made": header.made,
    }
    assert sorted(p.name for p in path.parent.iterdir()) == ["bench.log", "bench.log.lock"]


def test_an_empty_file_becomes_a_log(path: Path) -> None:
    path.touch()
    with AppendOnlyStorage(path, read_only=True) as reader:
        assert reader.names() == []
    assert path.read_bytes() == b""
    with AppendOnlyStorage(path) as storage:
        assert storage.header is not None
        record(storage, A)
    assert tables_at(path) == tables_of([[A]])


@on_disk
@given(histories())
def test_any_history_reads_back(tmp_path_factory: pytest.TempPathFactory, history: list[list[Triple]]) -> None:
    path = tmp_path_factory.mktemp("log") / "bench.log"
    with AppendOnlyStorage(path, disk=HastyDisk()) as storage:
        for triples in history:
            record(storage, *triples)
        assert tables_in(storage) == tables_of(history)
    lines = path.read_bytes().splitlines(keepends=True)
    assert unchained(b"".join(lines[1:])) == b"".join(
        entry(*sorted(triples, key=lambda t: [u[0] for u in triples].index(t[0]))) for triples in history
    )
    assert tables_at(path) == tables_of(history)


def test_recording_adds_one_line_and_touches_nothing_before_it(path: Path) -> None:
    path.write_bytes(content([[A], [B]]))
    before = path.read_bytes()
    with LogDatabase(path) as database:
        database.table("reed a").record("3", {"kind": "played"})
    assert path.read_bytes() == before + entry(C, behind=before)


def test_what_is_recorded_was_written_once_and_then_fsynced(path: Path) -> None:
    disk = FailingDisk()
    with AppendOnlyStorage(path, disk=disk) as storage:
        disk.calls.clear()
        record(storage, A, B, C)
        assert disk.calls == ["write", "fsync"]


def test_recording_decodes_no_other_table(path: Path) -> None:
    """A sound line of another table that is no JSON stays unnoticed: it was never looked at."""
    path.write_bytes(content([[A], [B]]))
    with LogDatabase(path) as database:
        seen: list[str] = []
        documents = database.log.documents
        database.log.documents = lambda table: seen.append(table) or documents(table)  # type: ignore
        database.table("reed b").record("9", {})
        assert set(seen) == {"reed b"}


def test_questions_that_decode_nothing(path: Path) -> None:
    path.write_bytes(content([[A], [B], [C]]))
    with AppendOnlyStorage(path, read_only=True) as storage:
        assert storage.names() == ["reed a", "reed b"]
        assert [storage.count(name) for name in ("reed a", "reed b", "reed c")] == [2, 1, 0]
        assert json.loads(storage.text("reed a").splitlines()[0])["doc"] == A[2]
        assert storage.text("reed c") == b""
        assert [json.loads(line)["id"] for line in storage.text("reed a").splitlines()] == ["1", "3"]


def test_many_tables_can_be_read_in_turn(path: Path) -> None:
    history: list[list[Triple]] = [[(f"reed {i}", "1", {"n": i}), (f"reed {i}", "2", {"n": -i})] for i in range(200)]
    path.write_bytes(content(history))
    with AppendOnlyStorage(path) as storage:
        assert tables_in(storage) == tables_of(history)
        record(storage, ("reed 0", "3", {"n": 0}))
        assert list(storage.documents("reed 0")) == ["1", "2", "3"]
        assert tables_in(storage) == tables_of([*history, [("reed 0", "3", {"n": 0})]])


# Entries of several documents


def test_together_is_one_entry(path: Path) -> None:
    with LogDatabase(path) as database, database.log.together():
        database.table("reed a").record("1", {"x": 1})
        assert path.read_bytes().count(b"\n") == 1
        assert database.table("reed a").all() == [{"x": 1}]
        assert database.tables() == {"reed a"}
        assert database.log.count("reed a") == 1
        database.table("sessions").record("2", {"y": 2})
        with pytest.raises(ValueError):
            database.table("reed a").record("1", {"x": 3})
    assert [json.loads(line)["left"] for line in path.read_bytes().splitlines()[1:]] == [1, 0]
    assert tables_at(path) == {"reed a": {"1": {"x": 1}}, "sessions": {"2": {"y": 2}}}


def test_together_is_nothing_when_the_block_fails(path: Path) -> None:
    with LogDatabase(path) as database:
        database.table("reed a").record("1", {"x": 1})
        before = path.read_bytes()
        with pytest.raises(DocumentError):
            record(database.log, ("reed a", "2", {"x": 2}), ("sessions", "3", {"y": object()}))
        assert path.read_bytes() == before
        assert database.tables() == {"reed a"}
        assert database.table("reed a").all() == [{"x": 1}]
        database.table("reed a").record("2", {"x": 2})
    assert tables_at(path) == {"reed a": {"1": {"x": 1}, "2": {"x": 2}}}


def test_a_block_inside_another_belongs_to_it_or_is_undone_alone(path: Path) -> None:
    with AppendOnlyStorage(path) as storage:
        with storage.together():
            record(storage, A)
            record(storage, B)
            with pytest.raises(DocumentError):
                record(storage, C, ("reed a", "9", {"x": object()}))
        assert tables_in(storage) == tables_of([[A, B]])
    assert unchained(path.read_bytes()).endswith(entry(A, B))


def test_an_empty_block_writes_nothing(path: Path) -> None:
    with AppendOnlyStorage(path) as storage:
        before = path.read_bytes()
        with storage.together():
            pass
        storage.write({})
    assert path.read_bytes() == before


def test_other_threads_read_on_while_one_gathers(path: Path) -> None:
    with AppendOnlyStorage(path) as storage, ThreadPoolExecutor(1) as other:
        record(storage, A)
        with storage.together():
            record(storage, B)
            assert other.submit(tables_in, storage).result(timeout=20) == tables_of([[A]])
            waiting = other.submit(record, storage, C)
            record(storage, D)
            assert not waiting.done()
        waiting.result(timeout=20)
        assert tables_in(storage) == tables_of([[A], [B, D], [C]])
    assert unchained(path.read_bytes()).endswith(entry(A) + entry(B, D) + entry(C))


# Nothing is changed or removed


@pytest.mark.parametrize(
    "attempt",
    [
        lambda s: s.write({}),
        lambda s: s.write({"reed a": {}}),
        lambda s: s.write({"reed a": {"1": {"kind": "wired"}}, "reed b": s.documents("reed b")}),
        lambda s: s.read().pop("reed a"),
        lambda s: s.read().clear(),
    ],
)
def test_changing_or_removing_is_refused(path: Path, attempt: Callable[[AppendOnlyStorage], Any]) -> None:
    history: list[list[Triple]] = [[A], [("reed b", "2", {"kind": "tied", "deep": {"list": [1, [2]]}})]]
    path.write_bytes(content(history))
    before = path.read_bytes()
    with AppendOnlyStorage(path) as storage:
        with pytest.raises(AppendOnlyError):
            attempt(storage)
        assert tables_in(storage) == tables_of(history)
    assert path.read_bytes() == before


def test_the_callers_dictionary_stays_the_callers(path: Path) -> None:
    fields = {"facts": {"minutes": 10}}
    with LogDatabase(path) as database:
        database.table("reed a").record("1", fields)
        fields["facts"]["minutes"] = 99
        assert database.table("reed a").all() == [{"facts": {"minutes": 10}}]


@pytest.mark.parametrize("value", [float("nan"), float("inf"), (1, 2), object(), b"bytes", {1: 2}, "\ud800"])
def test_what_would_read_back_as_something_else_is_refused(path: Path, value: object) -> None:
    with LogDatabase(path) as database:
        before = path.read_bytes()
        with pytest.raises(DocumentError):
            database.table("reed a").record("1", {"value": value})
        assert path.read_bytes() == before
        assert database.tables() == set()


# A disk that fails


def test_short_writes_are_carried_on(path: Path) -> None:
    with AppendOnlyStorage(path, disk=FailingDisk(at_once=7)) as storage:
        record(storage, A, B)
        record(storage, C)
    assert unchained(path.read_bytes()).endswith(entry(A, B) + entry(C))
    assert tables_at(path) == tables_of([[A, B], [C]])


@pytest.mark.parametrize("room", [0, 1, 40, 100])
def test_a_full_disk_leaves_the_log_as_it_was(path: Path, room: int) -> None:
    disk = FailingDisk()
    with AppendOnlyStorage(path, disk=disk) as storage:
        record(storage, A)
        before = path.read_bytes()
        disk.room = room
        with pytest.raises(LogWriteError, match=r"Not recorded.*[Nn]o space"):
            record(storage, B, C)
        assert path.read_bytes() == before
        assert tables_in(storage) == tables_of([[A]])
        disk.mend()
        record(storage, B, C)
        assert tables_in(storage) == tables_of([[A], [B, C]])
    assert tables_at(path) == tables_of([[A], [B, C]])


def test_a_failed_fsync_is_not_recorded(path: Path) -> None:
    disk = FailingDisk()
    with AppendOnlyStorage(path, disk=disk) as storage:
        record(storage, A)
        before = path.read_bytes()
        disk.fail("fsync")
        with pytest.raises(LogWriteError):
            record(storage, B)
        assert path.read_bytes() == before
        assert tables_in(storage) == tables_of([[A]])


def test_when_nothing_can_be_taken_back_nothing_more_is_written(path: Path) -> None:
    disk = FailingDisk(at_once=30)
    with AppendOnlyStorage(path, disk=disk) as storage:
        record(storage, A)
        disk.room = 30
        disk.fail("truncate")
        with pytest.raises(LogWriteError, match="opened again"):
            record(storage, B)
        disk.mend()
        with pytest.raises(LogWriteError, match="opened again"):
            record(storage, C)
        assert tables_in(storage) == tables_of([[A]])
    with AppendOnlyStorage(path) as storage:
        assert [fault.kind for fault in storage.faults] == [FaultKind.TORN]
        record(storage, C)
    assert tables_at(path) == tables_of([[A], [C]])


def test_an_interruption_while_writing_leaves_the_log_as_it_was(path: Path) -> None:
    class Interrupted(FailingDisk):
        def fsync(self, fd: int) -> None:
            if "fsync" in self.failing:
                del self.failing["fsync"]
                raise KeyboardInterrupt
            super().fsync(fd)

    disk = Interrupted()
    with AppendOnlyStorage(path, disk=disk) as storage:
        before = path.read_bytes()
        disk.fail("fsync")
        with pytest.raises(KeyboardInterrupt):
            record(storage, A)
        assert path.read_bytes() == before
        record(storage, A)
    assert tables_at(path) == tables_of([[A]])


@pytest.mark.parametrize("call", ["open", "write", "fsync"])
def test_a_log_that_cannot_be_made_leaves_nothing(tmp_path: Path, call: str) -> None:
    disk = FailingDisk()
    disk.fail(call, errno.EACCES)
    with pytest.raises(LogUnwritableError):
        AppendOnlyStorage(tmp_path / "bench.log", disk=disk)
    assert [p.name for p in tmp_path.iterdir()] == ["bench.log.lock"]
    with AppendOnlyStorage(tmp_path / "bench.log") as storage:
        record(storage, A)


def test_a_log_that_may_not_be_written_says_so(path: Path) -> None:
    path.write_bytes(content([[A]]))
    disk = FailingDisk()
    disk.fail("open", errno.EACCES)
    with pytest.raises(LogUnwritableError, match="reading only"):
        AppendOnlyStorage(path, disk=disk)


def test_a_failing_disk_while_reading(path: Path) -> None:
    path.write_bytes(content([[A]]))
    disk = FailingDisk()
    disk.fail("read")
    with pytest.raises(LogUnreadableError):
        AppendOnlyStorage(path, read_only=True, disk=disk)


def test_a_torn_end_that_cannot_be_set_aside_stays(path: Path) -> None:
    path.write_bytes(content([[A]]) + entry(B)[:-5])
    before = path.read_bytes()
    with pytest.raises(LogWriteError):
        AppendOnlyStorage(path, disk=FailingDisk(room=10))
    assert path.read_bytes() == before
    assert not list(path.parent.glob("*torn*"))


@pytest.mark.parametrize("happening", ["removed", "replaced", "longer", "shorter", "folder"])
def test_a_log_that_another_program_touched_is_not_written(path: Path, happening: str) -> None:
    with AppendOnlyStorage(path) as storage:
        record(storage, A)
        if happening == "removed":
            path.unlink()
        elif happening == "replaced":
            other = path.with_name("other")
            other.write_bytes(path.read_bytes())
            other.replace(path)
        elif happening == "folder":
            path.parent.rename(path.parent.with_name("elsewhere"))
        else:
            os.truncate(path, path.stat().st_size + (1 if happening == "longer" else -1))
        with pytest.raises(LogWriteError, match="Not recorded"):
            record(storage, B)
        assert tables_in(storage) == tables_of([[A]])


# Opening what is not there


def test_reading_needs_a_log(path: Path) -> None:
    with pytest.raises(LogMissingError) as caught:
        AppendOnlyStorage(path, read_only=True)
    assert caught.value.exit_code == 2
    assert not path.exists()


@pytest.mark.parametrize("read_only", [True, False])
def test_a_folder_is_no_log(tmp_path: Path, read_only: bool) -> None:
    with pytest.raises(LogUnreadableError, match="folder"):
        AppendOnlyStorage(tmp_path, read_only=read_only)


@pytest.mark.parametrize("read_only", [True, False])
def test_a_pipe_is_no_log(path: Path, read_only: bool) -> None:
    os.mkfifo(path)
    with pytest.raises(LogUnreadableError):
        AppendOnlyStorage(path, read_only=read_only)
    assert stat.S_ISFIFO(path.stat().st_mode)


def test_a_reader_writes_nothing(path: Path) -> None:
    path.write_bytes(content([[A]]) + entry(B)[:-2])
    before = path.read_bytes()
    with LogDatabase(path, read_only=True) as database:
        with pytest.raises(LogWriteError, match="reading only"):
            database.table("reed a").record("9", {})
        database.log.acknowledge()
        assert [fault.kind for fault in database.log.faults] == [FaultKind.TORN]
    assert path.read_bytes() == before
    assert [p.name for p in path.parent.iterdir()] == [path.name]


def test_a_closed_log_is_not_written(path: Path) -> None:
    storage = AppendOnlyStorage(path)
    storage.close()
    storage.close()
    with pytest.raises(LogWriteError, match="closed"):
        record(storage, A)


# Following a log


def test_a_reader_follows_a_writer(path: Path) -> None:
    with AppendOnlyStorage(path) as writer, AppendOnlyStorage(path, read_only=True) as reader:
        assert not reader.refresh()
        record(writer, A)
        record(writer, B)
        assert reader.refresh() == News(frozenset({"reed a", "reed b"}))
        assert tables_in(reader) == tables_of([[A], [B]])
        record(writer, C)
        assert reader.refresh() == News(frozenset({"reed a"}))
        assert tables_in(reader) == tables_of([[A], [B], [C]])
        assert reader.refresh() == News()
        assert writer.refresh() == News()


def test_a_reader_sees_an_entry_only_when_it_is_whole(path: Path) -> None:
    path.write_bytes(content([[A]]))
    lines = entry(B, C)
    with AppendOnlyStorage(path, read_only=True) as reader, path.open("ab") as writer:
        for place in range(len(lines) - 2):
            writer.write(lines[place : place + 1])
            writer.flush()
            assert not reader.refresh()
            assert tables_in(reader) == tables_of([[A]])
            assert [fault.kind for fault in reader.faults] == [FaultKind.TORN]
        writer.write(lines[-2:-1])
        writer.flush()
        assert reader.refresh() == News(frozenset({"reed a", "reed b"}))
        assert tables_in(reader) == tables_of([[A], [B, C]])
        writer.write(lines[-1:])
        writer.flush()
        assert reader.refresh() == News()
        writer.write(entry(("reed c", "1", {})))
        writer.flush()
        reader.refresh()
        assert tables_in(reader) == tables_of([[A], [B, C], [("reed c", "1", {})]])
        assert reader.faults == ()
        assert reader.faults == ()


def test_a_reader_notices_another_file_in_its_place(path: Path) -> None:
    path.write_bytes(content([[A], [B]]))
    with AppendOnlyStorage(path, read_only=True) as reader:
        other = path.with_name("other")
        other.write_bytes(content([[A], [C]]))
        other.replace(path)
        assert reader.refresh() == News(frozenset({"reed a"}), reloaded=True)
        assert tables_in(reader) == tables_of([[A], [C]])


@pytest.mark.parametrize("then", [[[A]], [[A], [("reed b", "2", {"kind": "clipped", "minutes": 10})], [C]]])
def test_a_reader_notices_that_an_entry_was_taken_back(path: Path, then: list[list[Triple]]) -> None:
    path.write_bytes(content([[A], [B]]))
    with AppendOnlyStorage(path, read_only=True) as reader:
        with path.open("r+b") as writer:
            writer.truncate(len(content([[A]])))
            writer.seek(0)
            writer.write(content(then))
        assert reader.refresh().reloaded
        assert tables_in(reader) == tables_of(then)


def test_a_reader_keeps_what_it_read_when_another_programs_file_takes_the_place(path: Path) -> None:
    path.write_bytes(content([[A], [B]]))
    with AppendOnlyStorage(path, read_only=True) as reader:
        path.unlink()
        path.write_bytes(b"tag,kind\n1,tied\n")
        for _ in range(2):
            with pytest.raises(LogForeignError):
                reader.refresh()
            assert reader.documents("reed b") == {B[1]: B[2]}
        path.unlink()
        path.write_bytes(content([[A], [C]]))
        assert reader.refresh().reloaded
        assert tables_in(reader) == tables_of([[A], [C]])


def test_a_reader_is_told_when_the_log_is_gone(path: Path) -> None:
    path.write_bytes(HEADER)
    with AppendOnlyStorage(path, read_only=True) as reader:
        path.unlink()
        with pytest.raises(LogMissingError):
            reader.refresh()


def test_a_reader_of_an_empty_file_sees_it_become_a_log(path: Path) -> None:
    path.touch()
    with AppendOnlyStorage(path, read_only=True) as reader:
        path.write_bytes(content([[A]]))
        assert reader.refresh() == News(frozenset({"reed a"}))
        assert reader.header is not None
