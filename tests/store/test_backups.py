"""Backups: made by themselves, the same bytes as the log, thinned out by the rule, and put back without loss."""

from __future__ import annotations

import errno
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.store.making import FailingDisk, HastyDisk, content, entry

from reedkin.domain.clock import FixedClock
from reedkin.grammar.reading import read
from reedkin.store.backups.backups import (
    Backup,
    backups_of,
    contents,
    folder_of,
    make_backup,
    stamp,
    worth_keeping,
)
from reedkin.store.backups.restoring import choose, copy_out, restore
from reedkin.store.errors import BackupError, LogLockedError
from reedkin.store.log import Log

NOON = datetime(2026, 11, 25, 12, 0, tzinfo=timezone(timedelta(hours=1)))


@pytest.fixture
def clock() -> FixedClock:
    return FixedClock(NOON)


def record(log: Log, line: str) -> None:
    reading = read(line, log.bench)
    assert reading.ready, reading.errors
    log.record(reading)


def copies(path: Path) -> list[bytes]:
    return [backup.path.read_bytes() for backup in backups_of(path)]


# When one is made


def test_a_backup_is_the_log_as_it_was(path: Path, clock: FixedClock) -> None:
    with Log(path, clock) as log:
        record(log, "1-3 tie eh 60")
        backup = log.back_up()
        assert backup is not None
        assert backup.path.parent == folder_of(path) == path.with_name("bench.jsonl.backups")
        assert backup.name == "2026-11-25T120000+0100"
        assert backup.path.read_bytes() == path.read_bytes()
        assert contents(backup).events == 3
        assert log.back_up() is None  # nothing new since
        record(log, "1 clip 1")
        clock.forward(hours=1)
        assert log.back_up() is not None
        assert copies(path) == [backup.path.read_bytes(), path.read_bytes()]


def test_one_a_day_is_enough_after_a_command(path: Path, clock: FixedClock) -> None:
    with Log(path, clock) as log:
        record(log, "1 tie eh 60")
        assert log.back_up(daily=True) is not None
        clock.forward(hours=9)
        record(log, "1 clip 1")
        assert log.back_up(daily=True) is None
        clock.forward(hours=9)
        assert log.back_up(daily=True) is not None
        clock.forward(hours=24)
        assert log.back_up(daily=True) is None  # nothing new


def test_two_backups_of_one_second_have_two_names(path: Path, clock: FixedClock) -> None:
    with Log(path, clock) as log:
        for line in ("1 tie eh 60", "1 clip 1"):
            record(log, line)
            log.back_up()
    assert [contents(backup).events for backup in backups_of(path)] == [1, 2]


def test_a_reader_makes_none(path: Path, clock: FixedClock) -> None:
    with Log(path, clock) as log:
        record(log, "1 tie eh 60")
        with Log(path, clock, read_only=True) as reader:
            assert reader.back_up() is None


def test_none_is_made_of_damage_that_nobody_has_seen(path: Path, clock: FixedClock) -> None:
    path.write_bytes(content([[("reed a", "1", {})]]) + b"rubbish\n" + entry(("reed a", "2", {})) + b"torn")
    with Log(path, clock) as log:
        assert log.back_up() is None
        log.acknowledge()
        backup = log.back_up()
        assert backup is not None
        assert backup.path.read_bytes() == path.read_bytes()
        assert not contents(backup).sound


def test_a_torn_end_is_not_copied(path: Path) -> None:
    whole = content([[("reed a", "1", {})]])
    path.write_bytes(whole + b"torn")
    backup = make_backup(path, len(whole), NOON)
    assert backup.path.read_bytes() == whole


# The rule


def day(text: str, hour: int = 9) -> datetime:
    return datetime.fromisoformat(text).replace(hour=hour, tzinfo=UTC)


def test_the_rule_by_hand() -> None:
    """Every day at nine and at six for a year and a half, up to Wednesday 25 November 2026 at six."""
    end = day("2026-11-25", 18)
    times = [end - timedelta(days=n, hours=h) for n in range(550) for h in (0, 9)]
    days = ["2026-11-25", "2026-11-24", "2026-11-23", "2026-11-22", "2026-11-21", "2026-11-20", "2026-11-19"]
    mondays = ["2026-11-23", "2026-11-16", "2026-11-09", "2026-11-02"]
    months = [f"2026-{month:02}-01" for month in range(1, 12)] + ["2025-12-01"]
    assert worth_keeping(times) == {end, *map(day, days), *map(day, mondays), *map(day, months)}


times = st.lists(
    st.datetimes(datetime(2020, 1, 1), datetime(2032, 1, 1), timezones=st.just(UTC)), min_size=1, max_size=80
)


