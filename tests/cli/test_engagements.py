"""`reedkin engagements`."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from tests.cli.conftest import CommandLine


def test_what_is_to_come_and_what_is_over(run: CommandLine) -> None:
    run.enter("1 tie eh 60")
    assert "None is to come. To enter one: reedkin add engage 12 March" in run.done("engagements").out
    run.enter('engage 13 March 19:30 3 "second night"', "engage 14 March rehearsal", "engage 15 March")
    run.enter("engage 15 March off")
    assert run.done("engagements").lines == [
        "Fri 13 Mar 2026 19:30  3 English horn reeds, performance  second night",
        "Sat 14 Mar 2026        1 English horn reed, rehearsal",
    ]
    assert "called off" in run.done("engagements", "--all").lines[-1]
    run.clock.forward(days=2)
    assert [one["reeds"] for one in run.done("engagements", "--json").json["engagements"]] == [1]
    run.enter("take back")
    assert len(run.done("engagements", "--json").json["engagements"]) == 2


CALENDAR = """BEGIN:VCALENDAR
VERSION:2.0
PRODID:-//x//y//EN
BEGIN:VEVENT
UID:1
SUMMARY:Requiem
DTSTART:20260320T193000
END:VEVENT
BEGIN:VEVENT
UID:2
SUMMARY:Dentist \x1b[31m
DTSTART:20260321T093000
END:VEVENT
END:VCALENDAR
"""


def test_a_calendar_is_shown_before_it_is_recorded_and_its_words_are_remembered(
    run: CommandLine, tmp_path: Path
) -> None:
    run.enter("1 tie eh 60")
    file = tmp_path / "choir.ics"
    file.write_text(CALENDAR)
    said = run.done("engagements", "import", str(file), "--dry-run").out
    assert "No engagements, going by their titles: Requiem, Dentist ␛[31m" in said
    assert "Calendar choir: nothing new." in said
    words = ("--word", "requiem=oboe 3 performance")
    line = "+ Fri 20 Mar 2026 19:30  3 oboe reeds, performance  Requiem"
    before = run.path.read_bytes()
    assert line in run.done("engagements", "import", str(file), *words, "--dry-run").lines
    assert run.path.read_bytes() == before
    ran = run.done("engagements", "import", str(file), *words)
    assert "“Requiem” (1 time): oboe, 3 reeds, performance, by requiem" in ran.lines
    assert line in ran.lines
    assert "Calendar choir: nothing new, 1 as before." in run.done("engagements", "import", str(file)).lines
    run.enter("take back")
    assert run.done("engagements", "--json").json == {"engagements": []}


def test_where_the_library_is_missing_it_says_so(
    run: CommandLine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "ical.calendar_stream", None)
    run.enter("1 tie eh 60")
    (tmp_path / "choir.ics").write_text(CALENDAR.replace("Requiem", "Concert"))
    ran = run("engagements", "import", str(tmp_path / "choir.ics"))
    assert ran.code == 2
    assert (
        "A calendar is read by the library ical, which is not there. To have it, from the folder of reedkin" in ran.err
    )


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("import",), "which file? such as reedkin engagements import choir.ics"),
        (("import", "nowhere.ics"), "nowhere.ics cannot be read"),
        (("list", "choir.ics"), "to take in a calendar write"),
        (("import", "nowhere.ics", "--word", "mass"), "write --word 'requiem=eh 2 performance'"),
        (("import", "nowhere.ics", "--word", "mass=flute"), "--word mass=flute: flute"),
    ],
)
def test_what_cannot_be_is_told(run: CommandLine, words: tuple[str, ...], says: str) -> None:
    run.enter("1 tie eh 60")
    ran = run("engagements", *words)
    assert ran.code == 2
    assert says in ran.err


def test_faults_are_told_with_their_lines_and_nothing_is_recorded(run: CommandLine, tmp_path: Path) -> None:
    run.enter("1 tie eh 60")
    file = tmp_path / "choir.ics"
    file.write_text(CALENDAR.replace("Requiem", "Concert").replace("Dentist", "Gig").replace("20260321T09", "garbage"))
    ran = run("engagements", "import", str(file))
    assert (ran.code, ran.out) == (2, "")
    assert f"{file} line 9: Gig ␛[31m: " in ran.err
    assert run.done("engagements", "--json").json == {"engagements": []}
    assert "1 new" in run.done("engagements", "import", str(file), "--accept").out
