"""The command trial: start, end, list, compare."""

from __future__ import annotations

from pathlib import Path

import pytest

from reedkin.bench.trials import trials
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


def looks(run: CommandLine) -> tuple[int, ...]:
    with run.log() as log:
        return trials(log.bench)[-1].looks


def test_a_trial_is_started_in_the_words_of_the_entry_line(run: CommandLine) -> None:
    ran = run.done(*START)
    assert ran.lines == [
        "trial wire starts: before the first clip or after the first clip, by chance, for each english horn reed tied "
        "from now on, until 40 are worn out (finds lives that end 2.4 times as fast)"
    ]
    tied = run.done("add", "1-4 tie eh 60 lot 7")
    assert tied.lines[1].startswith("by trial wire: ")
    told = [line for line in run.done("show", "1").lines if "trial wire: " in line]
    assert len(told) == 2  # what it is made of, and the event
    assert told[1].startswith("2026-03-12 10:07  ")
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
        "wire: before the first clip or after the first clip, english horn, since 12 Mar",
        "  2026: 0 of the planned 40 reeds worn out, 6 more at work",
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
    assert "usual is 20 or more" in run.done("trial", "start", "x", "a", "or", "b", "for", "10").err


@pytest.mark.parametrize(
    ("words", "code", "says"),
    [
        (("trial", "start", "wire", "before"), 2, "which two ways"),
        (("trial", "start"), 2, "what is it called"),
        (("trial", "end", "cane"), 2, "no trial is running"),
        (("trial", "compare"), 2, "There is none yet: reedkin trial --help"),
        (("trial", "compare", "cane"), 2, "There is no trial cane."),
        (("trial", "begin"), 2, "invalid choice"),
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


def test_a_comparison_before_its_time_is_a_look_and_counted_once(run: CommandLine) -> None:
    filled(run, simulated(3, Plan(planned=70, times=2.2)))
    ran = run.done("trial", "compare", "wire")
    assert "Only a look, the 1st: no verdict before 70 are worn out." in ran.out
    assert "Verdict" not in ran.out
    worn = looks(run)
    assert len(worn) == 1
    run.done("trial", "compare", "wire")
    assert looks(run) == worn
    found = run.done("trial", "compare", "--json").json
    assert (found["due"], found["differs"], found["looks"]) == (False, None, 1)
    assert found["worn_out"] == worn[0]
    assert found["false_alarm_if_stopped_at_a_look"] == 0.083
    assert found["hazard_ratio"] > 1
    assert [need["worn_out"] for need in found["needs"]] == [191, 66, 27]


def test_a_look_is_no_entry_to_take_back(run: CommandLine) -> None:
    filled(run, simulated(3, Plan(planned=70)))
    run.enter("1 note remember")
    run.done("trial", "compare")
    before = looks(run)
    assert "remember" in run.done("add", "take", "back").out
    assert looks(run) == before != ()


def test_a_verdict_is_given_when_it_is_due(run: CommandLine) -> None:
    filled(run, simulated(3, Plan(planned=40, times=3.2)))
    found = run.done("trial", "compare", "--json").json
    assert (found["due"], found["differs"], found["worn_out"], found["looks"]) == (True, True, 40, 0)
    assert found["as_of"].startswith("2026-03-31")
    assert sum(arm["worn_out"] for arm in found["arms"]) == 40
    told = run.done("trial", "compare", "wire").out
    assert "Verdict: with “before” reeds last longer." in told
    assert "Only a look" not in told
    assert looks(run) == ()


def test_a_look_that_cannot_be_counted_is_told_and_shown(run: CommandLine, tmp_path: Path) -> None:
    filled(run, simulated(3, Plan(planned=70)))
    with Log(run.path, run.clock):
        ran = run.done("trial", "compare", "wire")
    assert "Only a look" in ran.out
    assert "This look could not be counted: " in ran.err
    assert looks(run) == ()


def test_what_a_maker_wrote_cannot_steer_the_terminal(run: CommandLine) -> None:
    run.done("trial", "start", "wire", "be\x1b[31mfore", "or", "after")
    assert "\x1b" not in run.done("trial").out
    assert "\x1b" not in run.done("trial", "compare").out
