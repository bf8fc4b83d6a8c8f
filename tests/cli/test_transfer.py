"""`reedkin import` and `reedkin export`."""

from __future__ import annotations

import csv
import io
import json
import os
from collections.abc import Callable
from pathlib import Path

import pytest

from reedkin.cli.progress import Progress
from tests.cli.conftest import CommandLine
from tests.store.making import FailingDisk

SHEET = """\
tag,kind,at,instrument,overall_mm,tube,lot,minutes,clip_mm,where,score,setting,cause,note
12,tied,2026-01-05T10:00:00+01:00,english horn,60,T4,7,,,,,,,
12,scraped,2026-01-06T10:00:00+01:00,,,,,10,,"tip, heart",,,,
12,clipped,2026-01-06T10:20:00+01:00,,,,,,0.5,,,,,
12,played,2026-01-08T18:00:00+01:00,,,,,45,,,7.5,rehearsal,,"dark, but even"
12,retired,2026-02-08T18:00:00+01:00,,,,,,,,,,cracked,
12,tied,2026-02-09T18:00:00+01:00,oboe,72,,,,,,,,,
"""


@pytest.fixture
def sheet(tmp_path: Path) -> Path:
    path = tmp_path / "sheet.csv"
    path.write_text(SHEET)
    return path


def test_a_sheet_becomes_lineages(run: CommandLine, sheet: Path) -> None:
    ran = run.done("import", str(sheet))
    assert ran.lines == ["Recorded: 6 events, 2 new reeds, 0 work sessions."]
    first = run.done("show", "12/1", "--json").json
    assert (first["stage"], first["overall_mm"], first["hours_played"], first["score"]) == ("retired", 59.5, 0.75, 7.5)
    assert first["events"][1]["where"] == "tip, heart"
    assert first["events"][3]["note"] == "dark, but even"
    assert run.done("show", "12", "--json").json["instrument"] == "oboe"


def test_the_same_sheet_again_adds_nothing(run: CommandLine, sheet: Path) -> None:
    run.done("import", str(sheet))
    before = run.path.read_bytes()
    ran = run.done("import", str(sheet))
    assert ran.lines == ["Recorded: 0 events, 0 new reeds, 0 work sessions.", "6 rows were there already."]
    assert run.path.read_bytes() == before


SILENT = """\
tag,kind,at,instrument,minutes,cause
1,tied,2026-01-01,oboe,,
1,played,2026-01-05,,60,
1,retired,2026-02-05,,,
2,tied,2026-01-01,oboe,,
2,played,2026-01-05,,90,
2,retired,2026-02-05,,,cracked
3,tied,2026-01-01,oboe,,
3,retired,2026-02-05,,,
"""
"""Two of the three retirements do not say of what."""


def test_ends_without_a_cause_are_asked_about_once_for_all(
    run: CommandLine, typed: Callable[[str], None], tmp_path: Path
) -> None:
    file = tmp_path / "silent.csv"
    file.write_text(SILENT)
    refused = run("import", str(file))
    assert refused.code == 2
    assert "2 retirements have no cause (lines 4, 9). What was it?" in refused.err
    assert "--map 'cause:=worn'" in refused.err
    assert not run.path.exists()

    typed("")
    assert run("import", str(file)).code == 2
    assert not run.path.exists()

    typed("n")
    run.done("import", str(file))
    causes = [run.done("show", tag, "--json").json["events"][-1]["cause"] for tag in "123"]
    assert causes == ["not known", "cracked", "not known"]
    lives = run.done("lifespans", "--json").json
    assert lives["groups"][0]["retired"] == 1  # the hours of the other count, its end does not
    assert lives["groups"][0]["n"] == 2


def test_ends_without_a_cause_may_be_given_one_beforehand(run: CommandLine, tmp_path: Path) -> None:
    file = tmp_path / "silent.csv"
    file.write_text(SILENT)
    run.done("import", str(file), "--map", "cause:=worn")
    causes = [run.done("show", tag, "--json").json["events"][-1]["cause"] for tag in "123"]
    assert causes == ["worn", "cracked", "worn"]


def test_all_faults_are_told_with_their_lines_and_nothing_is_recorded(run: CommandLine, sheet: Path) -> None:
    bad = [
        "13,scraped,2026-01-06T10:00:00+01:00,,,,,10,,,,,,",
        "12,juggled,2026-03-01,,,,,,,,,,,",
        "12,clipped,2026-03-02,,,,,,500,,,,,",
        "12,clipped,last week,,,,,,1,,,,,",
    ]
    sheet.write_text(SHEET + "\n".join(bad) + "\n")
    for words in (("import", str(sheet)), ("import", "--dry-run", str(sheet))):
        ran = run(*words)
        assert (ran.code, ran.out) == (2, "")
        lines = [line.split(" line ")[1].split(":")[0] for line in ran.err.splitlines() if " line " in line]
        assert lines == ["8", "9", "10", "11"]
        assert "Nothing was recorded: 4 faults" in ran.err
    assert not run.path.parent.exists()


