"""`reedkin import` of a spreadsheet of one's own: proposed, shown, corrected, accepted, kept."""

from __future__ import annotations

import io
import shutil
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from reedkin.domain.literal import literal
from tests.cli.conftest import CommandLine, Typist

SHEETS = Path(__file__).parent.parent / "store" / "spreadsheets"
DIARY = "Day,Reed,Len,min,Mood\n13.1.2026,1,72,30,fine\n14.1.2026,1,72,40,\n"


@pytest.fixture
def diary(tmp_path: Path) -> Path:
    path = tmp_path / "diary.csv"
    path.write_text(DIARY)
    return path


def test_nothing_is_taken_in_before_somebody_accepts_it(run: CommandLine, diary: Path) -> None:
    ran = run("import", str(diary), "--map", "instrument:=oboe")
    assert ran.code == 2
    assert "Day                    at day-first" in ran.out
    assert "It comes to 3 events." in ran.out
    assert "--accept" in ran.err
    assert not run.path.exists()
    assert (
        "Would be recorded: 3 events, 1 new reed"
        in run.done("import", "--dry-run", str(diary), "--map", "instrument:=oboe").out
    )
    assert not diary.with_name("diary.csv.map").exists()
    ran = run("import", str(diary), "--accept")
    assert ran.code == 2
    assert "joined needs instrument, which line 2 does not say: --map 'instrument:=oboe'" in ran.out


def test_what_was_settled_is_kept_and_the_next_import_reads_by_it(run: CommandLine, diary: Path) -> None:
    ran = run.done("import", str(diary), "--accept", "--map", "instrument:=oboe", "--map", "mood=")
    assert "Recorded: 3 events, 1 new reed, 0 work sessions." in ran.out
    assert f"kept in {diary}.map" in ran.err
    diary.write_text(DIARY.replace(",40,", ",45,") + "15.1.2026,1,72,20,\n")
    ran = run("import", str(diary))
    assert (ran.code, "minutes 40 min → 45 min" in ran.err, ran.out) == (2, True, "")
    assert run.done("import", str(diary), "--replace").lines == [
        "Recorded: 1 event, 0 new reeds, 0 work sessions, 1 correction.", "2 rows were there already.",
    ]  # fmt: skip
    assert run.done("show", "1", "--json").json["hours_played"] == round(95 / 60, 4)
    other = diary.with_name("other.csv")
    shutil.copy(diary, other)
    assert "4 rows were there already." in run.done("import", str(other), "--map", f"{diary}.map").out


def test_a_file_of_one_s_own_beside_is_no_mapping_and_stays(run: CommandLine, diary: Path) -> None:
    mine = diary.with_name("diary.csv.map")
    mine.write_text("a map of my workshop")
    ran = run.done("import", str(diary), "--accept", "--map", "instrument:=oboe")
    assert mine.read_text() == "a map of my workshop"
    assert "diary.csv-2.map" in ran.err


def test_columns_are_corrected_at_the_terminal(
    run: CommandLine, diary: Path, monkeypatch: pytest.MonkeyPatch, typed: Callable[[str], None]
) -> None:
    typed("q")
    assert run("import", str(diary)).code == 2
    assert not run.path.exists()
    answers = ["", "instrument:=kazoo=x=", "instrument:=oboe", "3=overall_mm in in", "3=lot", "5=", ""]
    monkeypatch.setattr("sys.stdin", Typist("\n".join(answers) + "\n"))
    ran = run.done("import", str(diary))
    assert "Say first what is open" in ran.err
    assert "3* Len                    lot" in ran.out
    assert "5* Mood                   left out" in ran.out
    assert "kept in diary.csv.map" in ran.err.replace(f"{diary.parent}/", "")
    events = run.done("show", "1", "--json").json["events"]
    assert [(event["kind"], event.get("lot"), event.get("note")) for event in events] == [
        ("joined", "72", None), ("played", None, None), ("played", None, None),
    ]  # fmt: skip


def test_the_order_of_days_is_not_guessed_even_where_all_is_accepted(run: CommandLine, tmp_path: Path) -> None:
    sheet = tmp_path / "us.csv"
    sheet.write_text("Date,Reed,Instrument,min\n3/4/2026,1,oboe,30\n5/4/2026,1,oboe,40\n")
    ran = run("import", str(sheet), "--accept")
    assert ran.code == 2
    assert "--map 'date=at day-first' or --map 'date=at month-first'" in ran.out
    run.done("import", str(sheet), "--accept", "--map", "date=at month-first")
    assert run.done("show", "1", "--json").json["events"][0]["at"].startswith("2026-03-04")


def test_the_standard_input_is_read(run: CommandLine, monkeypatch: pytest.MonkeyPatch) -> None:
    def given(content: bytes) -> None:
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(content)))

    given(b"tag,kind,at,instrument\n5,tied,2026-01-05,oboe\n")
    assert run.done("import", "-").lines == ["Recorded: 1 event, 1 new reed, 0 work sessions."]
    given((SHEETS / "practice_diary.csv").read_bytes())
    ran = run.done("import", "-", "--accept")
    assert "Recorded: 8 events, 2 new reeds" in ran.out
    assert run.path.with_name("spreadsheet.csv.map").exists()


@pytest.mark.parametrize("name", ["reeds.xlsx", "reeds.ods"])
def test_a_workbook_is_refused(run: CommandLine, tmp_path: Path, name: str) -> None:
    path = tmp_path / name
    path.write_bytes(b"PK\x03\x04\x14\x00")
    ran = run("import", str(path))
    assert ran.code == 2
    assert "Save as" in ran.err


def test_hostile_words_are_shown_literally(run: CommandLine, tmp_path: Path) -> None:
    sheet = tmp_path / "nasty.csv"
    sheet.write_text("Reed,Day,min,\x1b[31mred\n1,15.1.2026,30,\x1b]0;title\x07\n2,16.1.2026,30,\x00\n")
    ran = run("import", str(sheet))
    assert ran.code == 2
    assert not {"\x1b", "\x07", "\x00"} & set(ran.out + ran.err)
    assert literal("\x1b[31mred")[:6] in ran.out


def test_a_mapping_without_end_is_refused(run: CommandLine, diary: Path, tmp_path: Path) -> None:
    endless = tmp_path / "endless"
    with endless.open("wb") as file:
        file.truncate(1_000_000_000)
    for path, said in ((endless, "more than a file of such lines"), (Path("/dev/zero"), "is not an ordinary file")):
        ran = run("import", str(diary), "--map", str(path))
        assert ran.code == 2
        assert said in ran.err
