"""One writer at a time; a writer that was killed locks nobody out and loses nothing that it called recorded."""

from __future__ import annotations

import errno
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from tests.store.making import record, tables_at, tables_in

import reedkin
from reedkin.domain.clock import Clock
from reedkin.store.disk import lock
from reedkin.store.disk.lock import LogLock
from reedkin.store.errors import LogLockedError, LogUnwritableError
from reedkin.store.log import Log
from reedkin.store.reading.faults import FaultKind
from reedkin.store.storage import AppendOnlyStorage

RECORDER = """
import sys
from reedkin.store.database import LogDatabase
start = int(sys.argv[2])
with LogDatabase(sys.argv[1]) as database:
    for number in range(start, start + 100_000):
        with database.log.together():
            for part in range(1 + number % 3):
                fields = {"number": number, "part": part, "note": "x" * (number * 37 % 900)}
                database.table(f"reed {(number + part) % 7}").record(f"{number}.{part}", fields)
        print(number, flush=True)
"""


def start_recorder(path: Path, number: int) -> subprocess.Popen[str]:
    """A process that records entry after entry and says each number once it is recorded."""
    source = str(Path(reedkin.__file__).parents[1])
    return subprocess.Popen(
        [sys.executable, "-c", RECORDER, str(path), str(number)],
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": source},
    )


def kill_after(process: subprocess.Popen[str], entries: int) -> list[int]:
    """Kill the process once it has said so many numbers; all that it managed to say."""
    assert process.stdout is not None
    said = [int(process.stdout.readline()) for _ in range(entries)]
    process.send_signal(signal.SIGKILL)
    said += [int(line) for line in process.stdout.read().splitlines(keepends=True) if line.endswith("\n")]
    process.wait()
    process.stdout.close()
    return said


def test_a_killed_writer_loses_nothing_that_it_called_recorded(tmp_path: Path) -> None:
    path = tmp_path / "bench.log"
    expected: set[int] = set()
    for entries in (1, 2, 17, 60):
        start = max(expected, default=-1) + 1
        said = kill_after(start_recorder(path, start), entries)
        assert said == list(range(start, start + len(said)))
        with AppendOnlyStorage(path) as storage:  # the lock went with the process
            assert all(fault.kind is FaultKind.TORN for fault in storage.faults)
            held: dict[int, int] = {}
            for documents in tables_in(storage).values():
                for document in documents.values():
                    held[document["number"]] = held.get(document["number"], 0) + 1
        assert all(parts == 1 + number % 3 for number, parts in held.items())
        expected |= set(said)
        # What was on its way when the kill came is either wholly there or not at all.
        assert expected <= set(held) <= expected | {start + len(said)}
        expected = set(held)


def test_a_second_writer_is_refused_and_may_read(tmp_path: Path) -> None:
    path = tmp_path / "bench.log"
    with AppendOnlyStorage(path) as first:
        record(first, ("reed a", "1", {}))
        with pytest.raises(LogLockedError, match="reading only"):
            AppendOnlyStorage(path)
        with AppendOnlyStorage(path, read_only=True) as reader:
            assert tables_in(reader) == {"reed a": {"1": {}}}
        with pytest.raises(LogLockedError):  # closing a reader does not open the lock
            AppendOnlyStorage(path)
        record(first, ("reed a", "2", {}))
    with AppendOnlyStorage(path) as second:
        record(second, ("reed a", "3", {}))
    assert list(tables_at(path)["reed a"]) == ["1", "2", "3"]


def test_a_writer_in_another_process_is_refused_until_it_ends(tmp_path: Path) -> None:
    path = tmp_path / "bench.log"
    process = start_recorder(path, 0)
    assert process.stdout is not None
    process.stdout.readline()
    with pytest.raises(LogLockedError):
        AppendOnlyStorage(path)
    kill_after(process, 1)
    assert path.with_name("bench.log.lock").exists()
    AppendOnlyStorage(path).close()


def test_another_name_of_the_file_has_the_same_lock(tmp_path: Path) -> None:
    path, link = tmp_path / "bench.log", tmp_path / "link.log"
    link.symlink_to(path)
    with AppendOnlyStorage(path), pytest.raises(LogLockedError):
        AppendOnlyStorage(link)


def test_a_log_that_could_not_be_opened_is_not_locked(tmp_path: Path) -> None:
    path = tmp_path / "bench.log"
    path.mkdir()
    for _ in range(2):
        with pytest.raises(Exception, match="folder"):
            AppendOnlyStorage(path)
    path.rmdir()
    AppendOnlyStorage(path).close()


def test_a_name_that_the_system_refuses_is_told(tmp_path: Path) -> None:
    with pytest.raises(LogUnwritableError):
        Log.open(tmp_path / ("x" * 300), Clock())


def test_a_folder_that_cannot_be_made(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(LogUnwritableError):
        AppendOnlyStorage(tmp_path / "file" / "bench.log")


@pytest.mark.parametrize(
    ("code", "said"), [(errno.EACCES, "another program"), (errno.ENOLCK, "knows no locks"), (errno.ENOSYS, "no locks")]
)
def test_a_lock_that_cannot_be_had_is_told_in_words(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, code: int, said: str
) -> None:
    def refuse(fd: int) -> None:
        raise OSError(code, os.strerror(code))

    monkeypatch.setattr(lock, "_lock", refuse)
    with pytest.raises((LogUnwritableError, LogLockedError), match=said):
        LogLock(tmp_path / "log.jsonl").take()


def test_a_folder_that_may_not_be_written_to_is_told(tmp_path: Path) -> None:
    with pytest.raises(LogUnwritableError, match="cannot be locked for writing"):
        LogLock(tmp_path / "nowhere" / "log.jsonl").take()


def test_the_lock_is_kept_until_it_was_released_as_often_as_taken(tmp_path: Path) -> None:
    one, other = LogLock(tmp_path / "log.jsonl"), LogLock(tmp_path / "log.jsonl")
    one.take()
    one.take()
    one.release()
    with pytest.raises(LogLockedError, match=f"process {os.getpid()} on "):
        other.take(wait=0.03)
    one.release()
    one.release()
    other.take()


def test_a_lock_file_that_was_removed_does_not_let_two_in(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    one, other = LogLock(tmp_path / "log.jsonl"), LogLock(tmp_path / "log.jsonl")
    taking = lock._lock

    def remove_and_take(fd: int) -> None:
        monkeypatch.setattr(lock, "_lock", taking)
        (tmp_path / "log.jsonl.lock").unlink()  # between opening it and locking it
        taking(fd)

    monkeypatch.setattr(lock, "_lock", remove_and_take)
    one.take(wait=1)
    with pytest.raises(LogLockedError):
        other.take()


@pytest.mark.skipif(not hasattr(os, "O_NOFOLLOW"), reason="this system cannot tell links when it opens a file")
def test_nothing_is_written_to_what_a_link_in_the_place_of_the_lock_leads_to(tmp_path: Path) -> None:
    letter, log = tmp_path / "letter", tmp_path / "log.jsonl"
    letter.write_text("Dear Ann," + " " * 300)
    before = letter.read_bytes()
    log.with_name("log.jsonl.lock").symlink_to(letter)
    with pytest.raises(LogUnwritableError, match=r"log\.jsonl\.lock is a link.* Remove it"):
        LogLock(log).take()
    assert letter.read_bytes() == before
