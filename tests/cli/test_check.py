"""`reedkin check`."""

from __future__ import annotations

import shutil
from pathlib import Path

from reedkin.domain.events import Event, Statement
from reedkin.store.log import Log
from tests.cli.conftest import CommandLine


def test_a_sound_log(run: CommandLine) -> None:
    run.enter("1 tie oboe 72", "1 clip .5")
    ran = run.done("check")
    assert ran.lines[-1].startswith("No fault. 1 reed in ")
    assert run.done("check", "--json").json == {"log": str(run.path), "reeds": 1, "faults": [], "questions": []}


def test_a_damaged_line_is_named_with_its_reed(run: CommandLine) -> None:
    run.enter("7 tie oboe 72", "7 clip .5", "7 clip .4")
    run.path.write_bytes(run.path.read_bytes().replace(b"0.5", b"0.6"))
    ran = run("check")
    assert ran.code == 3
    assert "line 3: " in ran.out
    assert "reed 7" in ran.out
    report = run("check", "--json")
    assert report.code == 3
    (fault,) = report.json["faults"]
    assert (fault["line"], fault["kind"]) == (3, "wrong checksum")


def test_what_refuses_to_record_in_a_damaged_log_says_how_to_go_on(run: CommandLine) -> None:
    run.enter("7 tie oboe 72", "7 clip .5")
    damaged = run.path.read_bytes().replace(b"0.5", b"0.6")
    run.path.write_bytes(damaged)
    for words in (("add", "7 clip .4"), ("retag", "7", "8")):
        ran = run(*words)
        assert ran.code == 3
        assert "reedkin check" in ran.err
        assert "--seen" in ran.err
        assert run.path.read_bytes() == damaged
        run.done(words[0], "--seen", *words[1:])
        run.path.write_bytes(damaged)


def test_a_torn_end_is_a_fault(run: CommandLine) -> None:
    run.enter("1 tie oboe 72", "1 clip .5")
    run.path.write_bytes(run.path.read_bytes()[:-5])
    before = run.path.read_bytes()
    ran = run("check")
    assert ran.code == 3
    assert "line 3: " in ran.out
    assert run.path.read_bytes() == before


def test_odd_values_are_questions_and_no_faults(run: CommandLine) -> None:
    run.enter("1 tie eh 60")
    run.done("add", "1 clip 5")
    ran = run.done("check")
    assert "clip 5 mm is much" in ran.out
    assert "1 question" in ran.out


def test_what_cannot_be_in_a_lineage_is_a_fault(run: CommandLine) -> None:
    run.enter("1 tie oboe 72", "1 play 45 8", "1 retire worn @yesterday")
    run.done("add", "2 tie oboe 72 tube #4; 3 tie oboe 71.5 tube #4")
    ran = run("check")
    assert ran.code == 3
    assert "it is retired" in ran.out
    assert "Tube 4 carries 2 reeds at work" in ran.out


def test_two_living_reeds_on_one_tag_and_a_clock_that_was_set_back(run: CommandLine) -> None:
    run.enter("5 tie oboe 72", "5 clip .5", "5 clip .5")
    run.clock.forward(hours=-3)
    run.enter("5 clip .5")
    with Log(run.path, run.clock) as log:
        now, uid = run.clock.now(), log.uids.new()
        log.write([Event(uid, uid, "tied", "5", now, now, uid, {"instrument": "oboe"})])
    ran = run.done("check")
    assert "2 living reeds bear this tag" in ran.out
    assert "a clock was set back" in ran.out


def test_a_session_that_was_taken_back_elsewhere_is_a_question(run: CommandLine, tmp_path: Path) -> None:
    run.enter("1 tie oboe 72", "session start")
    other = tmp_path / "laptop.jsonl"
    shutil.copy(run.path, other)
    run.enter("1 clip .5")
    run.done("add", "take back", log=other)
    run.done("merge", str(other))
    ran = run.done("check")
    assert "its work session was taken back" in ran.out
    assert ran.lines[-1].startswith("No fault.")


def test_a_session_that_is_not_in_the_log(run: CommandLine) -> None:
    with Log(run.path, run.clock) as log:
        now, uid, session = run.clock.now(), log.uids.new(), log.uids.new()
        log.write([Event(uid, uid, "tied", "5", now, now, uid, {"instrument": "oboe"}, session)])
    assert "its work session is not in the log" in run("check").out
    with Log(run.path, run.clock) as log:
        log.write([Statement(session, "sessions", session, now, now, session, {"started": now.isoformat()})])
    assert run.done("check").lines[-1].startswith("No fault.")