def test_of_many_faults_twenty_are_told_and_the_others_counted(run: CommandLine, tmp_path: Path) -> None:
    rows = tmp_path / "rows.csv"
    rows.write_text("tag,kind,at\n" + "1,whittled,2026-03-01T10:00:00+00:00\n" * 500, encoding="utf-8")
    ran = run("import", str(rows))
    assert ran.code == 2
    assert len(ran.err.splitlines()) <= 23
    assert "and 480 faults more" in ran.err
    assert "500 faults" in ran.err
    assert not run.path.exists()


def test_a_dry_run_records_nothing(run: CommandLine, sheet: Path) -> None:
    ran = run.done("import", "--dry-run", str(sheet))
    assert ran.lines == ["Would be recorded: 6 events, 2 new reeds, 0 work sessions."]
    assert not run.path.exists()
    run.enter("99 tie oboe 72")
    before = run.path.read_bytes()
    run.done("import", "--dry-run", str(sheet))
    assert run.path.read_bytes() == before


def test_an_old_sheet_with_other_columns_and_words(run: CommandLine, tmp_path: Path) -> None:
    old = tmp_path / "alt.csv"
    old.write_text(
        "Nr;Was;Datum;Länge;Instr;Preis\n3;gebunden;05.01.2026;2,36;Oboe;12\n3;gespielt;06.01.2026 18:30;;;\n",
        encoding="utf-8-sig",
    )
    mapping = tmp_path / "map.txt"
    mapping.write_text("# my old sheet\nNr=tag\nWas=kind\nDatum=at\nLänge=overall_mm in\nInstr=instrument\nPreis=\n")
    words = ["--map", str(mapping), "--map", "kind:gebunden=tied", "--map", "kind:gespielt=played"]
    ran = run("import", str(old), *words)
    assert ran.code == 2
    assert "played needs minutes, which line 3 does not say: --map 'minutes:=45'" in ran.out
    old.write_text(old.read_text(encoding="utf-8-sig").replace("gespielt", "soaked"), encoding="utf-8-sig")
    run.done("import", str(old), *words)
    reed = run.done("show", "3", "--json").json
    assert reed["overall_mm"] == pytest.approx(2.36 * 25.4)
    assert [event["at"] for event in reed["events"]] == ["2026-01-05T12:00:00+01:00", "2026-01-06T18:30:00+01:00"]


def test_a_mapping_that_cannot_be(run: CommandLine, sheet: Path) -> None:
    ran = run("import", str(sheet), "--map", "length=overal_mm")
    assert ran.code == 2
    assert "did you mean overall_mm" in ran.err
    assert run("import", str(sheet), "--map", "no-such-file").code == 2
    assert run("import", "no-such-sheet.csv").code == 2


def test_export_as_csv_and_as_json_lines(run: CommandLine, sheet: Path, tmp_path: Path) -> None:
    run.done("import", str(sheet))
    target = tmp_path / "out.csv"
    run.done("export", str(target))
    with target.open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert [row["kind"] for row in rows] == ["tied", "scraped", "clipped", "played", "retired", "tied"]
    assert (rows[0]["tag"], rows[0]["instrument"], rows[0]["overall_mm"]) == ("12", "english horn", "60")
    assert rows[1]["where"] == "tip, heart"
    assert run.done("export", "-").lines == run.done("export").lines == target.read_text().splitlines()
    lines = tmp_path / "out.jsonl"
    run.done("export", "--format", "jsonl", str(lines))
    events = [json.loads(line) for line in lines.read_text().splitlines()]
    assert [event["uid"] for event in events] == [row["uid"] for row in rows]
    assert events[3]["score"] == 7.5


def test_export_replaces_no_file_unless_told(run: CommandLine, sheet: Path, tmp_path: Path) -> None:
    run.done("import", str(sheet))
    target = tmp_path / "out.csv"
    target.write_text("mine")
    assert run("export", str(target)).code == 2
    assert target.read_text() == "mine"
    run.done("export", "--force", str(target))
    assert target.read_text().startswith("tag,kind,at")
    log = run.path.read_bytes()
    assert run("export", "--force", str(run.path)).code == 2
    assert "log itself" in run("export", str(run.path)).err, "and no --force is offered that would not help"
    assert run.path.read_bytes() == log
    assert run("export", str(tmp_path / "no" / "folder.csv")).code == 1


