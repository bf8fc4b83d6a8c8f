"""A log that another program cut short or emptied: its newest backup knows better."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest
from tests.store.making import Triple, content

from reedkin.cli.main import main
from reedkin.domain.clock import FixedClock
from reedkin.grammar.reading import read
from reedkin.store.backups.backups import backups_of, make_backup
from reedkin.store.backups.shortfall import entries_lacking
from reedkin.store.errors import BackupError, LogMissingError
from reedkin.store.log import Log
from reedkin.store.mending.rescue import rescue, take_in_missing
from reedkin.store.reading.faults import FaultKind
from reedkin.store.reading.lines import SEAL_BYTES
from reedkin.store.reading.tables import Shelf
from reedkin.store.scan import scan

NOW = FixedClock(datetime(2026, 11, 25, 10, 0, tzinfo=UTC))
ENTRIES = ("1 tie oboe 72", "1 clip .5", "1 scrape tip", "1 clip .2")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "bench" / "log.jsonl"
    with Log(path, NOW) as log:
        for line in ENTRIES:
            log.record(read(line, log.bench))
        log.back_up()
    return path


def lines_kept(count: int) -> Callable[[bytes], bytes]:
    return lambda raw: b"".join(raw.splitlines(keepends=True)[:count])


@pytest.mark.parametrize(("kept", "missing"), [(0, 4), (1, 4), (2, 3), (4, 1)])
def test_it_is_told_and_nothing_is_written(
    path: Path, kept: int, missing: int, capsys: pytest.CaptureFixture[str]
) -> None:
    path.write_bytes(lines_kept(kept)(path.read_bytes()))
    cut = path.read_bytes()
    assert main(["--log", str(path), "check"], NOW) == 3
    told = capsys.readouterr().out
    assert f"lacks {missing} entr{'y' if missing == 1 else 'ies'} " in told
    assert "reedkin restore" in told
    assert "reedkin merge" in told
    assert main(["--log", str(path), "add", "2", "tie", "eh", "60"], NOW) == 3
    assert path.read_bytes() == cut
    with Log(path, NOW, read_only=True) as log:
        assert [(fault.kind, fault.line) for fault in log.faults] == [(FaultKind.SHORT, kept + 1)]


def test_a_backup_of_a_day_to_come_is_not_the_newest(path: Path) -> None:
    first = path.read_bytes()
    ahead = path.with_name(f"{path.name}.backups") / "2031-01-01T090000+0000.jsonl"
    ahead.write_bytes(first)  # the clock was years ahead once
    with Log(path, NOW) as log:
        log.record(read("1 clip .1", log.bench))
        log.back_up()
    path.write_bytes(first)
    with Log(path, NOW, read_only=True) as log:
        assert [fault.kind for fault in log.faults] == [FaultKind.SHORT]
    with Log(path, FixedClock(datetime(1970, 1, 2, tzinfo=UTC)), read_only=True) as log:
        assert not log.faults  # all are of days to come: the latest of them counts


def test_it_can_be_put_back(path: Path) -> None:
    whole = path.read_bytes()
    path.write_bytes(lines_kept(2)(whole))
    assert main(["--log", str(path), "restore", backups_of(path)[-1].name], NOW) == 0
    assert path.read_bytes() == whole
    assert main(["--log", str(path), "check"], NOW) == 0


def test_it_can_be_gone_on_from(path: Path) -> None:
    path.write_bytes(lines_kept(2)(path.read_bytes()))
    assert main(["--log", str(path), "add", "--seen", "2", "tie", "eh", "60"], NOW) == 0
    assert main(["--log", str(path), "add", "2", "clip", ".5"], NOW) == 0  # it was seen, and is not asked about again
    assert main(["--log", str(path), "check"], NOW) == 0


def test_a_log_that_goes_on_from_its_backup_is_sound(path: Path) -> None:
    with Log(path, NOW) as log:
        log.record(read("2 tie eh 60", log.bench))
        assert not log.faults
    other = path.read_bytes().replace(b"\n", b"\r\n")  # some programs change every line's end
    path.write_bytes(other)
    with Log(path, NOW) as log:
        assert not log.faults


def test_a_backup_of_another_log_says_nothing(path: Path, tmp_path: Path) -> None:
    with Log(tmp_path / "other.jsonl", NOW) as log:
        log.record(read("5 tie eh 60", log.bench))
    path.write_bytes((tmp_path / "other.jsonl").read_bytes())
    with Log(path, NOW) as log:
        assert not log.faults


def test_an_unreadable_backup_is_told_and_the_one_before_asked(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    newest = backups_of(path)[-1].path.with_name("2026-11-26T100000+0000.jsonl")
    newest.write_bytes(b"hello\n" * 2000)
    path.write_bytes(lines_kept(2)(path.read_bytes()))
    assert main(["--log", str(path), "check"], NOW) == 3
    told = capsys.readouterr().out
    assert "2026-11-26T100000+0000 cannot be read" in told
    assert "lacks 3 entries" in told


def test_what_is_missing_is_taken_in_from_the_newest_backup(path: Path) -> None:
    path.write_bytes(lines_kept(2)(path.read_bytes()))
    with Log(path, NOW, shared=True) as log:
        log.acknowledge()
        log.record(read("2 tie eh 60", log.bench))
        united = take_in_missing(log)
        assert (len(united.plan.new), united.conflicts) == (3, ())
        reed = log.bench.find("1")
        assert reed is not None
        assert [step.event.kind for step in reed.steps] == ["tied", "clipped", "scraped", "clipped"]
    assert main(["--log", str(path), "check"], NOW) == 0


def test_an_entry_that_stands_elsewhere_in_the_log_is_not_missing() -> None:
    def shelf(*entries: Triple) -> Shelf:
        found = Shelf(lambda *_: None)
        for line, (table, _, _) in zip(content([[one] for one in entries]).splitlines()[1:], entries, strict=True):
            found.add(table, line[SEAL_BYTES:])
        return found

    first: Triple = ("reed a", "1", {"kind": "tied", "entry": "e1", "recorded": "2026-11-25"})
    second: Triple = ("reed a", "2", {"kind": "clipped", "entry": "e2", "recorded": "2026-11-26"})
    assert entries_lacking(shelf(first, second), shelf(second, first)) == {}
    assert entries_lacking(shelf(first, second), shelf(first)) == {"e2": "2026-11-26"}


@pytest.mark.parametrize("gone", [True, False])
def test_what_memory_and_backup_hold_is_written_to_a_file(path: Path, gone: bool) -> None:
    with Log(path, NOW, shared=True) as log:
        log.record(read("2 tie eh 60", log.bench))  # no backup has this one
        before = {table: dict(log.documents(table)) for table in log.tables}
        if gone:
            path.unlink()
            with pytest.raises(LogMissingError):
                log.refresh()
        else:
            path.write_bytes(lines_kept(2)(path.read_bytes()))
            assert log.refresh()
        to, count = rescue(log, NOW.now())
    assert to.parent == path.parent
    assert count == 5
    assert scan(to).documents == before
    assert not scan(to).faults


def test_a_backup_of_a_log_that_was_cut_does_not_call_it_unharmed(path: Path) -> None:
    path.write_bytes(lines_kept(2)(path.read_bytes()))
    with pytest.raises(BackupError) as told:
        make_backup(path, 10_000, NOW.now())
    assert "unharmed" not in str(told.value)
