"""Several programs record in one log: each holds the lock for an entry only, and first takes in
what others recorded."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from tests.store.making import HastyDisk, content, entry, record, tables_at, tables_in, tables_of

from reedkin.desk import Desk
from reedkin.domain.clock import FixedClock
from reedkin.errors import InputError
from reedkin.grammar.reading import read
from reedkin.store.disk.lock import PATIENCE
from reedkin.store.errors import LogDamagedError, LogLockedError, LogMovedOnError, LogWriteError
from reedkin.store.following import News
from reedkin.store.log import Log
from reedkin.store.reading.faults import FaultKind
from reedkin.store.storage import AppendOnlyStorage

NOW = FixedClock(datetime(2026, 11, 25, 10, 0, tzinfo=UTC))
A, B, C, D = (("reed a", "1", {}), ("reed b", "2", {}), ("reed a", "3", {"note": "x"}), ("reed d", "4", {}))


@pytest.fixture
def two(path: Path) -> Iterator[tuple[Log, Log]]:
    """A log that two programs have open; reed 1 is tied."""
    with Log(path, NOW, shared=True) as one:
        one.record(read("1 tie oboe 72", one.bench))
        with Log(path, NOW, shared=True) as other:
            yield one, other


def storage(path: Path) -> AppendOnlyStorage:
    return AppendOnlyStorage(path, shared=True, disk=HastyDisk())


def test_two_record_by_turns(path: Path) -> None:
    with storage(path) as one, storage(path) as other:
        record(one, A)
        record(other, B)
        record(other, C)
        record(one, D)
        assert tables_in(one) == tables_of([[A], [B], [C], [D]])
        assert other.refresh() == News(frozenset({"reed d"}))
        assert other.refresh() == one.refresh() == News()
        assert tables_in(other) == tables_in(one) == tables_at(path)
        assert one.faults == other.faults == ()
        assert one.length == other.length == path.stat().st_size


def test_eight_at_once_all_record(path: Path) -> None:
    def add(number: int) -> None:
        with Log(path, NOW, disk=HastyDisk(), wait=PATIENCE) as log:
            log.record(read(f"{number} tie oboe 72", log.bench))

    threads = [threading.Thread(target=add, args=(number,)) for number in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with Log(path, NOW, read_only=True) as log:
        assert sorted(reed.tag for reed in log.bench.reeds()) == list("01234567")


def test_a_program_that_is_open_keeps_a_command_waiting_only_while_it_writes(path: Path) -> None:
    with storage(path) as one:
        record(one, A)
        with AppendOnlyStorage(path) as command:
            record(command, B)
            with pytest.raises(LogLockedError):
                record(one, C)
        record(one, C)
    assert tables_at(path) == tables_of([[A], [B], [C]])


def test_what_was_planned_before_another_recorded_is_refused_once(two: tuple[Log, Log]) -> None:
    one, other = two
    reading = read("1 clip .5", one.bench)
    other.record(read("1 clip 1.5", other.bench))
    with pytest.raises(LogMovedOnError, match="another program"):
        one.record(reading)
    assert one.bench.find("1").now.overall_mm == 70.5  # type: ignore[union-attr]
    one.record(read("1 clip .5", one.bench))
    assert one.bench.find("1").now.overall_mm == 70  # type: ignore[union-attr]


def test_taking_back_never_strikes_what_nobody_has_seen(two: tuple[Log, Log]) -> None:
    one, other = two
    other.record(read("1 clip 1.5", other.bench))
    with pytest.raises(LogMovedOnError):
        one.take_back()
    assert one.take_back()[0].facts == {"clip_mm": 1.5}  # type: ignore[union-attr]


def test_at_the_desk_a_line_is_read_again(two: tuple[Log, Log]) -> None:
    one, other = two
    desk = Desk(one)
    clip, scrape, tie = desk.read("1 clip .5"), desk.read("1 scrape tip 5m"), desk.read("2 tie oboe 72")
    other.record(read("1 crow C5", other.bench))
    desk.record(clip)  # it says the same
    other.refresh()
    other.record(read("2 tie eh 60", other.bench))
    with pytest.raises(InputError, match="Another program"):  # the tag is taken by now
        desk.record(tie)
    other.record(read("1 retire cracked", other.bench))
    with pytest.raises(InputError, match="Another program"):
        desk.record(scrape)
    reed = one.bench.find("1")
    assert reed is not None
    assert [step.event.kind for step in reed.steps] == ["tied", "crowed", "clipped", "retired"]


def test_new_identifiers_sort_after_what_another_recorded(two: tuple[Log, Log]) -> None:
    one, other = two
    theirs = other.record(read("1 clip .1", other.bench))
    one.refresh()
    assert one.record(read("1 clip .2", one.bench))[0].entry > theirs[0].entry


def test_what_a_killed_writer_left_is_set_aside_first(path: Path) -> None:
    with storage(path) as one:
        record(one, A)
        with path.open("ab") as killed:
            killed.write(entry(B, C)[:-20])
        record(one, D)
        assert [fault.kind for fault in one.faults] == [FaultKind.TORN]
        assert one.faults[0].kept is not None
        assert one.faults[0].kept.read_bytes() == entry(B, C)[:-20]
        one.refresh()
        assert one.faults[0].kept is not None  # it is still told
    assert tables_at(path) == tables_of([[A], [D]])


def test_damage_that_shows_later_must_be_seen_as_well(path: Path) -> None:
    with storage(path) as one:
        record(one, A)
        with path.open("ab") as vandal:
            vandal.write(b"hello\n")
        with pytest.raises(LogDamagedError):
            record(one, D)
        one.acknowledge()
        record(one, D)
    assert tables_at(path) == tables_of([[A], [D]])


@pytest.mark.parametrize("replaced", [True, False])
def test_a_log_that_lost_entries_while_open_says_how_many(path: Path, replaced: bool) -> None:
    path.write_bytes(content([[A], [B], [C]]))
    with storage(path) as one:
        if replaced:
            new = path.with_name("new")
            new.write_bytes(content([[A]]))
            new.replace(path)
        else:
            path.write_bytes(content([[A]]))
        with pytest.raises(LogDamagedError):
            record(one, D)
        assert [fault.kind for fault in one.faults] == [FaultKind.SHORT]
        assert "lacks 2 entries" in one.faults[0].message
        one.acknowledge()
        record(one, D)
    assert tables_at(path) == tables_of([[A], [D]])


def test_a_log_that_vanished_while_open_is_told(path: Path) -> None:
    with storage(path) as one:
        record(one, A)
        kept = path.read_bytes()
        path.unlink()
        with pytest.raises(LogWriteError, match="no longer there"):
            record(one, B)
        assert not path.exists()
        path.write_bytes(kept)
        record(one, B)
    assert tables_at(path) == tables_of([[A], [B]])
