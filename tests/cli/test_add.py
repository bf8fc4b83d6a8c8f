"""`reedkin add`."""

from __future__ import annotations

import os
from collections.abc import Callable

import pytest

from reedkin.domain.columns import columns
from reedkin.store.disk import lock
from reedkin.store.log import Log
from tests.cli.conftest import CommandLine


def test_it_prints_what_was_recorded(run: CommandLine) -> None:
    ran = run.done("add", "1 tie eh 60 lot 7 tube 27")
    # Common practice, no source: a 60 mm English horn reed on a 27 mm tube has 33 mm of blade.
    assert ran.lines[0] == "1: tied as English horn, 60 mm, tube 27 mm, lot 7 → blade 33 mm"
    assert "burns" in ran.lines[1]
    assert not ran.err


def test_the_measures_of_the_trade(run: CommandLine) -> None:
    """Common practice, no source: tip from 50.5 and heart from 43.5 make a heart of 7 mm; clips of 1, 1 and 0.5 mm take
    60 mm to 57.5 mm."""
    run.enter("1 tie eh 60 tube 27", "1 measure tip 50.5 heart 43.5")
    for clip in ("1", "1", ".5"):
        run.done("add", f"1 clip {clip}")
    with run.log() as log:
        reed = log.bench.find("1")
        assert reed is not None
        assert reed.now.heart_mm == pytest.approx(7)
        assert reed.now.overall_mm == pytest.approx(57.5)
        assert reed.now.blade_mm == pytest.approx(30.5)
    assert "57.5 mm" in run.done("show", "1").out


def test_quotes_are_optional(run: CommandLine) -> None:
    run.done("add", "1", "tie", "oboe", "72")
    assert "crowed C5 -20c" in run.done("add", "1", "crow", "C5", "-20c").out


def test_text_that_python_was_told_to_read_as_another_is_read_all_the_same(run: CommandLine) -> None:
    """LC_ALL=C, by which each byte beyond ASCII comes as a surrogate of its own."""
    run.done("add", "1 join oboe")
    run.done("add", "1 note spät ♭".encode().decode("ascii", "surrogateescape"))
    assert "spät ♭" in run.done("show", "1").out


def test_options_may_stand_before_and_behind_the_entry(run: CommandLine) -> None:
    other = run.path.with_name("other.jsonl")
    run.done("add", "1 tie oboe 72", "--log", str(other))
    run.done("add", "--log", str(other), "1 clip .5", "--yes")
    assert not run.path.exists()
    assert run.done("show", "1", "--json", log=other).json["overall_mm"] == pytest.approx(71.5)


def test_no_tag_means_the_reed_of_the_last_entry(run: CommandLine) -> None:
    run.enter("1-2 tie oboe 72", "2 clip .5")
    ran = run.done("add", "clip .5")
    assert ran.lines[0].startswith("2: clipped 0.5 mm")
    assert "reed 2" in ran.err


def test_no_tag_after_an_entry_on_several_reeds_is_an_error(run: CommandLine) -> None:
    run.enter("1-2 tie oboe 72")
    ran = run("add", "clip .5")
    assert ran.code == 2
    assert "write its tag first" in ran.err


def test_an_error_points_at_the_word(run: CommandLine) -> None:
    run.enter("1 tie oboe 72")
    ran = run("add", "1 clip 3 feet")
    assert ran.code == 2
    assert not ran.out
    message, line, marks, end = ran.err.splitlines()
    assert message.startswith("reedkin: ")
    assert line == "  1 clip 3 feet"
    assert line[marks.index("^") : marks.rindex("^") + 1] in ("feet", "3 feet")
    assert end == "reedkin: Nothing was recorded."
    with run.log() as log:
        assert [step.kind for step in log.bench.reeds()[0].steps] == ["tied"]


def test_the_marks_stand_under_their_words_behind_wide_characters(run: CommandLine) -> None:
    *_, line, marks, _ = run("add", "1 tie eh 60 name 名前 zzzq9").err.splitlines()
    assert columns(line.partition("zzzq9")[0]) == marks.index("^")


def test_an_error_leaves_no_empty_log_behind(run: CommandLine) -> None:
    assert run("add", "1 clip .5").code == 2
    assert not run.path.parent.exists()


def test_nothing_to_record_is_wrong_usage(run: CommandLine) -> None:
    assert run("add", "  ").code == 2


