"""What can be said against an event. The ranges are common practice, no source."""

from __future__ import annotations

from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.domain.maker import NOW
from tests.strategies import facts_of

from reedkin.domain.checks import Objection, Usual, judge, judge_time
from reedkin.domain.facts import FACTS, KINDS, Facts, Value
from reedkin.domain.instruments import starting_targets
from reedkin.domain.reeds import State, Wire
from reedkin.domain.words import NEVER

EH = State(
    instrument="english horn", stage="in progress", overall_mm=60, tube_mm=27, tip_from_mm=50.5, heart_from_mm=43.5
)


def _said(kind: str, facts: Facts, state: State | None = EH, note: str = "") -> list[tuple[str, str | None]]:
    return [(f.severity, f.fact) for f in judge(kind, facts, state, note)]


@pytest.mark.parametrize(
    ("kind", "facts"),
    [
        ("clipped", {"clip_mm": 0.5}),
        ("clipped", {"overall_mm": 59.5}),
        ("clipped", {"clip_mm": 0.5, "overall_mm": 59.4}),
        ("measured", {"overall_mm": 60.1}),
        ("scraped", {}),
        ("wired", {}),
        ("tubed", {"tubing_mm": 0}),
        ("played", {"minutes": 45, "score": 8}),
        ("retired", {"cause": NEVER}),
        ("crowed", {"crow": "C5 -20c"}),
        ("saved", {"occasion": "the recital", "due": "2027-03-12"}),
    ],
)
def test_nothing_to_say(kind: str, facts: Facts) -> None:
    assert judge(kind, facts, EH) == []


@pytest.mark.parametrize(
    ("kind", "facts", "fact"),
    [
        ("clipped", {"clip_mm": 0}, "clip_mm"),
        ("clipped", {"clip_mm": 50}, "clip_mm"),
        ("clipped", {"clip_mm": 33}, "clip_mm"),
        ("clipped", {"overall_mm": 27}, "overall_mm"),
        ("clipped", {"clip_mm": True}, "clip_mm"),
        ("clipped", {"clip_mm": float("nan")}, "clip_mm"),
        ("clipped", {"clip_mm": float("inf")}, "clip_mm"),
        ("clipped", {"clip_mm": "much"}, "clip_mm"),
        ("clipped", {}, None),
        ("measured", {}, None),
        ("played", {"minutes": 12.5}, "minutes"),
        ("played", {"score": 8}, None),
        ("played", {"minutes": 45, "score": 11}, "score"),
        ("measured", {"tip_from_mm": 60}, "tip_from_mm"),
        ("measured", {"tip_from_mm": 43, "heart_from_mm": 50}, "heart_from_mm"),
        ("wired", {"wire_mm": 61}, "wire_mm"),
        ("retired", {"cause": "boredom"}, "cause"),
        ("scraped", {"clip_mm": 1}, "clip_mm"),
        ("scraped", {"speed": 1}, "speed"),
        ("scraped", {"where": ()}, "where"),
        ("scraped", {"where": ("tip", " ")}, "where"),
        ("crowed", {"crow": "loud"}, "crow"),
        ("crowed", {"crow": "c5"}, "crow"),
        ("crowed", {"octaves": "yes"}, "octaves"),
        ("handed over", {"to": "  "}, "to"),
        ("saved", {"occasion": "x", "due": "12 March"}, "due"),
        ("noted", {}, None),
        ("tied", {"instrument": "oboe"}, None),
        ("danced", {}, None),
    ],
)
def test_impossible(kind: str, facts: dict[str, Value], fact: str | None) -> None:
    assert ("impossible", fact) in _said(kind, facts)


@pytest.mark.parametrize(
    ("kind", "facts", "fact"),
    [
        ("clipped", {"clip_mm": 5}, "clip_mm"),
        ("clipped", {"clip_mm": 9.5}, "clip_mm"),
        ("clipped", {"overall_mm": 61}, "overall_mm"),
        ("clipped", {"clip_mm": 0.5, "overall_mm": 57.5}, "clip_mm"),
        ("measured", {"overall_mm": 60.5}, "overall_mm"),
        ("measured", {"heart_from_mm": 26}, "heart_from_mm"),
        ("measured", {"heart_from_mm": 51}, "heart_from_mm"),
        ("tubed", {"tubing_mm": 3}, "tubing_mm"),
        ("wired", {"gauge_awg": 34}, "gauge_awg"),
        ("wired", {"wire": "off"}, "wire"),
        ("played", {"minutes": 300}, "minutes"),
        ("returned", {}, None),
    ],
)
def test_odd(kind: str, facts: Facts, fact: str | None) -> None:
    assert ("odd", fact) in _said(kind, facts)
    assert "impossible" not in [severity for severity, _ in _said(kind, facts)]


