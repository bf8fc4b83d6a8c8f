"""What is said of habits, in words: each sentence by the rule that it follows, of findings made up for it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from tests.answers.logs import Log

from reedkin.answers.habits import words
from reedkin.answers.habits.effects import Effect
from reedkin.answers.habits.hours import Hours
from reedkin.answers.habits.one_habit import ByAge, OneHabit
from reedkin.answers.habits.report import Finding, HabitsReport, Untried, Worth
from reedkin.answers.lives.groups import grouped
from reedkin.study.habits import BY_INSTRUMENT, FIRST_SCORE, Habit
from reedkin.study.study import Study
from reedkin.survival import Belief

PER = "each extra millimetre tied"
LENGTH = Habit("tied", "Tied", PER, "shorter", "longer", "making", unit="mm", choice=True)
PACE = Habit(
    "early_longest", "Longest early playing", "each extra minute", "short", "long", "use", unit="minutes", choice=True,
    lag_hours=8.0, about="Of the first three.",
)  # fmt: skip
WIRED = Habit("wired", "Wired", "wired rather than not", "no wire", "wired", "making", "yes", choice=True)
LOT = Habit("lot", "Lot", "a lot rather than the others", "other lots", "this lot", "making", "category")
SHAPE = replace(LOT, name="shape", label="Shape", low="other shapes", choice=True)
WEATHER = replace(LENGTH, name="weather", label="Weather", low="dry", high="damp", choice=False)
TUBE = replace(SHAPE, name="tube", label="Tube", low="other tubes", drawn=False)
WAIT = "about 44 more reeds worn out settle it, if it is real"
GAIN = "if it is real (9 in 10) it brings 2.6 h a reed"
BOTH_WAYS = "Change nothing for good yet: reeds treated both ways at the same time tell, best in a fair trial."
RULE = "So make it a rule for your next reeds:"
EFFECT = Effect(1.42, 1.08, 1.93, 0.01, 30, 21, 1.0, 2.5, 1.0)
HOURS = Hours(59.46, 60.84, 1.4, "oboe", False, 13.2, -2.6, -4.5, -0.4, None)


def _finding(habit: Habit = LENGTH, hours: Hours | None = HOURS, **others: Any) -> Finding:
    usual = Finding(habit, "hours", habit.per, EFFECT, 0.02, 0.97, None, False, hours, "clear", "shorter", None)
    return replace(usual, **others)


def _hours(low: float | str, high: float | str, longer: float = 2.0, **others: Any) -> Hours:
    return replace(HOURS, low=low, high=high, longer=longer, **others)


# A chance, a count, a time


@pytest.mark.parametrize(
    ("chance", "said"),
    [
        (0.985, "99 in 100"),
        (0.984, "19 in 20"),
        (0.95, "19 in 20"),
        (0.949, "9 in 10"),
        (0.35001, "4 in 10"),
        (0.06, "1 in 10"),
        (0.05, "1 in 20"),
        (0.02, "1 in 20"),
        (0.019, "1 in 100"),
    ],
)
def test_a_chance_is_told_in_tenths_and_near_its_ends_closer(chance: float, said: str) -> None:
    assert words.chance_words(chance) == said


def test_a_count_that_is_a_guess_has_two_digits() -> None:
    assert [words.rounded(count) for count in (7, 134, 2468)] == ["7", "130", "2,500"]


@pytest.mark.parametrize(
    ("weeks", "said"),
    [
        (0.2, "1 week"),
        (8.9, "9 weeks"),
        (9, "2 months"),
        (26, "6 months"),
        (101, "23 months"),
        (102, "2 years"),
        (156, "3 years"),
        (364, "7 years"),
    ],
)
def test_how_long_a_trial_takes_is_told_in_weeks_months_or_years(weeks: float, said: str) -> None:
    worth = Worth(_finding(), 59.0, 61.0, 2.0, None, 40, 60, weeks)
    report = HabitsReport("hours", 30, 21, (), (), worth=worth)
    assert f"about 60 reeds, {said}" in words.most_worth(report)


# What a habit comes to in hours


@pytest.mark.parametrize(
    ("finding", "said"),
    [
        # Lengths in three digits, other numbers in two; told from the way that lives are longer.
        (_finding(), "Tied 59.5 rather than 60.8 mm: lives of 13 h are 2.6 h longer (0.4 to 4.5)"),
        (
            _finding(PACE, _hours(21.4, 38.6, 2.0, lo=0.5, hi=None)),
            "Longest early playing 39 rather than 21 minutes: lives of 13 h are 2.0 h longer (0.5 to ?)",
        ),
        (
            _finding(PACE, _hours(21.4, 38.6, 12.0, lo=None, hi=20.0, several=True), clock="days"),
            "Longest early playing 39 rather than 21 minutes (oboe): lives of 13 d are 12 d longer (? to 20)",
        ),
        # Limits on either side of none say so; where lives are as long, the higher way is named first.
        (
            _finding(WIRED, _hours("no wire", "wired", 0.0, lo=-1.0, hi=1.5)),
            "Wired rather than no wire: lives of 13 h are 0.0 h longer (1.0 shorter to 1.5 longer)",
        ),
        (
            _finding(WIRED, _hours("no wire", "wired", -9.95, lo=0.0, hi=12.0)),
            "No wire rather than wired: lives of 13 h are 10 h longer (12 shorter to 0.0 longer)",
        ),
        (
            _finding(LOT, _hours("other lots", "7", 2.0, lo=0.0, hi=3.0)),
            "Lot 7 rather than other lots: lives of 13 h are 2.0 h longer (0.0 to 3.0)",
        ),
        (
            _finding(LOT, _hours("other lots", "7", -2.0, lo=-3.0, hi=-1.0)),
            "Other lots rather than lot 7: lives of 13 h are 2.0 h longer (1.0 to 3.0)",
        ),
        (_finding(hours=None), ""),
    ],
)
def test_in_hours(finding: Finding, said: str) -> None:
    assert words.in_hours(finding).lower() == said.lower()
    assert words.in_hours(finding)[:1] == said[:1]


def test_by_hours_is_a_figure_alone() -> None:
    assert words.by_hours(_finding()) == "2.6 h"
    assert words.by_hours(_finding(hours=_hours(1, 2, 9.95), clock="days")) == "10 d"
    assert words.by_hours(_finding(hours=None)) == "–"


# How sure, and what to do


def test_how_sure() -> None:
    sure = words.how_sure(_finding())
    assert sure == "Clear: the chance is 19 in 20 that it matters (21 worn out of 30 reeds)."
    assert words.based_on(replace(EFFECT, retired=1)) == "From 1 retirement among 30 reeds."


@pytest.mark.parametrize(
    ("others", "said"),
    [
        ({}, ""),
        ({"by_lot": True}, "Your reeds of one lot hardly differ in it"),
        ({"within_lots": EFFECT}, "Among reeds of one lot too: 1.4 times as fast (1.08 to 1.9 times)."),
        (
            {"within_lots": EFFECT, "evidence": "unclear"},
            "Among reeds of one lot: 1.4 times as fast (1.08 to 1.9 times).",
        ),
        (
            {"within_lots": EFFECT, "goes_away": True},
            "Among reeds of one lot: 1.4 times as fast (1.08 to 1.9 times). So it may be the lots that differ",
        ),
    ],
)
def test_what_the_lots_say(others: dict[str, Any], said: str) -> None:
    told = words.by_lots(_finding(**others))
    assert told.startswith(said)
    assert bool(told) is bool(said)
    assert ("mind the lot first" in told) is others.get("goes_away", False)


@pytest.mark.parametrize(
    ("finding", "said"),
    [
        # Clear: the way with which lives are longer, and what it spares from one blank a season on.
        (_finding(), f"{RULE} shorter. Then look again."),
        (_finding(direction="longer"), f"{RULE} longer. Then look again."),
        (
            _finding(hours=_hours(1, 2, blanks=-1.0)),
            f"{RULE} shorter (it saves about 1 blank a season). Then look again.",
        ),
        (_finding(hours=_hours(1, 2, blanks=0.9)), f"{RULE} shorter. Then look again."),
        (
            _finding(SHAPE, effect=replace(EFFECT, word="K")),
            f"{RULE} another shape. Then look again.",
        ),
        (
            _finding(SHAPE, effect=replace(EFFECT, word="K"), direction="longer"),
            f"{RULE} this shape. Then look again.",
        ),
        (_finding(WEATHER), "So reckon with it: you cannot well choose it, but it tells which reeds to save."),
        # Not clear: nothing, or wait, and how long.
        (_finding(evidence="leaning", by_lot=True, more_retirements_needed=50), BOTH_WAYS),
        (_finding(evidence="unclear", goes_with_time=True, more_retirements_needed=50), BOTH_WAYS),
        (_finding(one_evening=True), BOTH_WAYS),
        (_finding(WEATHER, evidence="unclear", goes_with_time=True), "You need do nothing for it yet."),
        (_finding(TUBE, evidence="leaning", by_lot=True), BOTH_WAYS.replace(", best in a fair trial", "")),
        (_finding(TUBE, effect=replace(EFFECT, word="N3")), f"{RULE} another tube. Then look again."),
        (
            _finding(TUBE, effect=replace(EFFECT, word="N3"), evidence="leaning", more_retirements_needed=50),
            "So the better bet for now: another tube. "
            "Look again: about 50 more reeds worn out settle it, if it is real.",
        ),
        (_finding(evidence="unclear"), "Do as you like: if it matters at all, it is by little."),
        (
            _finding(evidence="unclear", more_retirements_needed=3001),
            "Do as you like: if it matters at all, it is by little.",
        ),
        (
            _finding(evidence="unclear", more_retirements_needed=3000),
            "So do as you like for now: about 3,000 more reeds worn out settle it, if it is real.",
        ),
        (
            _finding(WEATHER, evidence="leaning", more_retirements_needed=44),
            f"You need do nothing for it: {WAIT}.",
        ),
        (
            _finding(evidence="leaning", more_retirements_needed=44),
            f"So the better bet for now: shorter. A fair trial tells, or {WAIT}.",
        ),
        (
            _finding(evidence="leaning", direction="longer", more_retirements_needed=44),
            f"So the better bet for now: longer. A fair trial tells, or {WAIT}.",
        ),
    ],
)
def test_what_to_do(finding: Finding, said: str) -> None:
    assert words.to_do(finding) == said


def test_what_one_evening_alone_sets_apart_is_said() -> None:
    said = "Only the reeds of one evening set it apart, so it may be that evening: vary it on another to tell."
    assert words.by_evening(_finding(one_evening=True)) == said
    assert said in words.finding_lines(_finding(one_evening=True))
    assert words.by_evening(_finding()) == ""


def test_how_many_more_it_takes() -> None:
    for more, said in ((None, "–"), (44, "44"), (3000, "3,000"), (3001, "thousands")):
        assert words.more_to_settle(_finding(more_retirements_needed=more)) == said


# The trial most worth starting


def _worth(habit: Habit, low: float | str, high: float | str, retirements: int = 38, **others: Any) -> HabitsReport:
    finding = _finding(habit, chance=0.86, evidence="leaning", effect=replace(EFFECT, word=others.pop("word", None)))
    worth = Worth(finding, low, high, -2.6, others.pop("blanks", None), retirements, None, None)
    return HabitsReport("hours", 30, 21, (), (), worth=replace(worth, **others))


@pytest.mark.parametrize(
    ("report", "said"),
    [
        (
            _worth(LENGTH, 59.46, 60.84),
            f"Worth a fair trial: tied, 59.5 or 60.8; {GAIN}. It takes about 38 reeds worn out.",
        ),
        (
            _worth(PACE, 1.2, 38.6, blanks=-1.0, reeds=57),
            f"Worth a fair trial: longest early playing, 1 minute or 39 minutes; {GAIN} and spares 1 blank a season. "
            "It takes about 57 reeds.",
        ),
        (
            _worth(PACE, 0.52, 0.95, blanks=0.9),
            f"Worth a fair trial: longest early playing, 0.52 minutes or 1 minute; {GAIN}. "
            "It takes about 38 reeds worn out.",
        ),
        (
            _worth(SHAPE, "other shapes", "K", word="K", reeds=57, weeks=156.0),
            f"Worth a fair trial: shape k, or not; {GAIN}. It takes about 57 reeds, 3 years.",
        ),
        (
            _worth(WIRED, "no wire", "wired", reeds=57, weeks=157.0),
            "No fair trial is over within three years at your pace: wired, or not takes about 57 reeds, 3 years. Other "
            "makers' logs tell sooner: reedkin habits --with FILE.",
        ),
        (HabitsReport("hours", 30, 21, (), ()), ""),
    ],
)
def test_the_trial_most_worth_starting(report: HabitsReport, said: str) -> None:
    assert words.most_worth(report) == said


@pytest.mark.parametrize(
    ("report", "line"),
    [
        # For as many as it takes in round tens, and no fewer than 20.
        (_worth(LENGTH, 59.46, 60.84), "trial start tied 59.5 or 60.8 for 40"),
        (_worth(LENGTH, 59.46, 60.84, 40), "trial start tied 59.5 or 60.8 for 40"),
        (_worth(LENGTH, 59.46, 60.84, 41), "trial start tied 59.5 or 60.8 for 50"),
        (_worth(LENGTH, 59.46, 60.84, 9), "trial start tied 59.5 or 60.8 for 20"),
        # Called as the trade would, or by the first word of its habit's name.
        (_worth(PACE, 20, 40), "trial start pace 20 minutes or 40 minutes for 40"),
        (_worth(replace(LENGTH, name="gouge_mm"), 0.582, 0.6), "trial start gouge 0.582 or 0.6 for 40"),
        (_worth(WIRED, "no wire", "wired"), "trial start wire none or on for 40"),
        (_worth(replace(WIRED, name="sealed"), "open", "sealed"), "trial start sealed no wire or wired for 40"),
        (_worth(SHAPE, "other shapes", "K"), "trial start shape K or another for 40"),
        (_worth(LENGTH, 59.46, 60.84, weeks=157.0), ""),
    ],
)
def test_the_line_that_starts_it(report: HabitsReport, line: str) -> None:
    assert words.trial_line(report) == line


# The whole


def test_how_a_habit_is_reckoned() -> None:
    assert words.about(LENGTH) == ""
    assert words.about(replace(LENGTH, about="By the tie.")) == "By the tie."
    late = "Without a reed's last 8 playing hours (or half a usual life), since one that fails is treated otherwise."
    assert words.about(PACE) == f"{late} Of the first three."
    assert words.about(replace(PACE, about="")) == late


def test_how_many_were_tried_and_what_was_believed() -> None:
    assert words.tried(HabitsReport("hours", 0, 0, (), ())) == "No habit can be told of yet, by hours played."
    report = HabitsReport("days", 30, 21, (_finding(),), (), Belief(8, 0.2))
    believed = "1 in 8 was believed to end lives 1.5 times as fast."
    assert words.tried(report) == f"1 habit by days in service; {believed}"


def test_the_whole_as_plain_text() -> None:
    """Habits of which the log cannot tell are named once for each reason; a forecast is called none."""
    why = "too few were noted"
    report = HabitsReport(
        "hours", 30, 21, (_finding(),),
        (Untried(WIRED, why), Untried(LOT, "all are of one lot"), Untried(SHAPE, why)),
        forecasts=(_finding(FIRST_SCORE),),
        worth=_worth(WIRED, "no wire", "wired").worth,
    )  # fmt: skip
    lines = words.habits_lines(report)
    assert lines[:11] == [
        "Which habits go with longer and shorter lives, by hours played",
        f"30 reeds served, 21 of them worn out. {words.tried(report)}",
        words.NOT_CAUSE,
        words.LAGGED,
        words.TIMES,
        words.EVENINGS,
        words.ONE_PLAYER,
        f"Worth a fair trial: wired, or not; {GAIN}. It takes about 38 reeds worn out.",
        'To start it: reedkin add "trial start wire none or on for 40"',
        "",
        "● clear    Tied",
    ]
    assert lines[11:15] == [
        "    Tied 59.5 rather than 60.8 mm: lives of 13 h are 2.6 h longer (0.4 to 4.5).",
        "    Clear: the chance is 19 in 20 that it matters (21 worn out of 30 reeds).",
        "    So make it a rule for your next reeds: shorter. Then look again.",
        "    Each extra millimetre tied: lives end 1.4 times as fast (1.08 to 1.9 times).",
    ]
    assert lines[15:17] == ["", f"  forecast  {FIRST_SCORE.label}"]
    assert lines[17].endswith("From 21 retirements among 30 reeds.")
    assert lines[18] == f"    {words.FORECAST} Use it to choose what to play, not what to make."
    assert lines[19:] == [
        "",
        "Of these the log cannot tell:",
        "  Wired, shape: too few were noted",
        "  Lot: all are of one lot",
    ]


def test_where_nothing_is_worth_a_trial_none_is_named() -> None:
    lines = words.habits_lines(HabitsReport("hours", 3, 2, (), ()))
    assert len(lines) == 3
    assert lines[2].startswith("Early days: 2 reeds worn out so far")


# One habit closely


def _one(**others: Any) -> OneHabit:
    log = Log("1").play(60).retire().reed()
    usual = OneHabit(
        WIRED,
        "hours",
        WIRED.per,
        EFFECT,
        "",
        None,
        grouped(Study.of([log]), BY_INSTRUMENT, "hours"),
        (),
        None,
        None,
        "",
    )
    return replace(usual, **others)


@pytest.mark.parametrize(
    ("one", "said"),
    [
        (_one(), []),
        (_one(beside=(LENGTH,), unadjusted="too few"), ["Adjusted for tied: cannot be told, too few."]),
        (
            _one(beside=(LENGTH, LOT, PACE, SHAPE), adjusted=EFFECT, alone_in_same=replace(EFFECT, hazard_ratio=2.0)),
            ["Adjusted for tied, longest early playing and among reeds of one lot and one shape: 1.4 times (1.08 to "
             "1.9); alone among the same 30 reeds: 2.0 times (1.08 to 1.9)."],
        ),
        (
            _one(beside=(LOT,), adjusted=EFFECT, alone_in_same=EFFECT),
            ["Among reeds of one lot: 1.4 times (1.08 to 1.9); alone among the same 30 reeds: 1.4 times (1.08 to "
             "1.9)."],
        ),
    ],
)  # fmt: skip
def test_what_it_is_beside_other_habits(one: OneHabit, said: list[str]) -> None:
    assert words.adjusted_words(one) == said


def test_one_habit_as_plain_text() -> None:
    rate = "Wired rather than not: lives end 1.4 times as fast (1.08 to 1.9 times)."
    told = words.one_habit_lines(_one(by_age=ByAge(0.3, grows=False)), None)
    assert told[:4] == [
        "Wired, by hours played",
        rate,
        "From 21 retirements among 30 reeds.",
        "No sign that the effect changes as reeds age.",
    ]
    assert told[-1] == words.NOT_CAUSE
    assert words.one_habit_lines(_one(), _finding(WIRED))[1:4] == [
        rate,
        "Clear: the chance is 19 in 20 that it matters (21 worn out of 30 reeds).",
        f"{RULE} no wire. Then look again.",
    ]
    assert words.one_habit_lines(_one(alone=None, untold="too few"), None)[1] == "The log cannot tell: too few."
