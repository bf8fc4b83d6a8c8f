"""`reedkin backups` and `reedkin restore`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from reedkin.cli.commands import restore
from reedkin.store.backups.backups import backups_of, contents, folder_of
from reedkin.store.disk import lock
from reedkin.store.errors import LogWriteError
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
    first, second, *_ = ran.lines
    assert first == "2026-03-12T100700+0100: made Thu 12 Mar 2026 10:07, 1 event in 1 kB, sound"
    assert "2 events" in second
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
    ran = run.done("restore", "--yes", "2026-03-13")
    assert "2 events" in ran.out
    assert "71.5" in run.done("stock").out
    (aside,) = run.path.parent.glob("log-until-*.jsonl")
    assert str(aside) in ran.out
    assert aside.read_bytes() == present
    assert run.done("show", "1", "--json").json["overall_mm"] == 71.5
    assert run.done("show", "1", "--json", log=aside).json["overall_mm"] == 71.1


def test_what_would_be_lost_is_told_and_nothing_is_put_back_unasked(run: CommandLine) -> None:
    run.enter("1 tie oboe 72")  # and a backup is made
    run.enter("1 clip .5", "1 scrape tip 10m", "lot 7 cane 10 mm", "1 crow C5 -20c")
    present = run.path.read_bytes()
    ran = run("restore")
    assert ran.code == 2
    assert "lacks 4 entries that the log holds, recorded from Thu 12 Mar 2026 10:08 to Thu 12 Mar 2026 10:11" in ran.err
    assert "1 more" in ran.err
    assert "1: scraped" in ran.err
    assert "1: crowed" in ran.err
    assert "clip" not in ran.err
    assert "--yes" in ran.err
    assert "--merge" in ran.err
    assert run.path.read_bytes() == present
    assert not list(run.path.parent.glob("log-until-*"))


@pytest.mark.parametrize(("answer", "length", "code"), [("", 71.5, 1), ("n", 71.5, 1), ("y", 72, 0), ("m", 71.5, 0)])
def test_at_a_terminal_it_is_asked(run: CommandLine, typed: Any, answer: str, length: float, code: int) -> None:
    run.enter("1 tie oboe 72", "1 clip .5")
    typed(answer)
    ran = run("restore")
    assert ran.code == code
    assert "1: clipped" in ran.err
    assert run.done("show", "1", "--json").json["overall_mm"] == length
    asides = list(run.path.parent.glob("log-until-*"))
    assert len(asides) == (not code)
    if answer == "y":
        assert f"reedkin merge {asides[0]}" in ran.out
        run.done("merge", str(asides[0]))
        assert run.done("show", "1", "--json").json["overall_mm"] == 71.5


def test_what_was_set_aside_is_taken_in_again_in_the_same_breath(run: CommandLine) -> None:
    run.enter("1 tie oboe 72", "1 clip .5", "1 clip .25")
    lines = run.path.read_bytes().splitlines(keepends=True)
    run.path.write_bytes(lines[0] + lines[1].replace(b"oboe", b"obow") + b"".join(lines[2:]))
    assert run("check").code == 3
    ran = run.done("restore", "--merge")
    assert "Taken in: 2 records" in ran.out
    assert run.done("show", "1", "--json").json["overall_mm"] == 71.25
    run.done("check")
    assert backups_of(run.path)[-1].path.read_bytes() == run.path.read_bytes()


def test_where_that_was_cut_off_the_next_one_says_what_is_still_set_aside(
    run: CommandLine, monkeypatch: pytest.MonkeyPatch
) -> None:
    run.enter("1 tie oboe 72", "1 clip .5", "1 clip .25")
    with monkeypatch.context() as patched:
        patched.setattr(restore, "unite", _cut_off)
        assert run("restore", "--merge").code
    assert run.done("show", "1", "--json").json["overall_mm"] == 72
    (aside,) = run.path.parent.glob("log-until-*")
    ran = run.done("restore", "--merge")
    assert f"{aside} is another version of this log and holds 2 records that it lacks" in ran.err
    run.done("merge", str(aside))
    assert run.done("show", "1", "--json").json["overall_mm"] == 71.25
    assert "another version" not in run.done("restore", "--merge").err


def _cut_off(*args: object, **options: object) -> None:
    raise LogWriteError("It was cut off.")


def test_where_nothing_would_be_lost_nothing_is_asked(run: CommandLine) -> None:
    run.enter("1 tie oboe 72")
    run.done("restore")
    run.path.unlink()
    run.done("restore")
    run.path.write_bytes(b"")
    run.done("restore")
    run.done("show", "1")


def test_a_log_that_cannot_be_read_is_asked_about_too(run: CommandLine) -> None:
    run.enter("1 tie oboe 72")
    run.path.write_bytes(b"another program's\n" * 3)
    ran = run("restore")
    assert ran.code == 2
    assert "cannot be told" in ran.err
    assert run.path.read_bytes() == b"another program's\n" * 3
    run.done("restore", "--yes")
    run.done("show", "1")
    run.path.write_bytes(b"another program's\n" * 3)
    ran = run("restore", "--merge")
    assert ran.code == 3
    assert "in its place all the same" in ran.err
    run.done("show", "1")


def test_what_records_much_makes_one_every_time(run: CommandLine, tmp_path: Path) -> None:
    run.enter("1-3 tie oboe 72")
    run.done("add", "1 tie eh 60", log=tmp_path / "other.jsonl")
    rows = tmp_path / "rows.csv"
    rows.write_text("tag,kind,at,instrument\n7,tied,2026-03-01T10:00:00+00:00,oboe\n", encoding="utf-8")
    for words in (("import", str(rows)), ("merge", str(tmp_path / "other.jsonl")), ("retag", "2", "22")):
        run.clock.forward(minutes=1)
        run.done(*words)
        assert backups_of(run.path)[-1].path.read_bytes() == run.path.read_bytes()


def test_after_enough_entries_from_the_shell_there_is_another(
    run: CommandLine, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("reedkin.store.log.MUCH", 4)
    run.enter("1 tie oboe 72", "1 scrape tip 5m", "1 scrape back 5m", "1 scrape rails 5m")
    assert [contents(backup).events for backup in backups_of(run.path)] == [1]
    run.enter("1 scrape heart 5m")
    assert [contents(backup).events for backup in backups_of(run.path)] == [1, 5]


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
        run.done("restore", "--yes", "2026-03-13")
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
    assert "cannot be read" in ran.lines[0]
    assert "1 fault" in ran.lines[2]
    assert run("restore").code == 3
    run.done("restore", "--seen", "--yes")


def test_no_backup_yet(run: CommandLine) -> None:
    assert "0 backups" in run.done("backups").out
    ran = run("restore")
    assert ran.code == 3
    assert "reedkin backups" in ran.err