def test_clipping_the_tip_away_is_a_question_once() -> None:
    messages = [f.message for f in judge("clipped", {"clip_mm": 2}, State(overall_mm=52, tip_from_mm=50.5))]
    assert messages == ["at 50 mm nothing is left of the tip, which began at 50.5 mm"]
    assert judge("clipped", {"clip_mm": 1}, State(overall_mm=50, tip_from_mm=50.5)) == []


def test_far_from_the_target_is_a_question_where_a_reed_begins() -> None:
    oboe = starting_targets("oboe")
    for kind, aim in (("tied", 72), ("joined", 70)):  # a reed that joins is a finished one
        (finding,) = judge(kind, {"instrument": "oboe", "overall_mm": 60}, None, targets=oboe)
        assert (finding.severity, finding.message) == ("odd", f"60 mm for oboe: your target is {aim} mm")
        assert judge(kind, {"instrument": "oboe", "overall_mm": 71}, None, targets=oboe) == []


def test_a_tube_as_long_as_the_reed() -> None:
    (finding,) = judge("tied", {"instrument": "oboe", "overall_mm": 47, "tube_mm": 47}, None)
    assert finding == Objection("impossible", "that would leave 47 mm: no longer than the tube of 47 mm", "overall_mm")


RETIRED = State(instrument="oboe", stage="retired", cause="cracked")
GONE = State(instrument="oboe", stage="handed over", left_as="in service", playings=3)


def test_a_retired_reed_takes_only_words() -> None:
    for kind, facts in (("scraped", {}), ("played", {"minutes": 5}), ("retired", {"cause": "worn"}), ("returned", {})):
        (finding,) = judge(kind, facts, RETIRED)
        assert finding.severity == "impossible"
        assert "retired (cracked)" in finding.message
    assert judge("scored", {"score": 3}, RETIRED) == []
    assert judge("noted", {}, RETIRED, "it was good") == []


def test_handing_over_twice_and_returning_what_was_not_gone() -> None:
    assert [f.message for f in judge("handed over", {}, GONE)] == ["it is handed over already"]
    assert judge("returned", {}, GONE) == []
    assert [f.message for f in judge("played", {"minutes": 20}, GONE)] == [
        "it was handed over; if it is back, write return first"
    ]


def test_never_came_good_of_a_reed_that_was_played() -> None:
    played = State(stage="in service", playings=1)
    (finding,) = judge("retired", {"cause": NEVER}, played)
    assert (finding.severity, finding.message) == ("odd", "it has been played 1 time")


def test_moving_a_wire_that_is_there() -> None:
    assert judge("wired", {"wire": "moved", "wire_mm": 31}, State(wire=Wire(28))) == []


def test_what_is_missing_is_marked_so() -> None:
    assert [f.missing for f in judge("clipped", {}, EH)] == [True]
    assert [f.missing for f in judge("clipped", {"clip_mm": 50}, EH)] == [False]


def test_a_note_is_needed_where_nothing_else_is_said() -> None:
    assert judge("noted", {}, EH, "buzzes") == []
    assert _said("noted", {}, EH, "   ") == [("impossible", None)]


def test_the_makers_own_range_goes_before_the_usual_one() -> None:
    own = {"clip_mm": Usual(3, 6, 40)}
    assert judge("clipped", {"clip_mm": 5}, EH, usual=own) == []
    (finding,) = judge("clipped", {"clip_mm": 0.5}, EH, usual=own)
    assert finding.message == "clip 0.5 mm is unlike your own: 3 mm to 6 mm in 40 so far"


# Time


def test_times() -> None:
    assert judge_time(NOW, NOW) == []
    assert judge_time(NOW + timedelta(seconds=30), NOW) == []
    assert [f.severity for f in judge_time(NOW + timedelta(hours=1), NOW)] == ["odd"]
    assert judge_time(NOW - timedelta(days=3000), NOW) == []
    assert "11 years ago" in judge_time(NOW - timedelta(days=4200), NOW)[0].message
    (before,) = judge_time(NOW - timedelta(days=2), NOW, NOW - timedelta(days=1))
    assert "before the reed was begun" in before.message


# Every kind


@given(st.sampled_from(list(KINDS)), st.data())
def test_whatever_is_judged_gets_plain_sentences(kind: str, data: st.DataObject) -> None:
    facts = data.draw(facts_of(kind))
    for finding in judge(kind, facts, EH):
        assert finding.message
        assert finding.fact is None or finding.fact in FACTS
        assert "None" not in finding.message
        assert "_" not in finding.message