@given(times)
def test_the_rule_keeps_the_same_whether_it_is_applied_daily_or_once(made: list[datetime]) -> None:
    kept: set[datetime] = set()
    for time in sorted(made):
        kept = worth_keeping({*kept, time})
        assert time in kept
        assert len(kept) <= 7 + 4 + 12 + 1
    assert kept == worth_keeping(made)


def test_older_backups_are_thinned_out(path: Path, clock: FixedClock) -> None:
    with Log(path, clock, disk=HastyDisk()) as log:
        record(log, "1 tie eh 60")
        made = []
        for _ in range(100):
            record(log, "1 scrape tip 1m")
            backup = log.back_up()
            assert backup is not None
            made.append(backup.made)
            clock.forward(hours=7)
        assert {backup.made for backup in backups_of(path)} == worth_keeping(made)
        assert log.bench.find("1") is not None


def test_what_the_latest_lacks_is_never_thinned_out(path: Path, clock: FixedClock) -> None:
    """A log that was exchanged, or in which a byte turned over, must not eat up the backups from before."""
    with Log(path, clock) as log:
        record(log, "1 tie eh 60")
        first = log.back_up()
    assert first is not None
    whole = path.read_bytes()
    path.write_bytes(content([[("reed b", "1", {})]]))
    for size in range(150):
        path.write_bytes(path.read_bytes() + entry(("reed b", f"{size + 2}", {})))
        clock.forward(days=1)
        make_backup(path, path.stat().st_size, clock.now(), HastyDisk())
    assert backups_of(path)[0] == first
    assert first.path.read_bytes() == whole
    assert len(backups_of(path)) <= 1 + 7 + 4 + 12 + 1


def test_a_backup_made_under_a_wrong_clock_is_kept(path: Path) -> None:
    for number in range(14):
        path.write_bytes(content([[("reed a", str(n), {})] for n in range(number + 1)]))
        make_backup(path, path.stat().st_size, day("2025-01-15") + timedelta(days=31 * number))
    path.write_bytes(path.read_bytes() + entry(("reed a", "99", {})))
    backup = make_backup(path, path.stat().st_size, day("1970-01-01"))
    assert backup.path.exists()


# When it fails


@pytest.mark.parametrize("call", ["open", "write", "fsync", "read"])
def test_a_failing_disk_is_told_and_nothing_half_made_stays(path: Path, clock: FixedClock, call: str) -> None:
    disk = FailingDisk()
    with Log(path, clock, disk=disk) as log:
        record(log, "1 tie eh 60")
        before = path.read_bytes()
        disk.fail(call, errno.ENOSPC)
        with pytest.raises(BackupError, match=r"No backup.*unharmed"):
            log.back_up()
        disk.mend()
        assert not list(folder_of(path).iterdir()) if folder_of(path).exists() else True
        assert path.read_bytes() == before
        assert log.back_up() is not None


def test_a_copy_that_reads_back_otherwise_is_thrown_away(path: Path, clock: FixedClock) -> None:
    class Forgetful(FailingDisk):
        def write(self, fd: int, data: bytes | memoryview) -> int:
            return super().write(fd, bytes(data).replace(b"60", b"61"))

    with Log(path, clock) as log:
        record(log, "1 tie eh 60")
        size = path.stat().st_size
    with pytest.raises(BackupError, match="read back"):
        make_backup(path, size, NOON, Forgetful())
    assert backups_of(path) == []


def test_a_file_in_the_place_of_the_folder_is_told(path: Path, clock: FixedClock) -> None:
    with Log(path, clock) as log:
        record(log, "1 tie eh 60")
        folder_of(path).touch()
        with pytest.raises(BackupError):
            log.back_up()


def test_what_else_lies_in_the_folder_hides_no_copy(path: Path, clock: FixedClock) -> None:
    with Log(path, clock) as log:
        record(log, "1 tie eh 60")
        made = log.back_up()
    (folder_of(path) / "2026-13-45T120000+0100.jsonl").touch()
    (folder_of(path) / "2026-11-24T120000+0100.jsonl").symlink_to("gone")
    assert backups_of(path) == [made]


def test_what_a_killed_copying_left_is_cleared(path: Path) -> None:
    path.write_bytes(content([[("reed a", "1", {})]]))
    folder_of(path).mkdir()
    (folder_of(path) / ".2026-11-24T120000+0100.jsonl.1234.new").write_bytes(b"half")
    (folder_of(path) / "hers.txt").write_bytes(b"the user's own")
    make_backup(path, path.stat().st_size, NOON)
    assert sorted(p.name for p in folder_of(path).iterdir()) == [f"{stamp(NOON)}.jsonl", "hers.txt"]


# Putting one back


