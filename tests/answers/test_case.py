"""The case, and the order in which to play."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import theilslopes
from tests.domain.maker import NOW, Maker

from reedkin.answers.case.case import InCase, case, case_text, in_case_as_dict
from reedkin.answers.case.choosing import (
    OCCASIONS,
    Occasion,
    Suggestion,
    Weights,
    choose,
    choosing_text,
    suggestion_as_dict,
    weights_of,
)
from reedkin.answers.hours_left.outlook import HoursLeft
from reedkin.study.form import Mark, Trend, form, marks, trend
from reedkin.widgets.case_rows import case_rows


def test_form_is_the_median_of_the_last_three() -> None:
    assert form([]) is None
    assert form([9.0, 2.0]) == 5.5
    assert form([1.0, 8.0, 7.5, 2.0]) == 7.5


@settings(deadline=None, derandomize=True)
@given(st.lists(st.tuples(st.integers(1, 60), st.integers(0, 20)), min_size=4, max_size=6))
def test_the_trend_is_the_slope_of_theil_and_sen(steps: list[tuple[int, int]]) -> None:
    """scipy.stats.theilslopes is the reference."""
    hours = np.cumsum([minutes for minutes, _ in steps]) / 60
    scores = np.array([half / 2 for _, half in steps])
    found = trend([Mark(float(h), float(s)) for h, s in zip(hours, scores, strict=True)])
    assert found is not None
    assert found.per_hour == pytest.approx(theilslopes(scores, hours).slope, abs=1e-9)
    assert found.change == pytest.approx(found.per_hour * (hours[-1] - hours[0]))


def test_a_trend_needs_four_scores_at_different_hours() -> None:
    assert trend([Mark(1, 8), Mark(2, 7), Mark(3, 6)]) is None
    assert trend([Mark(1, 8)] * 5) is None


def test_scores_come_with_the_hours_they_were_given_at() -> None:
    maker = Maker("1 tie eh 60; score 6", "1 play 30 7", "1 play 30", "1 score response 8 pitch 9")
    assert marks(maker.reed("1")) == [Mark(0, 6), Mark(0.5, 7), Mark(1, 8.5)]


@pytest.fixture
def maker() -> Maker:
    """Four English horn reeds in service and one that crowed: 1 is the best, 2 the most rested, 3 failing, 4 new."""
    maker = Maker("1-6 tie eh 60 @2026-10-01", "5 crow C5", "6 scrape")
    for score in (8, 8.5, 9, 9):
        maker.type(f"1 play 60 {score} @2026-11-22")
    maker.type("2 play 90 7 @2026-11-01", "2 play 90 7.5 @2026-11-02")
    for day, score in enumerate((8, 7, 6.5, 5, 4.5), start=1):
        maker.type(f"3 play 60 {score} @2026-11-{day + 18}")
    maker.type("4 play 30 8 @2026-11-24")
    return maker


def named(found: list[InCase]) -> dict[str, InCase]:
    return {one.reed.tag: one for one in found}


def test_what_is_in_the_case_and_nearly_so(maker: Maker) -> None:
    found = named(case(maker.bench))
    assert {tag: one.ready for tag, one in found.items()} == {"1": True, "2": True, "3": True, "4": True, "5": False}
    assert found["1"].hours == 4
    assert found["1"].score == 9
    assert int(found["1"].days) == 54  # from 1 October to 25 November, in the morning
    assert found["3"].falling
    assert not found["3"].rising
    assert found["5"].rested is None
    assert found["5"].left is None


def test_hours_left_are_what_reeds_usually_last_until_one_is_worn_out(maker: Maker) -> None:
    left = named(case(maker.bench))["1"].left
    assert left is not None
    assert left.usual
    assert case_text(case(maker.bench), maker.clock.now())[-1].startswith("* none of yours is worn out yet")
    maker.type("9 tie eh 60; play 300; retire worn")
    left = named(case(maker.bench))["1"].left
    assert left is not None
    assert not left.usual
    assert "*" not in "".join(case_text(case(maker.bench), maker.clock.now()))


def suggested(
    maker: Maker, occasion: Occasion, at: datetime | None = None, instrument: str | None = None
) -> list[Suggestion]:
    said = maker.bench.settings
    at = at or maker.clock.now()
    return choose(case(maker.bench), occasion, at, weights_of(said.facts), said.public, instrument)


def order(maker: Maker, occasion: Occasion, at: datetime | None = None, instrument: str | None = None) -> list[str]:
    return [one.one.reed.tag for one in suggested(maker, occasion, at, instrument)]


def test_the_best_is_saved_in_practice_and_played_in_public(maker: Maker) -> None:
    assert order(maker, "practice").index("1") > order(maker, "practice").index("2")
    assert order(maker, "performance")[0] == "1"


def test_in_public_the_new_and_the_failing_come_after_the_others(maker: Maker) -> None:
    found = suggested(maker, "performance")
    assert [(s.one.reed.tag, s.held) for s in found] == [("1", False), ("2", False), ("4", True), ("3", True)]


def test_the_makers_level_is_hers(maker: Maker) -> None:
    maker.type("set public 8")
    found = suggested(maker, "performance")
    assert [s.one.reed.tag for s in found if not s.held] == ["1"]


def test_a_reed_saved_for_an_occasion_is_kept_for_it(maker: Maker) -> None:
    maker.type("2 save for the recital on 12 December")
    assert order(maker, "practice")[-1] == "2"
    assert order(maker, "performance")[-1] == "2"
    then = maker.clock.now() + timedelta(days=17)
    found = suggested(maker, "performance", then)
    assert (found[0].one.reed.tag, found[0].why[0]) == ("2", "saved for the recital on 12 Dec")
    after = then + timedelta(days=1)
    assert order(maker, "performance", at=after)[0] == "1"
    maker.type("2 save off")
    assert order(maker, "practice")[-1] != "2"


def test_rest_decides_where_all_else_is_equal() -> None:
    maker = Maker("1-3 tie eh 60 @2026-10-01", *(f"{n} play 120 8 @2026-11-{25 - n} 10:00" for n in (2, 1, 3)))
    assert order(maker, "practice")[-1] == "1"
    assert order(maker, "practice", at=maker.clock.now() + timedelta(days=9)) == ["1", "2", "3"]


def test_weights_are_the_makers_own(maker: Maker) -> None:
    found = case(maker.bench)
    rest_only = choose(found, "practice", maker.clock.now(), Weights(good=0, lasting=0, saving=0))
    assert {s.one.reed.tag: round(s.points, 2) for s in rest_only}["2"] == 1
    maker.type("set weight good 0 weight saving 0")
    by_rest = suggested(maker, "practice")
    assert [s.one.reed.tag for s in by_rest] == [s.one.reed.tag for s in rest_only]
    nothing = choose(found, "practice", maker.clock.now(), Weights(0, 0, 0, 0))
    assert {s.points for s in nothing} == {0}


def two(now: datetime) -> list[InCase]:
    """One that scores 8 and falls by half a point an hour, rested for a day, with two hours and a half left; and one
    that scores 6, of which nothing else is known; and a better one of another instrument."""
    maker = Maker("1-2 join oboe 3h", "3 join eh 3h")
    first, second, other = case(maker.bench)
    left = HoursLeft(2.5, 1.0, 4.0, 3, 0)
    return [
        replace(first, score=8.0, trend=Trend(-0.5, 4.0), rested=now - timedelta(hours=24), left=left),
        replace(second, score=6.0, trend=None, rested=None, left=None),
        replace(other, score=9.5, trend=None, rested=None, left=None),
    ]


@pytest.mark.parametrize(
    ("occasion", "weights", "first", "second"),
    [
        # good 3, rested 1, lasting 1, saving 0, of 5
        ("performance", Weights(), (3 * 0.75 + 0.5 + 0.5) / 5, (3 * 0.6 + 1 + 0.5) / 5),
        # good 1.5, rested 1, lasting 0.5, saving 0.75, of 3.75; playing the second spares the first
        ("rehearsal", Weights(), (1.5 * 0.75 + 0.5 + 0.25) / 3.75, (1.5 * 0.6 + 1 + 0.25 + 0.75) / 3.75),
        # good 0.5, rested 1, lasting 0, saving 1.5, of 3
        ("practice", Weights(), (0.5 * 0.75 + 0.5) / 3, (0.5 * 0.6 + 1 + 1.5) / 3),
        # rest counts twice: of 6
        ("performance", Weights(rested=2), (3 * 0.75 + 1 + 0.5) / 6, (3 * 0.6 + 2 + 0.5) / 6),
    ],
)
def test_points_worked_by_hand(occasion: Occasion, weights: Weights, first: float, second: float) -> None:
    chosen = {one.one.reed.tag: one for one in choose(two(NOW), occasion, NOW, weights, level=0.0)}
    assert (chosen["1"].points, chosen["2"].points) == (pytest.approx(first), pytest.approx(second))


def test_why_is_said_in_the_order_of_weight() -> None:
    def why(occasion: Occasion, hours: float = 0.0) -> tuple[str, ...]:
        return choose(two(NOW), occasion, NOW + timedelta(hours=hours), level=0.0, instrument="oboe")[-1].why

    # The best of the oboe reeds; that an English horn reed is better is nothing to them.
    assert why("practice") == ("your best: save it", "form 8, falling", "rested 1 day")
    assert why("rehearsal")[0] == "your best: save it"
    assert why("practice", hours=-20)[2] == "last played 4 h ago"
    assert why("practice", hours=-24)[2] == "just played"
    assert choose(two(NOW)[:1], "practice", NOW)[0].why[0] == "form 8, falling"  # with no other there is no best
    first = next(one for one in choose(two(NOW), "performance", NOW, level=0.0) if one.one.reed.tag == "1")
    assert first.why == ("form 8, falling", "rested 1 day", "about 2 h left (1 to 4)")


@pytest.mark.parametrize("occasion", OCCASIONS)
def test_points_lie_between_0_and_1_and_reasons_are_few(maker: Maker, occasion: Occasion) -> None:
    for suggestion in suggested(maker, occasion):
        assert 0 <= suggestion.points <= 1
        assert 1 <= len(suggestion.why) <= 3
        assert suggestion_as_dict(suggestion)["why"] == list(suggestion.why)


def test_one_instrument_alone(maker: Maker) -> None:
    maker.type("30 tie oboe 72; play 60 8")
    assert order(maker, "practice", instrument="oboe") == ["30"]


def test_it_in_words(maker: Maker) -> None:
    lines = choosing_text(suggested(maker, "performance"), "performance", date(2026, 3, 12))
    assert lines[:2] == [
        "For a performance on Thu 12 Mar 2026, English horn:",
        "1. reed 1: form 9, rising, rested 2 days, about 11 h left (4 to 29)*",
    ]
    assert lines[3].startswith("3. reed 4: rather not: new: 30 min played")
    assert choosing_text([], "performance", date(2026, 3, 12)) == ["No reed is in service for a performance."]
    text = case_text(case(maker.bench), maker.clock.now())
    assert text[0] == "English horn:"
    assert text[3].startswith("3: played 5 h, 54 days old, form 5.0, falling, rested 1")
    assert text[5] == "5: not played, 54 days old, nearly ready"
    # Of one that joined the log it is not known when it was made.
    maker.type("30 joined oboe 5h")
    joined = case(maker.bench)[-1]
    assert case_text([joined], maker.clock.now())[1].startswith("30: played 5 h, 0 days in this log, hours left")
    assert "  5 h    0+" in "".join(run.text for run in case_rows([], [joined], maker.clock.now(), 80)[0])
    assert case_text([], maker.clock.now())[0].startswith("The case is empty")
    # Nor, without its hours, how long it was played; but it is not to be played in.
    maker.type("31 joined oboe")
    old = [one for one in suggested(maker, "practice") if one.one.reed.tag == "31"]
    assert not any("new" in why for one in old for why in one.why)


def test_it_as_json(maker: Maker) -> None:
    told = in_case_as_dict(case(maker.bench)[0], maker.clock.now())
    assert (told["tag"], told["hours_played"], told["score"], told["saved_for"]) == ("1", 4, 9, None)
    assert told["common_practice"] is True
    # The slopes between 8, 8.5, 9 and 9, an hour apart, are 0, 1/4, 1/3, 1/2, 1/2 and 1/2. Played last three days ago.
    assert told["trend_per_hour"] == pytest.approx(5 / 12)
    assert told["rest_hours"] == pytest.approx(70.3, abs=0.5)
    unplayed = in_case_as_dict(named(case(maker.bench))["5"], maker.clock.now())
    assert (unplayed["rest_hours"], unplayed["trend_per_hour"], unplayed["common_practice"]) == (None, None, None)
    lo, hi = told["expected_remaining_range"]  # type: ignore[misc]
    assert lo < told["expected_remaining_hours"] < hi