def test_export_replaces_files_alone_and_what_a_link_leads_to(run: CommandLine, tmp_path: Path) -> None:
    run.enter("1 tie oboe 72")
    pipe, link, target = (tmp_path / name for name in ("pipe", "link.csv", "target.csv"))
    os.mkfifo(pipe)
    ran = run("export", "--force", str(pipe))
    assert ran.code == 1
    assert "not an ordinary file" in ran.err
    assert pipe.is_fifo()
    target.write_text("old")
    link.symlink_to(target)
    run.done("export", "--force", str(link))
    assert link.is_symlink()
    assert target.read_text().startswith("tag,kind,at")


def test_export_gives_the_permissions_of_any_new_file(run: CommandLine, tmp_path: Path) -> None:
    run.enter("1 tie oboe 72")
    run.done("export", str(tmp_path / "out.csv"))
    (tmp_path / "any").touch()
    assert (tmp_path / "out.csv").stat().st_mode == (tmp_path / "any").stat().st_mode


def test_a_full_disk_leaves_the_file_that_was_there(
    run: CommandLine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    run.enter("1 tie oboe 72")
    target = tmp_path / "out.csv"
    target.write_text("old")
    monkeypatch.setattr("reedkin.store.disk.files.Disk", lambda: FailingDisk(room=100))
    ran = run("export", "--force", str(target))
    assert ran.code == 1
    assert "No space left" in ran.err
    assert target.read_text() == "old"
    assert not list(tmp_path.glob(".*"))


def test_the_bar_of_a_long_job_cannot_be_steered_by_a_name(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("sys.stderr.isatty", lambda: True)
    with Progress("Reading \x1b[31m.csv", 2_000_000) as progress:
        progress.forward(1_000_000)
    shown = capsys.readouterr().err
    assert "50%" in shown
    assert "\x1b" not in shown


def test_formulas_are_neutralised(run: CommandLine, tmp_path: Path) -> None:
    run.enter("1 tie oboe 72", '1 note "=1+1"', "1 crow C5 -20c")
    target = tmp_path / "out.csv"
    run.done("export", str(target))
    rows = list(csv.DictReader(io.StringIO(target.read_text())))
    assert rows[1]["note"] == "'=1+1"
    other = tmp_path / "other.jsonl"
    run.done("import", str(target), log=other)
    assert run.done("show", "1", "--json", log=other).json["events"][1]["note"] == "=1+1"


def test_an_import_is_one_entry_and_is_taken_back_as_one(run: CommandLine, tmp_path: Path) -> None:
    run.enter("900 tie oboe 72")
    many = tmp_path / "many.csv"
    rows = [f"{tag},tied,2025-01-05,oboe\n{tag},scraped,2025-01-06," for tag in range(100, 150)]
    many.write_text("\n".join(["tag,kind,at,instrument", *rows]))
    run.done("import", str(many))
    assert len(run.done("stock", "--json").json["reeds"]) == 51
    told = run.done("add", "take back").lines  # what was done to all of them is told once
    assert [len(line.split(":")[1].split(",")) for line in told] == [50, 50]
    assert [reed["tag"] for reed in run.done("stock", "--json").json["reeds"]] == ["900"]
    run.done("add", "take back")
    assert run.done("stock", "--json").json["reeds"] == []
    assert run("add", "take back").code == 2


def test_a_corrected_sheet_is_asked_about_and_never_counts_twice(
    run: CommandLine, sheet: Path, typed: Callable[[str], None]
) -> None:
    run.done("import", str(sheet))
    before = run.path.read_bytes()
    sheet.write_text(SHEET.replace(",45,", ",50,"))
    for words in (("import", str(sheet)), ("import", "--dry-run", str(sheet))):
        ran = run(*words)
        assert (ran.code, ran.out) == (2, "")
        assert "line 5: reed 12/1, played 8 Jan 2026 18:00: minutes 45 min → 50 min" in ran.err
        assert "--replace" in ran.err
        assert "--keep both" in ran.err
    typed("")
    assert run("import", str(sheet)).code == 2
    assert run.path.read_bytes() == before
    typed("r")
    assert run.done("import", str(sheet)).lines == [
        "Recorded: 0 events, 0 new reeds, 0 work sessions, 1 correction.", "5 rows were there already.",
    ]  # fmt: skip
    assert run.done("show", "12/1", "--json").json["hours_played"] == round(50 / 60, 4)
    run.done("add", "take back")
    run.done("import", str(sheet), "--keep", "both")
    assert run.done("show", "12/1", "--json").json["hours_played"] == round(95 / 60, 4)
