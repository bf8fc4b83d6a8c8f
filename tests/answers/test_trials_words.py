"""What a fair trial says, in words: each sentence by the rule that it follows, of comparisons made up for it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

import numpy as np
import pytest

from reedkin.answers.habits.effects import Effect
from reedkin.answers.habits.report import times
from reedkin.answers.trials import words
from reedkin.answers.trials.comparison import Arm, Comparison
from reedkin.answers.trials.kept import Kept
from reedkin.answers.trials.size import Need
from reedkin.answers.trials.telling import in_ten
from reedkin.bench.trials import Trial
from reedkin.survival import Evidence, LogRank, kaplan_meier

STARTED, ENDED = datetime(2026, 1, 5, tzinfo=UTC), datetime(2026, 3, 9, tzinfo=UTC)
TRIAL = Trial("t1", "wire", ("before", "after"), "oboe", 40, STARTED)
STOPPED = replace(TRIAL, ended=ENDED)
CURVE = kaplan_meier([9.04, 13.1, 13.1], [True, True, True])
FASTER = Effect(2.0, 1.1, 3.6, 0.02, 30, 20, 0.25, 2.3, 0.5)
"""Lives end twice as fast with the second way."""
SLOWER = replace(FASTER, hazard_ratio=0.5, z=-2.3)
SURE = Evidence(0.97, 1.0)


def _arm(way: str, waiting: int = 2, serving: int = 3, worn: int = 8, never: int = 0, **others: Any) -> Arm:
    reeds = tuple(f"{way}{number}" for number in range(waiting + serving + worn + never + 1))
    return replace(Arm(way, reeds, reeds[:waiting], serving, worn, 1, never, CURVE), **others)


def _compared(trial: Trial = TRIAL, **others: Any) -> Comparison:
    usual = Comparison(
        trial,
        (_arm("before"), _arm("after")),
        False,
        False,
        None,
        SURE,
        "instrument",
        FASTER,
        "",
        None,
        (),
        None,
        Kept(),
    )
    return replace(usual, **others)


def _limits(comparison: Comparison) -> tuple[str, str]:
    assert comparison.limits is not None
    lo, hi = comparison.limits
    return times(lo), times(hi)


# Where it stands


@pytest.mark.parametrize(
    ("comparison", "said"),
    [
        (_compared(), "running, 16 of 40 worn out"),
        (_compared(STOPPED), "ended, 16 of 40 worn out"),
        (_compared(due=True), "over, 16 of 40 worn out"),
        (_compared(due=True, settled=True), "settled, 16 of 40 worn out"),
    ],
)
def test_where_it_stands(comparison: Comparison, said: str) -> None:
    assert words.state(comparison) == said


def test_what_it_compares() -> None:
    assert words.what(TRIAL) == "before or after, oboe"
    assert words.what(replace(TRIAL, instrument=None)) == "before or after, all instruments"


OF_DAY = "with 16 of 40 worn out; all that is said is of that day"
FAR = "16 of at most 40 reeds worn out, 10 more at work"
NO_MORE = "since 5 Jan 2026, drawing no more since 9 Mar 2026"


@pytest.mark.parametrize(
    ("comparison", "said"),
    [
        (_compared(), f"since 5 Jan 2026: {FAR}"),
        (_compared(to_tie=14), f"since 5 Jan 2026: {FAR}, about 14 still to tie"),
        (_compared(to_tie=0), f"since 5 Jan 2026: {FAR}, enough to get there"),
        # One that draws no more gets there only with those at work.
        (_compared(STOPPED), f"{NO_MORE}: {FAR}: it cannot get there any more"),
        (_compared(replace(STOPPED, planned=26)), f"{NO_MORE}: {FAR.replace('40', '26')}"),
        (_compared(replace(STOPPED, planned=26), to_tie=3), f"{NO_MORE}: {FAR.replace('40', '26')}"),
        (_compared(as_of=ENDED, due=True, settled=True), f"since 5 Jan 2026: settled on 9 Mar 2026 {OF_DAY}"),
        (_compared(as_of=ENDED, due=True), f"since 5 Jan 2026: over on 9 Mar 2026 {OF_DAY}"),
        (_compared(STOPPED, as_of=ENDED), f"{NO_MORE}: its last reed gone on 9 Mar 2026 {OF_DAY}"),
    ],
)
def test_how_far_it_is(comparison: Comparison, said: str) -> None:
    assert words.progress(comparison) == said


# What was found, told from the way with which lives are longer


def test_how_far_the_lives_differ() -> None:
    lo, hi = _limits(_compared())
    half = "Half last 13.1 h with “before”, 13.1 h with “after”. "
    said = f"Lives end 2.0 times as fast with “after” as with “before”; it may be anything from {lo} to {hi}."
    assert words.finding(_compared()) == half + said
    unknown = (_arm("before"), _arm("after", curve=None))
    assert words.finding(_compared(arms=unknown)) == said
    serving = replace(CURVE, median=None)
    assert words.finding(_compared(arms=(_arm("before", curve=serving), _arm("after")))) == said


def test_the_shorter_lives_are_named_as_such_whichever_way_they_are() -> None:
    slower = _compared(effect=SLOWER)
    assert slower.limits is not None
    lo, hi = (times(1 / limit) for limit in reversed(slower.limits))
    said = f"Lives end 2.0 times as fast with “before” as with “after”; it may be anything from {lo} to {hi}."
    assert words.finding(slower).endswith(said)
    same = _compared(effect=replace(FASTER, hazard_ratio=1.0))
    assert "1.00 times as fast with “after” as with “before”" in words.finding(same)


def test_where_nothing_can_be_told_it_says_why() -> None:
    assert words.finding(_compared(effect=None, untold="no reed is worn out")) == (
        "Nothing can be told yet: no reed is worn out."
    )
    boundless = replace(FASTER, hazard_ratio=float("inf"))
    assert words.finding(_compared(effect=boundless)) == "Nothing can be told yet: the ways are too uneven."


@pytest.mark.parametrize(
    ("chance", "said"),
    [
        (1.0, "99 in 100"),
        (0.999, "99 in 100"),
        (0.97, "97 in 100"),
        (0.9799, "97 in 100"),
        (0.95, "95 in 100"),
        (0.949, "9 in 10"),
        (0.55001, "6 in 10"),
        (0.05001, "1 in 10"),
        (0.05, "1 in 10"),
        (0.049, "less than 1 in 20"),
    ],
)
def test_a_chance_is_told_in_tenths_and_near_one_in_hundredths(chance: float, said: str) -> None:
    assert in_ten(chance) == said


def test_which_way_it_is_and_how_sure() -> None:
    for effect, better in ((FASTER, "before"), (SLOWER, "after")):
        said = words.sure(_compared(effect=effect))
        assert said == f"The chance that it is “{better}” that makes reeds last, and not luck: 97 in 100."
    assert words.sure(_compared(evidence=None)) == ""


# What to do


def test_while_it_runs_one_goes_on() -> None:
    assert words.verdict(_compared()).startswith("Go on: tie each reed as it is drawn")
    assert words.verdict(_compared(STOPPED)).startswith("It draws no more, but goes on")


END = " End the trial: trial end wire."
LEANS = "Not settled, but it leans: make them “before” if it costs you nothing."
AS_YOU_LIKE = "Not settled: make them as you like. If the ways do differ, lives end at most"


@pytest.mark.parametrize(
    ("others", "said"),
    [
        (
            {"settled": True},
            "Settled: make them “before”. Chance alone chose the ways, so it is the way that does it." + END,
        ),
        ({"evidence": Evidence(0.8, 1.0)}, LEANS + END),
        ({"trial": STOPPED, "evidence": Evidence(0.8, 1.0)}, LEANS),
        ({"evidence": None, "untold": "no reed is worn out"}, "Not settled: no reed is worn out." + END),
        ({"evidence": None}, "Not settled: it told nothing." + END),
    ],
)
def test_once_it_is_over_it_says_what_to_make(others: dict[str, Any], said: str) -> None:
    assert words.verdict(_compared(**{"as_of": ENDED, **others})) == said


def test_not_settled_is_told_by_how_much_the_ways_differ_at_most() -> None:
    unsure = _compared(as_of=ENDED, evidence=Evidence(0.79, 1.0))
    assert unsure.limits is not None
    lo, hi = unsure.limits
    assert lo < 1
    other = f" or {times(1 / lo)} times with “before”"
    assert words.verdict(unsure) == f"{AS_YOU_LIKE} {times(hi)} times as fast with “after”{other}.{END}"
    apart = replace(unsure, effect=replace(FASTER, hazard_ratio=6.0))
    assert apart.limits is not None
    lo, hi = apart.limits
    assert 1 < lo < 2
    assert words.verdict(apart) == f"{AS_YOU_LIKE} {times(hi)} times as fast with “after”.{END}"


# What is to be told beside


def test_uneven_shares_that_served_are_told_where_chance_would_hardly_make_them() -> None:
    assert words.uneven(_compared(arms=(_arm("before", never=3), _arm("after", never=1)))) == ""
    assert words.uneven(_compared(arms=(_arm("before", never=12), _arm("after", never=1)))) == (
        "But 12 of 24 made “before” and 1 of 13 made “after” never came to serve, and lives are compared only of those "
        "that did."
    )


@pytest.mark.parametrize(
    ("kept", "said"),
    [
        (Kept(), ""),
        (Kept(skipped=("7",)), "1 reed tied without being drawn (7)"),
        (Kept(taken_back=1), "1 drawn tying taken back"),
        (Kept(taken_back=3, played=2), "3 drawn tyings taken back, 2 of them after being played"),
        (Kept(not_followed=("7", "8", "9")), "3 not made as drawn (7–9)"),
        (
            Kept(("7", "9"), 1, 0, ("4",)),
            "2 reeds tied without being drawn (7, 9); 1 drawn tying taken back; 1 not made",
        ),
    ],
)
def test_what_went_past_the_draw(kept: Kept, said: str) -> None:
    told = words.past_the_draw(_compared(kept=kept))
    assert told.startswith(f"Past the draw: {said}" if said else "")
    assert bool(told) is bool(said)


def test_how_many_reeds_it_takes() -> None:
    needs = (Need(1.5, 180, 164, 210), Need(2.0, 66, 50, None), Need(2.5, 40, 24, 1), Need(3.0, 12, 0, 0))
    assert words.need_lines(_compared(needs=needs)) == [
        "lives that end 1.5 times as fast with 180 worn out: 164 more, about 210 reeds still to tie",
        "lives that end 2 times as fast with 66 worn out: 50 more",
        "lives that end 2.5 times as fast with 40 worn out: 24 more, about 1 reed still to tie",
        "lives that end 3 times as fast with 12 worn out: enough are",
    ]


# The whole


BECAME = "not played 2, in service 3, worn out 8, ended else 1"


def test_the_whole_as_plain_text() -> None:
    serving = replace(CURVE, median=None)
    arms = (_arm("before", never=1), _arm("after", curve=serving), _arm("after", curve=None))
    asked = replace(TRIAL, question="does it matter?")
    lines = words.comparison_lines(_compared(asked, arms=arms[:2], needs=(Need(2.0, 66, 50, None),)))
    assert lines[:6] == [
        f"Trial wire: before or after, oboe, since 5 Jan 2026: {FAR}",
        "“does it matter?”",
        "",
        f"before: assigned 15, {BECAME}, never served 1, half last 13.1 h (9.0 or more)",
        f"after: assigned 14, {BECAME}, never served 0, over half still serve",
        "",
    ]
    assert lines[6:9] == [words.finding(_compared(arms=arms[:2])), words.sure(_compared()), words.verdict(_compared())]
    assert lines[9] == words.INTENTION
    assert lines[11:] == [
        "",
        "Four trials of five settle",
        "  lives that end 2 times as fast with 66 worn out: 50 more",
    ]
    assert words.arm_half(arms[2]) == "–"
    none = words.comparison_lines(_compared(settled=True, arms=(arms[0], arms[2])))
    assert none[-1].startswith("(within one instrument")


def test_the_figures() -> None:
    none = np.zeros(2)
    test = LogRank(3.214, 1, 0.07, ("before", "after"), none, none, none, np.zeros((2, 2)))
    comparison = _compared(within="instrument and lot", test=test)
    assert comparison.limits is not None
    lo, hi = comparison.limits
    assert words.numbers(comparison) == (
        f"within one instrument and one lot; hazard ratio of “after” 2 ({lo:.3g} to {hi:.3g}, which holds at every "
        "look); chance 0.970; log-rank chi-square 3.21"
    )
    assert words.numbers(_compared(effect=None, evidence=None)) == "within one instrument"
    boundless = replace(FASTER, hazard_ratio=float("inf"))
    assert words.numbers(_compared(effect=boundless)) == "within one instrument; chance 0.970"
