"""`reedkin backups` and `reedkin restore`."""

from __future__ import annotations

from pathlib import Path

import pytest

from reedkin.store import lock
from reedkin.store.backups import backups_of, folder_of
from reedkin.store.log import Log
from tests.cli.conftest import CommandLine


def three_days(run: CommandLine) -> None:
    for line in ("1 tie oboe 72", "1 clip .5", "1 clip .4"):
        run.enter(line)
        run.clock.forward(days=1)


def test_adding_makes_one_backup_a_day(run: CommandLine) -> None:
    three_days(run)
    run.enter("1 scrape tip 5m", "1 crow C5")
    assert [backup.made.day for backup in backups_of(run.path)] == [12, 13, 14, 15]
    ran = run.done("backups")
    assert "2026-03-12T100700+0100" in ran.out
    assert "sound" in ran.lines[1]
    assert str(folder_of(run.path)) in ran.out
    report = run.done("backups", "--json").json
    assert [(one["events"], one["fault"]) for one in report["backups"]] == [(1, None), (2, None), (3, None), (4, None)]
    assert report["folder"] == str(folder_of(run.path))


def test_importing_makes_one(run: CommandLine, tmp_path: Path) -> None:
    table = tmp_path / "old.csv"
    table.write_text("tag,kind,at,instrument,overall_mm\n1,tied,2026-01-05T10:00+01:00,oboe,72\n")
    run.done("import", "--dry-run", str(table))
    assert not run.path.exists()
    run.done("import", str(table))
    assert backups_of(run.path)[0].path.read_bytes() == run.path.read_bytes()


def test_a_backup_that_fails_is_told_and_the_entry_stands(run: CommandLine) -> None:
    run.path.parent.mkdir()
    folder_of(run.path).touch()
    ran = run("add", "1 tie oboe 72")
    assert ran.code == 0
    assert "tied" in ran.out
    assert f"{folder_of(run.path)} cannot be read" in ran.err
    assert "No backup was made" in ran.err
    assert "Nothing was changed" not in ran.err  # the entry was recorded
    assert "tied" in run.done("show", "1").out


def test_what_was_refused_makes_none(run: CommandLine) -> None:
    run.enter("1 tie oboe 72")
    run.clock.forward(days=1)
    assert run("add", "1 clip 500").code == 2
    assert len(backups_of(run.path)) == 1


def test_restoring(run: CommandLine) -> None:
    three_days(run)
    present = run.path.read_bytes()
    ran = run.done("restore", "2026-03-13")
    assert "2 events" in ran.out
    assert "71.5 mm" in run.done("stock").out
    (aside,) = run.path.parent.glob("log-until-*.jsonl")
    assert str(aside) in ran.out
    assert aside.read_bytes() == present
    assert run.done("show", "1", "--json").json["overall_mm"] == 71.5
    assert run.done("show", "1", "--json", log=aside).json["overall_mm"] == 71.1


def test_restoring_to_another_file(run: CommandLine, tmp_path: Path) -> None:
    three_days(run)
    present = run.path.read_bytes()
    run.done("restore", "--to", str(tmp_path / "copy.jsonl"))
    assert (tmp_path / "copy.jsonl").read_bytes() == backups_of(run.path)[-1].path.read_bytes()
    assert run.path.read_bytes() == present
    assert run("restore", "--to", str(tmp_path / "copy.jsonl")).code == 3


def test_a_log_in_use_is_not_restored(run: CommandLine, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(lock, "PATIENCE", 0.0)
    three_days(run)
    with run.log():  # a reader keeps nobody out
        run.done("restore", "2026-03-13")
    with Log(run.path, run.clock):
        ran = run("restore", "2026-03-13")
    assert ran.code == 3
    assert "is being written by" in ran.err


def test_a_damaged_backup_is_shown_and_needs_to_be_seen(run: CommandLine) -> None:
    three_days(run)
    latest = backups_of(run.path)[-1]
    latest.path.write_bytes(latest.path.read_bytes().replace(b"0.5", b"0.6"))
    first = backups_of(run.path)[0]
    first.path.write_bytes(b"hello")
    ran = run.done("backups")
    assert "cannot be read" in ran.lines[1]
    assert "1 fault" in ran.lines[3]
    assert run("restore").code == 3
    run.done("restore", "--seen")


def test_no_backup_yet(run: CommandLine) -> None:
    assert "0 backups" in run.done("backups").out
    ran = run("restore")
    assert ran.code == 3
    assert "reedkin backups" in ran.err
