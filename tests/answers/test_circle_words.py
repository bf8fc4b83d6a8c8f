"""What a circle says, in words: each sentence by the rule that it follows, of findings made up for it."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from tests.shares import share

from reedkin.answers.circle import words
from reedkin.answers.circle.asked_together import MakerTold, Together, TogetherFinding, Without
from reedkin.answers.circle.estimates import Estimate
from reedkin.answers.circle.gathering import Circle, Member
from reedkin.answers.habits.effects import Effect
from reedkin.answers.habits.hours import Hours
from reedkin.answers.habits.report import Finding, HabitsReport
from reedkin.study.habits import Habit
from reedkin.survival.combining import Combined
from reedkin.survival.makers import ForHer, Others

PER = "each extra millimetre tied"
HABIT = Habit("tied", "Tied", PER, "shorter", "longer", "making", unit="mm", choice=True)
EFFECT = Effect(1.42, 1.08, 1.93, 0.01, 30, 21, 1.0, 2.5, 1.0)
HOURS = Hours(59.5, 60.8, 1.3, "oboe", False, 13.2, -2.6, -4.5, -0.4, None)
ALONE = Finding(HABIT, "hours", PER, EFFECT, 0.02, 0.86, None, True, HOURS, "leaning", "shorter", 40)
OTHERS = Others(0.3, 3, 0.9, 0.1, 0.05, (0.0, 0.0), 0.1, np.zeros(541))
TOLD = ForHer(0.97, 0.4, 0.1, 0.7, 0.0)
LOG2 = math.log(2)


def _maker(name: str, value: float = LOG2, unlike: float = 0.0, retired: int = 30) -> MakerTold:
    return MakerTold(name, value, 0.2, 40, retired, unlike)


def _found(**others: Any) -> TogetherFinding:
    usual = TogetherFinding(
        HABIT, "hours", (_maker("anna"), _maker("bea", retired=1)), Estimate(0.35, 0.2, EFFECT), ALONE, None, OTHERS,
        TOLD, replace(HOURS, longer=-2.0, lo=-3.0, hi=-1.0), "clear", (),
    )  # fmt: skip
    return replace(usual, **others)


def _together(*findings: TogetherFinding, clock: Any = "hours", members: int = 2, **others: Any) -> Together:
    circle = Circle(tuple(Member(f"m{place}", share(place, joined=0)) for place in range(members)), **others)
    return Together(HabitsReport(clock, 40, 21, (), ()), circle, findings)


# Who is in it


def test_who_is_in_the_circle() -> None:
    assert words.whose(_together(members=0)) == "Nobody else is in your circle yet."
    assert words.whose(_together(members=1, clock="days")) == (
        "You and 1 other maker: 30 reeds of theirs worn out beside 21 of yours, by days in service."
    )
    assert words.whose(_together()) == (
        "You and 2 other makers: 60 reeds of theirs worn out beside 21 of yours, by hours played."
    )


def test_what_is_to_be_told_of_the_files() -> None:
    assert words.doubts(_together(left_out=("cora.json is damaged.",))) == ["cora.json is damaged."]
    one, two = (tuple(Member(f"m{place}", share(place)) for place in range(count)) for count in (1, 2))
    assert words.doubts(replace(_together(), circle=Circle(one))) == []
    assert words.doubts(replace(_together(), circle=Circle(two))) == [
        "2 of them have reeds that were in use before: one that two knew may count twice."
    ]


# What it says of a habit


def test_how_sure_it_is_with_the_circle_and_without() -> None:
    assert words.how_sure(_found()) == "Clear: 19 in 20 that it matters for you; 9 in 10 by your log alone."
    for unknown in (_found(own=None), _found(alone=None), _found(own=None, alone=None)):
        assert words.how_sure(unknown) == (
            "Clear: 19 in 20 that it matters for you, going by the others alone: your own log cannot tell."
        )


LAST_WORD = "it goes the other way. So your own reeds have the last word."
WITH = "Tied 59.5 rather than 60.8 mm: lives of 13 h are 2.0 h longer (1.0 to 3.0) with the circle"


@pytest.mark.parametrize(
    ("finding", "said"),
    [
        (_found(), f"{WITH}; 2.6 h longer by your log alone."),
        (_found(alone=replace(ALONE, hours=replace(HOURS, longer=1.0))), f"{WITH}; 1.0 h shorter by your log alone."),
        (_found(alone=replace(ALONE, hours=replace(HOURS, longer=0.0))), f"{WITH}; 0.0 h shorter by your log alone."),
        (_found(alone=replace(ALONE, hours=None)), f"{WITH}."),
        (
            _found(clock="days", alone=replace(ALONE, clock="days")),
            f"{WITH.replace(' h ', ' d ')}; 2.6 d longer by your log alone.",
        ),
        (_found(alone=None), ""),
        (_found(hours=None), ""),
    ],
)
def test_what_it_comes_to_in_hours(finding: TogetherFinding, said: str) -> None:
    assert words.with_hours(finding) == said


def test_a_life_that_is_as_long_with_the_circle_counts_as_longer() -> None:
    found = _found(alone=replace(ALONE, hours=replace(HOURS, longer=1.0)), hours=replace(HOURS, longer=0.0))
    assert words.with_hours(found).endswith("; 1.0 h longer by your log alone.")


def test_what_the_others_say() -> None:
    assert words.others_say(_found()) == f"anna 2.0, bea 2.0 times as fast, {PER}."
    both = Combined(LOG2, 0.1, (0.0, math.log(4)), 0.0, (-900.0, 900.0), 1.0, 0.5, 0.0, (), ())
    makers = (_maker("anna"), _maker("bea"), _maker("cora", unlike=0.5))
    assert words.others_say(_found(combined=both, makers=makers)) == (
        f"2 makers (60 worn out), {PER}: 2.0 times as fast, between 1.00 and 4.0; "
        "for the next maker between under 0.01 and over 100."
    )


@pytest.mark.parametrize(
    ("matters", "count", "other_way", "said"),
    [
        (0.49, 3, 0.3, "The others see nothing in it beyond chance."),
        (0.5, 2, 0.3, "So few makers cannot tell how far makers differ in it."),
        (
            0.5,
            3,
            0.1,
            f"Makers differ in this: for about 1 in 10 {LAST_WORD}",
        ),
        (0.5, 3, 0.09, "Makers hardly differ in this, so what holds for their reeds says much of yours."),
    ],
)
def test_what_it_means_how_far_makers_differ(matters: float, count: int, other_way: float, said: str) -> None:
    others = replace(OTHERS, matters=matters, count=count, other_way=other_way)
    assert words.differ(_found(others=others)) == said


@pytest.mark.parametrize(
    ("names", "said"),
    [
        ("anna", "anna is unlike the others in this, and is not"),
        ("anna bea", "anna and bea are unlike the others in this, and are not"),
        ("anna bea cora dora", "anna, bea, cora and dora are unlike"),
        ("anna bea cora dora emma", "anna, bea and 3 others are unlike"),
        ("", ""),
    ],
)
def test_who_is_unlike_the_others(names: str, said: str) -> None:
    makers = (*(_maker(name, unlike=0.5) for name in names.split()), _maker("zoe", unlike=0.49))
    told = words.unlike(_found(makers=makers))
    assert told.startswith(said)
    assert bool(told) is bool(said)


def test_she_may_be_the_one_who_is_unlike() -> None:
    assert words.unlike(_found(told=replace(TOLD, unlike=0.49))) == ""
    assert words.unlike(_found(told=replace(TOLD, unlike=0.5))).startswith("You are unlike the others in this")


def test_whose_file_it_rests_on() -> None:
    assert words.leans_on(_found()) == ""
    leaning = (Without("anna", 0.86, "leaning", "shorter"), Without("bea", 0.6, "unclear", "longer"))
    assert words.leans_on(_found(leans_on=leaning)) == (
        "It rests on few files: without anna it is 9 in 10; without bea it is 6 in 10, and longer. "
        "Ask whether they are right."
    )


SETTLE = "A trial for the circle would settle it soonest: trial start ... for the circle."
AS_YOU_LIKE = "Leave it as you like it."


@pytest.mark.parametrize(
    ("finding", "said"),
    [
        (_found(), "So make it a rule for your next reeds: shorter. Then look again."),
        (
            _found(told=replace(TOLD, value=-0.4)),
            "So make it a rule for your next reeds: longer. Then look again.",
        ),
        # What only one evening of hers sets apart, the others have on theirs.
        (
            _found(alone=replace(ALONE, one_evening=True)),
            "So make it a rule for your next reeds: shorter. Then look again.",
        ),
        (_found(alone=None), "So try it, and note it with each reed: then your own log can tell."),
        (_found(evidence="leaning", told=replace(TOLD, chance=0.5)), SETTLE),
        (_found(evidence="leaning", told=replace(TOLD, chance=0.49)), AS_YOU_LIKE),
        (_found(evidence="leaning", habit=replace(HABIT, choice=False)), AS_YOU_LIKE),
    ],
)
def test_what_to_do(finding: TogetherFinding, said: str) -> None:
    assert words.advice(finding) == said


def test_each_maker_and_her_own_last() -> None:
    theirs = [
        ("anna", "2.0 times as fast, from 30 retirements"),
        ("bea", "2.0 times as fast, from 1 retirement"),
    ]
    assert words.by_maker(_found()) == [*theirs, ("your own", "1.4 times as fast, from 21 retirements")]
    assert words.by_maker(_found(own=None)) == theirs


def test_the_whole_as_plain_text() -> None:
    """A direction that is not even leaning has a question mark."""
    lines = words.together_lines(_together(_found(), _found(evidence="unclear", leans_on=())))
    assert lines[0] == "Which habits go with longer and shorter lives, by hours played, asked of a circle"
    assert lines[2] == (
        "Of all habits 1 in 5 was believed to end lives twice as fast. What the others know is believed before; "
        "your own reeds move it from there."
    )
    assert lines[4:6] == ["", "● clear    Tied: shorter"]
    assert [line for line in lines if "Tied: " in line] == ["● clear    Tied: shorter", "○ unclear  Tied: shorter?"]
    assert lines[6:12] == [
        f"    {said}"
        for said in (
            words.with_hours(_found()),
            words.how_sure(_found()),
            words.differ(_found()),
            words.advice(_found()),
            words.others_say(_found()),
            "anna: 2.0 times as fast, from 30 retirements",
        )
    ]
    assert words.begin_lines("/reeds/circle")[-1].startswith(
        "How to begin: put the files you are given into /reeds/circle"
    )
