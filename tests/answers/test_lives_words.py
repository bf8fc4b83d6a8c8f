"""How long reeds last, in words: each sentence by the rule that it follows, of answers made up for it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

import numpy as np
import pytest
from tests.answers.logs import Log

from reedkin.answers.lives import words
from reedkin.answers.lives.groups import Group, Grouping
from reedkin.answers.lives.lifespans import Lifespans
from reedkin.answers.lives.whole import Outcomes
from reedkin.study.habits import BY_INSTRUMENT, habit_named
from reedkin.study.lives import OutOfView
from reedkin.survival import LogRank, SurvivalCurve, kaplan_meier

CURVE = replace(
    kaplan_meier([8.24, 10, 12, 12], [True, True, False, False]),
    survival=np.array([0.75, 0.25]), lo=np.array([0.51, 0.02]), hi=np.array([0.93, 0.61]), at_risk=np.array([4, 2]),
    median=10.0, median_ci=(8.24, None),
)  # fmt: skip
EVERY_ONE = Outcomes(reeds=12, worn=5, lost=2, serving=3, gone={"lent": 2}, left_out=1)


def _curve(median: float | None, lo: float | None = None, hi: float | None = None) -> SurvivalCurve:
    return replace(CURVE, median=median, median_ci=(lo, hi))


def _test(p: float, *groups: str) -> LogRank:
    none = np.zeros(len(groups))
    return LogRank(3.21, len(groups) - 1, p, groups, none, none, none, np.zeros((len(groups), len(groups))))


GROUPS = (Group("oboe", 4, 2, CURVE, ()), Group("english horn", 1, 0, replace(CURVE, median=None), ()))


def _grouping(
    test: LogRank | None, larger: LogRank | None, split: Mapping[str, float] = MappingProxyType({}), unknown: int = 0
) -> Grouping:
    return Grouping(BY_INSTRUMENT, "hours", GROUPS, split, test, larger, "There is only one group.", unknown)


def test_an_age_is_told_to_a_tenth_of_an_hour_or_in_whole_days() -> None:
    assert words.age(8.24, "hours") == "8.2 h"
    assert words.age(62.6, "days") == "63 days"
    assert words.age(8.24, "hours", unit=False) == "8.2"


@pytest.mark.parametrize(
    ("curve", "said"),
    [
        (_curve(None), "over half still serve"),
        (_curve(8.2), "8.2 h (no limits yet)"),
        (_curve(8.2, hi=9.8), "8.2 h (up to 9.8)"),
        (_curve(8.2, lo=6.9), "8.2 h (6.9 or more)"),
        (_curve(8.2, 6.9, 9.8), "8.2 h (6.9 to 9.8)"),
    ],
)
def test_how_long_half_last_with_the_limits_that_are_known(curve: SurvivalCurve, said: str) -> None:
    assert words.half_last(curve, "hours") == said


@pytest.mark.parametrize(
    ("p", "said"),
    [
        (0.95, "95 of 100"),
        (0.0095, "1 of 100"),
        (0.009499, "9 of 1,000"),
        (0.001, "1 of 1,000"),
        (0.00099, "fewer than 1 of 1,000"),
    ],
)
def test_a_chance_is_a_count(p: float, said: str) -> None:
    assert words.chance(p) == said


@pytest.mark.parametrize(
    ("test", "larger", "said"),
    [
        (None, None, "There is only one group."),
        (_test(0.01, "a", "b"), None, "The groups are too small to tell whether they differ."),
        (_test(0.3, "a", "b"), _test(0.3, "a", "b"), "No clear difference: chance does as much in 30 of 100 cases."),
        (_test(0.05, "a", "b"), _test(0.05, "a", "b"), "No clear difference: chance does as much in 5 of 100 cases."),
        (_test(0.04, "a", "b"), _test(0.04, "a", "b"), "They seem to differ: chance does as much in 4 of 100 cases."),
        (
            _test(0.3, "a", "b", "c"),
            _test(0.001, "a", "b", "c"),
            "They seem to differ (3 larger groups): chance does as much in 1 of 1,000 cases.",
        ),
        (_test(0.3, "a", "b"), _test(0.0009, "a", "b"), "They seem to differ: chance hardly ever does as much."),
    ],
)
def test_whether_groups_differ_is_said_of_those_that_are_large_enough(
    test: LogRank | None, larger: LogRank | None, said: str
) -> None:
    assert words.differ(_grouping(test, larger), 1) == said


@pytest.mark.parametrize(
    ("evenings", "said"),
    [
        (({1, 2, 3, 4}, {5, 6}), ""),
        (({1}, {1}), ""),
        (({1, 2, 3, 4}, {5}), " Of one evening, so it may be that evening: English horn."),
        (({1}, {2}), " Each is of one evening, so nothing can be said of it apart from that evening."),
    ],
)
def test_a_group_of_one_evening_may_differ_by_that_alone(evenings: tuple[set[int], set[int]], said: str) -> None:
    groups = tuple(replace(group, evenings=frozenset(of)) for group, of in zip(GROUPS, evenings, strict=True))
    test = _test(0.04, "oboe", "english horn")
    found = words.differ(replace(_grouping(test, test), groups=groups), 1)
    assert found == f"They seem to differ: chance does as much in 4 of 100 cases.{said}"


@pytest.mark.parametrize(
    ("p", "said"),
    [
        (0.06, "No clear difference: chance does as much in 6 of 100 cases."),
        (
            0.04,
            "They may differ: chance does as much in 4 of 100 cases, and in one or another of 20 ways to split in up "
            "to 56 of 100.",
        ),
        (0.002, "They seem to differ: chance does as much in 2 of 1,000 cases."),
    ],
)
def test_where_there_are_many_ways_to_split_some_differ_by_chance(p: float, said: str) -> None:
    """1 - 0.96^20 is 0.558, and 1 - 0.998^20 is 0.039."""
    assert words.differ(_grouping(_test(p, "a", "b"), _test(p, "a", "b")), 20) == said


def test_of_many_groups_of_one_evening_three_are_named() -> None:
    names = ("a", "b", "c", "d", "e")
    groups = tuple(Group(name, 9, 5, CURVE, (), frozenset({ord(name)} if name != "e" else {1, 2})) for name in names)
    said = words.differ(replace(_grouping(_test(0.5, *names), _test(0.5, *names)), groups=groups), 1)
    assert said.endswith(" Of one evening each, so it may be that evening: a, b, c and 1 more.")


def test_what_became_of_them_names_only_what_happened() -> None:
    said = words.became_of(EVERY_ONE, "days")
    assert said == "12 served (1 of unknown days): 5 worn out, 3 in service, 2 lost, 2 lent"
    assert words.became_of(Outcomes(2, 2, 0, 0, {}, 0), "hours") == "2 served: 2 worn out"


@pytest.mark.parametrize(
    ("reeds", "worn", "begins"),
    [
        (0, 0, "No reed has been played yet"),
        (3, 0, "No reed has been retired for wear yet"),
        (3, 1, "Only 1 reed retired for wear"),
        (9, 4, "Only 4 reeds retired for wear"),
        (9, 5, ""),
    ],
)
def test_a_curve_is_a_rough_one_until_five_are_worn_out(reeds: int, worn: int, begins: str) -> None:
    said = words.what_is_missing(Outcomes(reeds, worn, 0, 0, {}, 0))
    assert said.startswith(begins)
    assert bool(said) is bool(begins)


def test_where_a_number_was_split() -> None:
    assert words.split_words(_grouping(None, None)) == ""
    both = words.split_words(_grouping(None, None, {"english horn": 60.0, "oboe": 71.987}))
    assert both == "Split at 60 (eh), 71.99 (ob)"
    used = replace(_grouping(None, None, {"oboe": 1.0, "english horn": 2.0}), by=habit_named("tube_uses"))
    assert words.split_words(used) == "Split at 1 reed (ob), 2 reeds (eh)"


def test_the_whole_as_plain_text() -> None:
    """Columns stand under one another; a group of which none is worn out has no curve; no two rows are empty."""
    test = _test(0.04, "english horn", "oboe")
    report = Lifespans("hours", _grouping(test, test, {"oboe": 72.0}, unknown=2), None, {"worn": 5, "cracked": 12})
    assert words.lives_lines(report, GROUPS, EVERY_ONE, 1) == [
        "How long reeds last, by hours played; split by instrument",
        "12 served (1 of unknown days): 5 worn out, 3 in service, 2 lost, 2 lent",
        "",
        "  oboe          half last 10.0 h (8.2 or more)           4 reeds, 2 worn out",
        "  English horn  over half still serve                     1 reed, 0 worn out",
        "",
        "They seem to differ: chance does as much in 4 of 100 cases. (log-rank: chi-square 3.21, df 1, p 0.04)",
        "Split at 72 (ob)",
        "Not known of 2 reeds.",
        "",
        "What ended them:",
        "  worn                       5",
        "  cracked                   12",
        "",
        "Of 100 reeds, still in service if wear alone ended them (95% limits), by hours played:",
        words.AS_THE_OTHERS,
        words.AS_FEWER,
        "  oboe",
        "         8.2 h   75 (51 to 93), 4 watched",
        "        10.0 h   25 (2 to 61), 2 watched",
    ]


def test_what_is_not_there_leaves_no_row() -> None:
    lines = words.lives_lines(Lifespans("hours", _grouping(None, None), None, {}), GROUPS[1:], EVERY_ONE, 1)
    assert lines == [
        "How long reeds last, by hours played; split by instrument",
        "12 served (1 of unknown days): 5 worn out, 3 in service, 2 lost, 2 lent",
        "",
        "  English horn  over half still serve                     1 reed, 0 worn out",
        "",
        "There is only one group.",
        "",
    ]
    assert words.group_lines((), "hours") == []


def test_reeds_out_of_view_are_named_and_in_one_line_the_first_of_them() -> None:
    one, other = (OutOfView(Log(tag).play(30).reed(), "a playing of unknown length") for tag in ("1", "2"))
    assert words.out_of_view_lines([]) == []
    assert words.out_of_view_lines([one, other]) == [
        "",
        "Counted only up to a playing of unknown length:",
        "  1: a playing of unknown length",
        "  2: a playing of unknown length",
    ]
    assert words.out_of_view_line([]) == ""
    assert words.out_of_view_line([one]) == "1 counts only up to a playing of unknown length"
    assert words.out_of_view_line([one, other]) == "1 counts only up to a playing of unknown length; and 1 more"
