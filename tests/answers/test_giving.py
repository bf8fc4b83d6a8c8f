"""What a log gives to a circle: what it should, and nothing of any one reed."""

from __future__ import annotations

import json
import math
import re
from dataclasses import replace
from datetime import datetime, timedelta
from functools import cache
from typing import Any

import pytest
from demo_logs.maker.diary import Row
from demo_logs.maker.effects import Effects
from demo_logs.simulate import Scenario, simulate
from msgspec import to_builtins
from tests.answers.logs import Log, bench
from tests.shares import share

from reedkin.answers.circle.estimates import EachReed, estimate_of
from reedkin.answers.circle.giving import FEWEST_LIVES, MARKS, share_of
from reedkin.answers.circle.giving_words import all_lines, giving_lines
from reedkin.answers.circle.marks import marks_of
from reedkin.answers.habits.effects import Effect
from reedkin.answers.habits.report import Finding, habits_report
from reedkin.domain.columns import fold_text
from reedkin.store.circle import shares
from reedkin.store.circle.shares import FEWEST, HabitShare, Share, share_bytes
from reedkin.study.habits import habit_named
from reedkin.study.study import Study

TEXTS = ("tag", "lot", "shape", "tube", "thread", "name", "note", "to", "session")
"""Facts that a maker writes as she likes."""


@cache
def scenario() -> Scenario:
    return simulate(11, 70, Effects.only(overall_mm=0.6))


@cache
def study() -> Study:
    return Study.of_bench(bench(scenario().rows, scenario().sessions))


@cache
def told() -> tuple[Finding, ...]:
    return habits_report(study()).findings


@cache
def given_by() -> Share:
    return share_of(study(), bench(scenario().rows, scenario().sessions))


def test_each_habit_is_given_as_the_report_tells_it():
    own = {finding.habit.name: finding for finding in told()}
    given = {habit.habit: habit for habit in given_by().habits if habit.clock == "hours"}
    assert len(given) > 10
    for name, habit in given.items():
        effect = own[name].effect
        if own[name].goes_away:
            continue
        assert math.exp(habit.log_hazard_ratio) == pytest.approx(effect.hazard_ratio, rel=0.002)
        assert habit.standard_error >= 0.99 / math.sqrt(effect.spread * effect.retired)
        assert (habit.reeds, habit.retired) == (effect.n, effect.retired)
        assert habit.spread == pytest.approx(effect.sd, rel=0.06)
    low, high = given["tied_mm"].quarters
    assert 59 < low < high < 73
    assert share_of_its_own(given_by()) == given_by()


def share_of_its_own(made: Share) -> Share:
    return shares.share_of(share_bytes(made), "circle.json")


def test_the_lives_are_the_curve_at_three_steps_in_whole_hours():
    made = Study.of([Log(str(n)).play(60 * (n + 1)).retire().reed() for n in range(FEWEST_LIVES)])
    (lives,) = share_of(made).lives
    assert (lives.instrument, lives.reeds, lives.retired) == ("oboe", 10, 10)
    assert lives.left_after == (3, 5, 8)  # by hand: lives of 1 to 10 h, of which 7, 5 and 2 outlast these
    (few,) = share_of(Study.of([Log(str(n)).play(60 * (n + 1)).retire().reed() for n in range(9)])).lives
    assert few.left_after == (None, None, None)
    assert not share_of(Study.of([Log(str(n)).play(60).retire().reed() for n in range(FEWEST - 1)])).lives


def test_words_that_are_each_makers_own_are_not_given():
    names = {habit.habit for habit in given_by().habits}
    assert not names & {"lot", "shape", "tube", "first_score"}


@pytest.mark.parametrize(("wired", "fewest"), [(4, 4), (5, 5), (26, 4)])
def test_reeds_on_a_side_are_counted_within_their_instrument(wired: int, fewest: int):
    logs = []
    for number in range(30):
        log = Log(str(number), instrument="oboe").add("scraped")
        logs.append((log.add("wired", gauge_awg=28.0) if number < wired else log).play(60 + number).retire())
    # All the english horns are wired: beside each other they tell nothing.
    others = [Log(f"e{n}", instrument="english horn").add("scraped").add("wired").play(50).retire() for n in range(9)]
    made = Study.of([log.reed() for log in (*logs, *others)])
    assert EachReed.of(made, habit_named("wired"), "hours").fewest_on_a_side == fewest
    given = any(habit.habit == "wired" for habit in share_of(made).habits)
    assert given == (fewest >= FEWEST)


