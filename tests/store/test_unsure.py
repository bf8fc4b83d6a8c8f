"""A disk that takes an entry, does not vouch for it, and does not give it back: perhaps it was recorded."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest
from tests.store.making import A, B, C, FailingDisk, HastyDisk, record, tables_at, tables_in, tables_of

from reedkin.store.errors import LogUnsureError, LogUnwritableError, LogWriteError
from reedkin.store.reading.faults import FaultKind
from reedkin.store.scan import scan
from reedkin.store.storage import AppendOnlyStorage


@pytest.fixture
def unsure(path: Path) -> Path:
    """A log whose last entry is perhaps recorded."""
    disk = FailingDisk()
    with AppendOnlyStorage(path, disk=disk) as storage:
        record(storage, A)
        disk.fail("fsync")
        disk.fail("truncate", errno.EROFS)
        with pytest.raises(LogUnsureError, match=r"^Perhaps recorded: "):
            record(storage, B)
        disk.mend()
        with pytest.raises(LogWriteError, match=r"^Not recorded"):
            record(storage, C)
        assert tables_in(storage) == tables_of([[A]])
    return path


def test_it_is_settled_at_the_next_start(unsure: Path) -> None:
    with AppendOnlyStorage(unsure, disk=HastyDisk()) as storage:
        (fault,) = storage.faults
        assert fault.kind is FaultKind.UNSURE
        assert "it was, and counts" in fault.message
        assert not fault.blocks
        record(storage, C)
    with AppendOnlyStorage(unsure, disk=HastyDisk()) as storage:
        assert storage.faults == ()
    assert tables_at(unsure) == tables_of([[A], [B], [C]])


def test_what_the_disk_lost_after_all_is_told_as_not_recorded(unsure: Path) -> None:
    raw = unsure.read_bytes()
    unsure.write_bytes(raw[: raw.index(b"scraped")])
    with AppendOnlyStorage(unsure, disk=HastyDisk()) as storage:
        told = {fault.kind: fault.message for fault in storage.faults}
        assert set(told) == {FaultKind.TORN, FaultKind.UNSURE}
        assert "it was not; enter it again" in told[FaultKind.UNSURE]
        record(storage, B)
    assert tables_at(unsure) == tables_of([[A], [B]])


def test_it_stays_unsure_while_the_disk_vouches_for_nothing(unsure: Path) -> None:
    disk = FailingDisk()
    disk.fail("fsync")
    with pytest.raises(LogUnwritableError, match="does not vouch"):
        AppendOnlyStorage(unsure, disk=disk)
    with AppendOnlyStorage(unsure, disk=HastyDisk()) as storage:
        assert [fault.kind for fault in storage.faults] == [FaultKind.UNSURE]


def test_a_reader_settles_nothing(unsure: Path) -> None:
    assert scan(unsure).faults == ()
    with AppendOnlyStorage(unsure, disk=HastyDisk()) as storage:
        assert [fault.kind for fault in storage.faults] == [FaultKind.UNSURE]


def test_beside_other_programs_it_is_shown_as_soon_as_it_is_read_and_nothing_more_is_written(path: Path) -> None:
    disk = FailingDisk()
    with AppendOnlyStorage(path, shared=True, disk=disk) as storage:
        disk.fail("fsync")
        disk.fail("truncate")
        with pytest.raises(LogUnsureError):
            record(storage, A)
        disk.mend()
        storage.refresh()
        assert tables_in(storage) == tables_of([[A]])
        with pytest.raises(LogWriteError):
            record(storage, B)


@pytest.mark.skipif(not hasattr(os, "O_NOFOLLOW"), reason="this system cannot tell links when it opens a file")
def test_a_link_in_the_place_of_the_mark_is_not_written_through(path: Path) -> None:
    letter, mark = path.with_name("letter"), path.with_name("bench.jsonl.unsure")
    letter.write_text("Dear Ann, the new reeds are on their way.")
    mark.symlink_to(letter)
    disk = FailingDisk()
    with AppendOnlyStorage(path, disk=disk) as storage:
        disk.fail("fsync")
        disk.fail("truncate")
        with pytest.raises(LogUnsureError):
            record(storage, A)
    assert letter.read_text() == "Dear Ann, the new reeds are on their way."
    assert mark.is_symlink()
    with AppendOnlyStorage(path, disk=HastyDisk()) as storage:
        assert tables_in(storage) == tables_of([[A]])
        assert storage.faults == ()


def test_half_an_entry_was_surely_not_recorded(path: Path) -> None:
    disk = FailingDisk(at_once=30)
    with AppendOnlyStorage(path, disk=disk) as storage:
        record(storage, A)
        disk.room = 30
        disk.fail("truncate")
        with pytest.raises(LogWriteError, match=r"^Not recorded") as refused:
            record(storage, B)
        assert not isinstance(refused.value, LogUnsureError)
    with AppendOnlyStorage(path, disk=HastyDisk()) as storage:
        assert [fault.kind for fault in storage.faults] == [FaultKind.TORN]
