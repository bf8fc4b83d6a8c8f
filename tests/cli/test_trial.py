"""The command trial: start, end, list, compare."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from reedkin.bench.trials import TRIALS, trials
from reedkin.domain.events import Statement
from reedkin.store.log import Log
from tests.answers.trial_logs import Maker, Plan, simulated
from tests.cli.conftest import CommandLine

START = ("trial", "start", "wire", "before the first clip", "or", "after the first clip", "eh", "for", "40")


def filled(run: CommandLine, maker: Maker) -> None:
    """Put the records of a simulated log in the log of the command line, at its time."""
    run.path.parent.mkdir(parents=True, exist_ok=True)
    run.clock.moment = maker.clock.now()
    with Log(run.path, run.clock) as log:
        log.write(maker.records)


def test_a_trial_is_started_in_the_words_of_the_entry_line(run: CommandLine) -> None:
    ran = run.done(*START)
    assert ran.lines == [
        "trial wire starts: before the first clip or after the first clip, by chance, for each English horn reed tied "
        "from now on, until it is settled or 40 are worn out (that tells lives that end 4.0 times as fast, from "
        "two times in five with a dozen reeds of a lot to four in five with many)"
    ]
    tied = run.done("add", "1-4 tie eh 60 lot 7")
    assert tied.lines[1].startswith("by trial wire: ")
    told = [line for line in run.done("show", "1").lines if "trial wire: " in line]
    assert len(told) == 2  # what it is made of, and the event
    assert told[1].startswith("12 Mar 2026 10:07  ")
    assert told[1].endswith(f"  {told[0]}")


def test_the_same_trial_can_be_started_by_add(run: CommandLine) -> None:
    run.done("add", 'trial start wire "before the first clip" or "after the first clip" eh for 40')
    assert "before the first clip or after the first clip" in run.done("trial").out


def test_trials_are_listed(run: CommandLine) -> None:
    run.enter("1 tie eh 60")
    assert run.done("trial").lines == [
        "No trials yet. To start one: reedkin trial start wire before or after eh for 40"
    ]
    run.done(*START)
    run.enter("2-7 tie eh 60 lot 7")
    assert run.done("trial", "list").lines == [
        "wire: before the first clip or after the first clip, English horn, since 12 Mar",
        "  2026: 0 of at most 40 reeds worn out, 6 more at work",
    ]
    listed = run.done("trial", "--json").json["trials"]
    assert [(one["trial"], one["planned"], one["assigned"], one["ended"]) for one in listed] == [("wire", 40, 6, None)]


def test_a_trial_is_ended(run: CommandLine) -> None:
    run.done(*START)
    assert run.done("trial", "end", "wire").lines == ["trial wire ends: reeds tied from now on are assigned no more"]
    assert "by trial" not in run.done("add", "1 tie eh 60").out
    assert run("trial", "end", "wire").code == 2


def test_few_reeds_are_a_question(run: CommandLine) -> None:
    ran = run.done("trial", "start", "wire", "a", "or", "b", "for", "10", "--yes")
    assert "Record" not in ran.err
    assert "usual is 20 or more" in run.done("trial", "start", "x", "c", "or", "d", "for", "10").err


@pytest.mark.parametrize(
    ("words", "code", "says"),
    [
        (("trial", "start", "wire", "before"), 2, "which two ways"),
        (("trial", "start"), 2, "what is it called"),
        (("trial", "end", "cane"), 2, "no trial is running"),
        (("trial", "compare"), 2, "There is none yet: reedkin trial --help"),
        (("trial", "compare", "cane"), 2, "There is no trial cane."),
        (("trial", "begin"), 2, "there is no choice begin"),
    ],
)
def test_what_cannot_be_is_told(run: CommandLine, words: tuple[str, ...], code: int, says: str) -> None:
    run.enter("1 tie eh 60")
    ran = run(*words)
    assert (ran.code, ran.out) == (code, "")
    assert says in ran.err


def test_without_a_log_nothing_is_made(run: CommandLine) -> None:
    assert run("trial").code == 2
    assert run("trial", "compare", "wire").code == 2
    assert not run.path.exists()


def test_a_trial_is_compared_at_any_time_and_nothing_is_written(run: CommandLine) -> None:
    filled(run, simulated(3, Plan(planned=100, times=1.5)))
    before = run.path.read_bytes()
    ran = run.done("trial", "compare", "wire")
    assert "Go on: tie each reed as it is drawn, and look as often as you like." in ran.out
    assert "The chance that it is “before” that makes reeds last, and not luck:" in ran.out
    found = run.done("trial", "compare", "--json").json
    assert (found["due"], found["settled"], found["differs"]) == (False, False, None)
    assert 0 < found["chance"] < 0.95
    assert (found["skipped"], found["taken_back"], found["not_followed"]) == (0, 0, 0)
    assert not [key for key in found if "look" in key]
    assert found["hazard_ratio"] > 1
    assert found["ci"][0] < found["hazard_ratio"] < found["ci"][1]
    assert [need["worn_out"] for need in found["needs"]] == [481, 158, 63]
    assert run.path.read_bytes() == before


def test_a_settled_trial_says_so_and_of_which_day(run: CommandLine) -> None:
    filled(run, simulated(3, Plan(planned=60, reeds=120, of_a_lot=20, times=10.0)))
    found = run.done("trial", "compare", "--json").json
    assert (found["settled"], found["differs"]) == (True, True)
    assert found["chance"] >= 0.95
    assert sum(arm["worn_out"] for arm in found["arms"]) == found["worn_out"] < 60
    assert found["as_of"].startswith("2026-")
    told = " ".join(run.done("trial", "compare", "wire").out.split())
    assert "Settled: make them “before”." in told
    assert "all that is said is of that day" in told


def test_a_look_that_an_earlier_version_counted_is_no_entry_to_take_back(run: CommandLine) -> None:
    run.done(*START)
    run.enter("1 tie eh 60", "1 note remember")
    with Log(run.path, run.clock) as log:
        trial, now = trials(log.bench)[0], run.clock.now()
        log.write([Statement(log.uids.new(), TRIALS, trial.uid, now, now, log.uids.new(), {"looked": 7})])
    assert "remember" in run.done("add", "take", "back").out
    assert run("check").code == 0


def test_what_would_steer_a_trial_is_a_question_on_the_command_line(run: CommandLine) -> None:
    run.done("trial", "start", "length", "72", "or", "74", "ob")
    said = run.done("add", "1-6 tie oboe 72")
    assert "trial length drew 74, and this says overall length 72 mm" in said.err
    assert run("add", "--strict", "7 tie oboe 72 @yesterday").code == 2
    told = run.done("trial", "compare").out
    assert "Past the draw: " in told
    assert "not made as drawn" in " ".join(told.split())
    refused = run("trial", "start", "long", "71", "or", "75", "ob")
    assert refused.code == 2
    assert "trial length draws overall length already" in refused.err


def test_two_trials_of_one_name_are_told_of_at_a_merge_and_both_are_reached(run: CommandLine) -> None:
    other = run.path.with_name("other.jsonl")
    run.done(*START)
    run.path.rename(other)
    run.enter("1 tie eh 60")
    run.done(*START)
    merged = " ".join(run.done("merge", str(other)).err.split())
    assert "Two trials are called wire: wire/1, started 12 Mar 2026, and wire/2, started 12 Mar 2026." in merged
    assert "reedkin trial end wire/2" in merged
    assert run.done("trial", "compare", "wire/1").lines[0].startswith("Trial wire/1: ")
    assert run.done("trial", "compare", "wire/2").lines[0].startswith("Trial wire/2: ")
    asked = run("trial", "compare", "wire")
    assert asked.code == 2
    assert "Which trial wire? wire/1 of 12 Mar 2026 or wire/2 of 12 Mar 2026" in asked.err
    run.done("trial", "end", "wire/2")
    assert [trial["ended"] is None for trial in run.done("trial", "--json").json["trials"]] == [False, True]


def test_what_a_maker_wrote_cannot_steer_the_terminal(run: CommandLine) -> None:
    run.done("trial", "start", "wire", "be\x1b[31mfore", "or", "after")
    assert "\x1b" not in run.done("trial").out
    assert "\x1b" not in run.done("trial", "compare").out


def test_a_trial_for_the_circle_is_given_and_taken_in(
    run: CommandLine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    ran = run.done(*START, "for", "the", "circle")
    assert "with a draw of your own, and counted with your circle's" in ran.lines[0]
    assert ran.lines[1] == "For the others of your circle: wire-trial.json"
    assert run.done("trial", "give", "wire").lines[0].endswith("wire-trial-2.json")
    assert "In the circle: you alone so far" in run.done("trial", "compare").out
    other = tmp_path / "other.jsonl"
    assert run("trial", "join", "wire-trial.json", log=other).code == 0
    with Log(run.path, run.clock, read_only=True) as first, Log(other, run.clock, read_only=True) as second:
        (mine,), (hers,) = trials(first.bench), trials(second.bench)
    assert (mine.of_circle, mine.ways) == (hers.of_circle, hers.ways)
    assert re.fullmatch("[0-9a-f]{32}", mine.of_circle)  # other versions know it by as many digits
    assert mine.uid != hers.uid
    for words, says in ((("join",), "Which file?"), (("join", "none.json"), "cannot be read"),
                        (("join", "wire-trial.json"), "there is a trial wire already")):  # fmt: skip
        ran = run("trial", *words)
        assert ran.code == 2
        assert says in ran.err
    run.done("trial", "end", "wire")
    run.done("trial", "start", "cane", "soft", "or", "hard")
    assert "your own alone" in run("trial", "give", "cane").err