def _finding(effect: Effect) -> Finding:
    return replace(told()[0], effect=effect, within_lots=None, goes_away=False, by_lot=False)


def test_limits_without_an_end_make_an_estimate_less_sure():
    """As Firth's fit has them where every reed with a habit is still alive."""
    whole = Effect(0.2, 0.04, 1.0, 0.05, 30, 20, spread=0.1, z=-1.96, sd=0.5)
    open_below = replace(whole, lo=0.0, hi=3.0)
    sure, less = estimate_of(_finding(whole)), estimate_of(_finding(open_below))
    assert sure is not None
    assert less is not None
    assert sure.se == pytest.approx(-math.log(0.2) / 1.96, rel=1e-3)
    assert less.se == pytest.approx((math.log(3.0) - math.log(0.2)) / 1.96, rel=1e-3)
    for none in (replace(whole, hazard_ratio=math.inf), replace(whole, hazard_ratio=0.0), replace(whole, word="7")):
        assert estimate_of(_finding(none)) is None
    assert estimate_of(replace(_finding(whole), by_lot=True)) is None


def _moved(at: str, days: int) -> str:
    return (datetime.fromisoformat(at) + timedelta(days=days)).isoformat()


def _disguised(row: Row, words: dict[str, str], days: int) -> Row:
    """A row that says the same of the reed under other names, on another day."""
    told: dict[str, Any] = {**row, "at": _moved(row["at"], days), "note": words.setdefault("a note", "my secret")}
    for name in TEXTS:
        if name in row:
            told[name] = words.setdefault(f"{name} {row[name]}", f"{words['a note']}{len(words)}{name}")
    return told


def test_nothing_private_is_given():
    """What is given is the same, whatever the reeds, lots, people and notes are called and whenever it all was: so
    nothing can be read from it of any of these."""
    secret, days = "hers\u202e\x1b", -411
    words = {"a note": secret}
    rows = [_disguised(row, words, days) for row in scenario().rows]
    sessions = [
        {**one, "session": words.get(f"session {one['session']}", "none")}
        | {end: _moved(one[end], days) for end in ("start", "end") if one.get(end)}
        for one in scenario().sessions
    ]
    disguised = bench(rows, sessions)
    made = share_bytes(share_of(Study.of_bench(disguised), disguised)).decode()
    assert made == share_bytes(given_by()).decode()
    assert "hers" not in made
    assert not re.search(r"20\d\d-\d\d|\d\d:\d\d", made)


def test_every_figure_is_of_several_reeds():
    """No count below five goes with a figure, but how many of at least five were worn out or had been in use."""
    for habit in given_by().habits:
        assert min(habit.reeds, habit.retired) >= FEWEST
    for lives in given_by().lives:
        assert lives.reeds >= FEWEST
        assert lives.left_after == (None, None, None) or lives.retired >= FEWEST_LIVES
    said = json.loads(share_bytes(given_by()))
    assert set(said) == set(Share.__struct_fields__)
    assert set(said["habits"][0]) == set(HabitShare.__struct_fields__)
    assert all(round(one["log_hazard_ratio"], 3) == one["log_hazard_ratio"] for one in said["habits"])


def test_marks_tell_two_copies_of_a_log_and_nothing_else():
    logs = [Log(str(n)).play(60 * (n + 1)) for n in range(30)]
    whole, half = Study.of([log.reed() for log in logs]), Study.of([log.reed() for log in logs[:15]])
    assert marks_of(half.lives) < marks_of(whole.lives)
    assert len(share_of(whole).marks) == MARKS
    assert set(share_of(half).marks) & set(share_of(whole).marks)
    other = Study.of([Log(f"other{n}").play(60).reed() for n in range(30)])
    assert not marks_of(other.lives) & marks_of(whole.lives)


def test_all_of_it_is_told_in_words_that_fit_a_screen():
    assert any(lives.blanks is not None for lives in given_by().lives)
    lines = fold_text(giving_lines(given_by()))
    assert len(lines) <= 22  # with the question beneath, on a screen of 24 lines
    assert max(map(len, lines)) <= 80
    text = " ".join(lines)
    for said in (f"{given_by().reeds} reeds served", "Never given: tags, days", "marks nobody can read", "Sink time"):
        assert said in text
    # Every figure of the file is in the lines to keep.
    every = " ".join(all_lines(given_by()))
    for habit in given_by().habits:
        assert f"spread {habit.spread:g}" in every
        assert f"{habit.retired} worn out of {habit.reeds}" in every
    assert "No habit yet" in " ".join(giving_lines(share(habits=())))
    assert to_builtins(given_by())["habits"]