def three_days(path: Path, clock: FixedClock) -> list[Backup]:
    with Log(path, clock) as log:
        record(log, "1 tie eh 60")
        log.back_up()
        for line in ("1 clip 1", "1 clip .5"):
            clock.forward(days=1)
            record(log, line)
            log.back_up()
        record(log, "1 scrape tip 10m")
    return backups_of(path)


def test_restore_puts_back_what_was_and_keeps_what_is(path: Path, clock: FixedClock) -> None:
    backups = three_days(path, clock)
    present = path.read_bytes()
    done = restore(path, choose(path, "2026-11-26"), clock.now())
    assert path.read_bytes() == backups[1].path.read_bytes()
    assert done.events == 2
    assert done.aside is not None
    assert done.aside.name == "bench-until-2026-11-27T120000+0100.jsonl"
    assert done.aside.read_bytes() == present
    with Log(path, clock) as log:
        record(log, "1 crow C5")
    again = restore(path, choose(path, None), clock.now())
    assert path.read_bytes() == backups[2].path.read_bytes()
    assert again.aside != done.aside
    assert done.aside.read_bytes() == present


def test_restore_clears_what_a_killed_one_left_and_nothing_of_another_log(path: Path, clock: FixedClock) -> None:
    three_days(path, clock)
    mine = [f"..{path.name}.restored.1234.new", ".bench-until-2026-11-27T110000+0100.jsonl.1234.new"]
    others = [".bench2-until-2026-11-27T110000+0100.jsonl.1234.new", ".bench-until-now.txt.1234.new", ".hers.new"]
    for name in (*mine, *others):
        (path.parent / name).write_bytes(b"half")
    restore(path, choose(path, None), clock.now())
    assert {one.name for one in path.parent.iterdir() if one.suffix == ".new"} == set(others)


def test_restore_where_the_log_is_gone(path: Path, clock: FixedClock) -> None:
    backups = three_days(path, clock)
    path.unlink()
    assert restore(path, backups[-1], clock.now()).aside is None
    assert path.read_bytes() == backups[-1].path.read_bytes()


def test_restore_elsewhere_writes_over_nothing(path: Path, clock: FixedClock, tmp_path: Path) -> None:
    backups = three_days(path, clock)
    present = path.read_bytes()
    copy_out(backups[0], tmp_path / "old.jsonl")
    assert (tmp_path / "old.jsonl").read_bytes() == backups[0].path.read_bytes()
    with pytest.raises(BackupError, match="already"):
        copy_out(backups[1], tmp_path / "old.jsonl")
    assert (tmp_path / "old.jsonl").read_bytes() == backups[0].path.read_bytes()
    assert path.read_bytes() == present


def test_a_log_in_use_is_not_restored(path: Path, clock: FixedClock) -> None:
    backups = three_days(path, clock)
    with Log(path, clock), pytest.raises(LogLockedError):
        restore(path, backups[0], clock.now())


@pytest.mark.parametrize("call", ["open", "write", "fsync"])
def test_a_restore_that_fails_changes_nothing(path: Path, clock: FixedClock, call: str) -> None:
    backups = three_days(path, clock)
    before = {p: p.read_bytes() for p in path.parent.glob("*.jsonl")}
    disk = FailingDisk()
    disk.fail(call, errno.EIO)
    with pytest.raises(BackupError, match="unharmed"):
        restore(path, backups[0], clock.now(), disk=disk)
    assert {p: p.read_bytes() for p in path.parent.glob("*.jsonl")} == before


@pytest.mark.parametrize("wrong", [b"clapped", b""])
def test_a_backup_that_reads_back_otherwise_is_not_put_in_place(path: Path, clock: FixedClock, wrong: bytes) -> None:
    class Forgetful(FailingDisk):
        def write(self, fd: int, data: bytes | memoryview) -> int:
            super().write(fd, bytes(data).replace(b"clipped", wrong))
            return len(data)

    backups = three_days(path, clock)
    before = {p: p.read_bytes() for p in path.parent.glob("*.jsonl")}
    with pytest.raises(BackupError, match="did not read back"):
        restore(path, backups[2], clock.now(), disk=Forgetful())
    assert {p: p.read_bytes() for p in path.parent.glob("*.jsonl")} == before


def test_a_damaged_backup_is_not_put_back_unseen(path: Path, clock: FixedClock) -> None:
    backups = three_days(path, clock)
    present = path.read_bytes()
    backups[2].path.write_bytes(backups[2].path.read_bytes().replace(b"clipped", b"clopped"))
    latest = choose(path, None)
    with pytest.raises(BackupError, match="--seen"):
        restore(path, latest, clock.now())
    assert path.read_bytes() == present
    restore(path, latest, clock.now(), seen=True)
    assert path.read_bytes() == latest.path.read_bytes()


def test_a_backup_that_is_not_there_is_told(path: Path) -> None:
    with pytest.raises(BackupError, match="reedkin backups"):
        choose(path, None)
