"""`reedkin show`."""

from __future__ import annotations

import pytest

from tests.cli.conftest import CommandLine


def test_the_json_of_a_reed(run: CommandLine) -> None:
    run.enter("142 tie eh 60 lot 7 tube #4 27", "142 clip .5", "142 play 45 8 rehearsal", '142 note "dark"')
    reed = run.done("show", "142", "--json").json
    head = {name: reed[name] for name in ("tag", "instrument", "stage", "overall_mm", "hours_played", "score")}
    assert head == {
        "tag": "142", "instrument": "english horn", "stage": "in service", "overall_mm": 59.5, "hours_played": 0.75,
        "score": 8,
    }  # fmt: skip
    assert [event["kind"] for event in reed["events"]] == ["tied", "clipped", "played", "noted"]
    tied, clipped, played, noted = reed["events"]
    assert (tied["tube"], tied["tube_mm"], tied["lot"]) == ("4", 27, "7")
    assert clipped["clip_mm"] == 0.5
    assert (played["minutes"], played["setting"], played["score"]) == (45, "rehearsal", 8)
    assert noted["note"] == "dark"
    assert tied["at"] == "2026-03-12T10:07:00+01:00"
    (stocked,) = run.done("stock", "--json").json["reeds"]
    left = ("expected_remaining_hours", "expected_remaining_range")
    assert [reed[name] for name in left] == [stocked[name] for name in left]
    assert reed["expected_remaining_range"][0] < reed["expected_remaining_hours"] < reed["expected_remaining_range"][1]


def test_of_a_reed_that_is_not_in_service_nothing_is_expected(run: CommandLine) -> None:
    run.enter("1 tie eh 60")
    reed = run.done("show", "1", "--json").json
    assert (reed["expected_remaining_hours"], reed["expected_remaining_range"]) == (None, None)


def test_what_was_struck_is_among_the_corrections_only(run: CommandLine) -> None:
    run.enter("1 tie eh 60", "1 clip 1", "take back")
    reed = run.done("show", "1", "--json").json
    assert [event["kind"] for event in reed["events"]] == ["tied"]
    (strike,) = reed["corrections"]
    assert strike["correction"] == "struck"
    text = run.done("show", "1").out
    assert "struck: clipped 1 mm" in text


def test_the_history_in_plain_text(run: CommandLine) -> None:
    run.enter(
        "session start 21 C 40%",
        "1 tie eh 60 lot 7 tube #4 27", "1 retire never came good", "1 tie eh 60 tube #4 shape K",
        "1 clip 1", "1 play 1h20 7",
    )  # fmt: skip
    text = run.done("show", "1").out
    assert "English horn, in service" in text
    assert "shape K" in text
    assert "before it 1 reed: 1" in text
    assert "60 → 59 mm" in text
    assert "1 h 20" in text
    assert "21 °C" in text
    assert "retired (never came good)" in run.done("show", "1/1").out


def test_a_tag_that_is_not_there(run: CommandLine) -> None:
    run.enter("1 tie eh 60")
    ran = run("show", "99")
    assert (ran.code, ran.out) == (2, "")
    assert "no reed 99" in ran.err
    assert run("show").code == 2


@pytest.mark.parametrize("words", [("show", "1"), ("stock",), ("check",), ("export",)])
def test_a_log_that_is_not_there(run: CommandLine, words: tuple[str, ...]) -> None:
    ran = run(*words)
    assert ran.code == 2
    assert "There is no log at" in ran.err
    assert "reedkin add" in ran.err
    assert not run.path.parent.exists()


def test_hostile_text_is_shown_literally(run: CommandLine) -> None:
    run.enter("1 tie eh 60", '1 note "\x1b[31m[red]\u202eabc\x07[/]"')
    text = run.done("show", "1").out
    assert "␛[31m[red]\\u202eabc␇[/]" in text
    assert "\x1b" not in text
    raw = run.done("show", "1", "--json")
    assert raw.out.isascii()
    assert raw.json["events"][1]["note"] == "\x1b[31m[red]\u202eabc\x07[/]"


def test_a_file_that_is_no_log(run: CommandLine) -> None:
    run.path.parent.mkdir()
    run.path.write_text("tag,kind,at\n")
    for words in (("show", "1"), ("add", "1 tie oboe 72")):
        ran = run(*words)
        assert ran.code == 3
        assert "Traceback" not in ran.err
        assert ran.err.startswith("reedkin: ")
    assert run.path.read_text() == "tag,kind,at\n"