def test_odd_values_are_recorded_and_asked_about_where_nobody_can_answer(run: CommandLine) -> None:
    run.enter("1 tie eh 60")
    ran = run.done("add", "1 clip 5")
    assert "1: clipped 5 mm" in ran.out
    assert "clip 5 mm is much" in ran.err
    assert "take back" in ran.err
    assert run.done("show", "1", "--json").json["overall_mm"] == 55


def test_strict_refuses_odd_values(run: CommandLine) -> None:
    run.enter("1 tie eh 60")
    ran = run("add", "--strict", "1 clip 5")
    assert ran.code == 2
    assert "Nothing was recorded" in ran.err
    assert run.done("show", "1", "--json").json["overall_mm"] == 60


def test_yes_asks_nothing(run: CommandLine) -> None:
    run.enter("1 tie eh 60")
    ran = run.done("add", "--yes", "1 clip 5")
    assert not ran.err


@pytest.mark.parametrize(("answer", "code", "overall"), [("y", 0, 55), ("yes", 0, 55), ("n", 1, 60), ("", 1, 60)])
def test_on_a_terminal_odd_values_are_asked_about(
    run: CommandLine, typed: Callable[[str], None], answer: str, code: int, overall: float
) -> None:
    run.enter("1 tie eh 60")
    typed(answer)
    ran = run("add", "1 clip 5")
    assert ran.code == code
    assert "[y/N]" in ran.err
    assert run.done("show", "1", "--json").json["overall_mm"] == overall


def test_the_last_entry_is_taken_back(run: CommandLine) -> None:
    run.enter("1 tie eh 60", "1 clip 1; clip .5")
    ran = run.done("add", "take", "back")
    assert ran.lines == ["Taken back: 1: clipped 1 mm", "Taken back: 1: clipped 0.5 mm"]
    run.done("add", "take back")
    assert run("add", "take back").code == 2
    assert run("show", "1").code == 2


def test_a_log_that_another_program_writes_is_waited_for(run: CommandLine, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(lock, "PATIENCE", 0.0)
    run.enter("1 tie oboe 72")
    with Log(run.path, run.clock):
        ran = run("add", "1 clip .5")
        assert ran.code == 3
        assert f"process {os.getpid()} on " in ran.err
        assert run.done("show", "1").out


def test_a_damaged_log_is_written_to_only_once_the_damage_was_seen(run: CommandLine) -> None:
    run.enter("1 tie oboe 72", "1 clip .5", "1 clip .4")
    content = run.path.read_bytes()
    run.path.write_bytes(content.replace(b"0.5", b"0.6"))
    ran = run("add", "1 scrape tip 5m")
    assert ran.code == 3
    assert "line 3" in ran.err
    ran = run("add", "2 scrape tip 5m")
    assert ran.code == 2
    assert "The log has 1 fault" in ran.err
    assert "reedkin check" in run.done("show", "1").err
    run.done("add", "--seen", "1 scrape tip 5m")
    assert "scraped tip" in run.done("show", "1").out


def test_the_session_that_runs_is_noted(run: CommandLine) -> None:
    run.enter("session start 20 C 45% fresh knife", "1 tie oboe 72")
    (event,) = run.done("show", "1", "--json").json["events"]
    assert (event["room_c"], event["humidity_pct"], event["knife_fresh"]) == (20, 45, True)
    assert event["session_start"] == "2026-03-12T10:07:00+01:00"


def test_an_entry_whose_last_newline_was_stripped_counts(run: CommandLine) -> None:
    run.enter("1 tie oboe 72", "1 clip .5")
    whole = run.path.read_bytes()
    run.path.write_bytes(whole[:-1])
    assert run("check").code == 0
    run.done("add", "1 scrape tip")
    assert run.path.read_bytes().startswith(whole)
    with Log(run.path, run.clock, read_only=True) as log:
        assert [step.kind for step in log.bench.reeds()[0].steps] == ["tied", "clipped", "scraped"]
        assert not log.faults


def test_what_is_set_aside_is_told(run: CommandLine) -> None:
    run.enter("1 tie oboe 72", "1 clip .5")
    run.path.write_bytes(run.path.read_bytes()[:-9])
    ran = run.done("add", "1 scrape tip")
    (kept,) = run.path.parent.glob("*.torn-*")
    assert kept.name in ran.err
