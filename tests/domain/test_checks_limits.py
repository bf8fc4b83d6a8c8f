"""Where a judgement begins: each limit at its last sound value and just past it, each stage with each kind of event."""

from __future__ import annotations

from datetime import timedelta

import pytest
from tests.domain.maker import NOW

from reedkin.domain.checks import Objection, Usual, judge, judge_time
from reedkin.domain.facts import Facts
from reedkin.domain.instruments import starting_targets
from reedkin.domain.reeds import State, Wire, advance
from reedkin.domain.words import NEVER

BLANK = State(instrument="english horn", stage="blank", overall_mm=60, tube_mm=27)
MARKED = State(
    instrument="english horn", stage="in progress", overall_mm=60, tube_mm=27, tip_from_mm=50.5, heart_from_mm=43.5
)
TIP_ONLY = State(instrument="english horn", stage="in progress", overall_mm=60, tube_mm=27, tip_from_mm=50.5)
HEART_ONLY = State(instrument="english horn", stage="in progress", overall_mm=60, tube_mm=27, heart_from_mm=43.5)
UNMEASURED = State(instrument="english horn", stage="in progress")


def _messages(kind: str, facts: Facts, state: State | None, note: str = "") -> list[str]:
    return [finding.message for finding in judge(kind, facts, state, note)]


# Time


@pytest.mark.parametrize(
    ("seconds", "said"),
    [(60, []), (61, ["25 Nov 2026 10:08 is still to come"])],
)
def test_a_minute_ahead_is_now(seconds: int, said: list[str]) -> None:
    assert [one.message for one in judge_time(NOW + timedelta(seconds=seconds), NOW)] == said


def test_an_event_may_be_of_the_moment_in_which_its_reed_was_begun_and_not_before() -> None:
    assert judge_time(NOW, NOW, NOW) == []
    (before,) = judge_time(NOW - timedelta(seconds=1), NOW, NOW)
    assert before.severity == "odd"
    assert "is before the reed was begun" in before.message


def test_more_than_ten_years_ago_is_asked_about_where_it_was_typed() -> None:
    ten_years = NOW - timedelta(days=3653)
    assert judge_time(ten_years, NOW) == []
    (long_past,) = judge_time(ten_years - timedelta(seconds=1), NOW)
    assert long_past.severity == "odd"
    assert judge_time(ten_years - timedelta(days=1000), NOW, typed=False) == []


# Lengths


@pytest.mark.parametrize(
    ("kind", "facts", "state", "said"),
    [
        # The readings of a ruler differ by 0.2 mm.
        ("measured", {"overall_mm": 60.2}, BLANK, []),
        ("measured", {"overall_mm": 60.204}, BLANK, []),
        ("measured", {"overall_mm": 60.25}, BLANK, ["60.25 mm is longer than before (60 mm)"]),
        ("measured", {"overall_mm": 70}, UNMEASURED, []),
        ("measured", {"overall_mm": 59.9}, State(overall_mm=59.7), []),
        ("clipped", {"clip_mm": 1, "overall_mm": 58.8}, BLANK, []),
        ("clipped", {"clip_mm": 1, "overall_mm": 59.2}, BLANK, []),
        ("clipped", {"clip_mm": 1, "overall_mm": 58.796}, BLANK, []),
        ("clipped", {"clip_mm": 1, "overall_mm": 58.75}, BLANK, ["1 mm off 60 mm leaves 59 mm, not 58.75 mm"]),
        ("clipped", {"clip_mm": 1, "overall_mm": 59.25}, BLANK, ["1 mm off 60 mm leaves 59 mm, not 59.25 mm"]),
        ("clipped", {"clip_mm": 1, "overall_mm": 58}, UNMEASURED, []),
        # A reed is longer than its tube.
        ("measured", {"overall_mm": 27}, BLANK, ["that would leave 27 mm: no longer than the tube of 27 mm"]),
        ("clipped", {"clip_mm": 20}, State(overall_mm=20.5), []),
        ("clipped", {"clip_mm": 20}, State(overall_mm=20), ["that would leave 0 mm: no longer than nothing"]),
    ],
)
def test_lengths(kind: str, facts: Facts, state: State, said: list[str]) -> None:
    assert [message for message in _messages(kind, facts, state) if "usual is" not in message] == said


def test_a_reed_that_begins_may_be_8_mm_off_its_target() -> None:
    oboe = starting_targets("oboe")  # tied at 72 mm, finished at 70 mm
    for kind, sound, odd in (("tied", (64, 80), (63.9, 80.1)), ("joined", (62, 78), (61.9, 78.1))):
        for length in sound:
            assert judge(kind, {"instrument": "oboe", "overall_mm": length}, None, targets=oboe) == []
        for length in odd:
            assert len(judge(kind, {"instrument": "oboe", "overall_mm": length}, None, targets=oboe)) == 1
    assert judge("tied", {"instrument": "oboe", "overall_mm": 60}, None) == []
    assert judge("measured", {"overall_mm": 60}, State(instrument="oboe", overall_mm=60), targets=oboe) == []


def test_of_an_impossible_fact_no_length_is_reckoned() -> None:
    assert len(judge("clipped", {"clip_mm": -50, "overall_mm": 100}, BLANK)) == 1


# Marks: where the tip and the heart begin, where the wire is, from the butt


@pytest.mark.parametrize(
    ("kind", "facts", "state", "said"),
    [
        ("measured", {"tip_from_mm": 59.9}, BLANK, None),
        ("measured", {"tip_from_mm": 60}, BLANK, ("impossible", "the tip cannot begin at 60 mm of a reed of 60 mm")),
        ("measured", {"tip_from_mm": 60}, UNMEASURED, None),
        ("measured", {"heart_from_mm": 59.9}, BLANK, None),
        (
            "measured",
            {"heart_from_mm": 60},
            BLANK,
            ("impossible", "the heart cannot begin at 60 mm of a reed of 60 mm"),
        ),
        ("measured", {"heart_from_mm": 60}, UNMEASURED, None),
        ("measured", {"overall_mm": 45}, HEART_ONLY, None),
        ("measured", {"overall_mm": 43}, HEART_ONLY, None),  # what lay there earlier is said no more
        ("measured", {"overall_mm": 50}, TIP_ONLY, None),
        (
            "clipped",
            {"overall_mm": 50.5},
            TIP_ONLY,
            ("odd", "at 50.5 mm nothing is left of the tip, which began at 50.5 mm"),
        ),
        ("clipped", {"overall_mm": 50.6}, TIP_ONLY, None),
        ("clipped", {"clip_mm": 1}, State(overall_mm=50.5, tip_from_mm=50.5), None),  # nor was there before
        # The heart ends below the tip: both said at once are impossible; where one is, the other may have been a slip.
        ("measured", {"heart_from_mm": 50.4}, TIP_ONLY, None),
        (
            "measured",
            {"heart_from_mm": 50.5},
            TIP_ONLY,
            ("odd", "the heart from 50.5 mm would not end below the tip from 50.5 mm"),
        ),
        ("measured", {"tip_from_mm": 43.6}, HEART_ONLY, None),
        (
            "measured",
            {"tip_from_mm": 43.5},
            HEART_ONLY,
            ("odd", "the heart from 43.5 mm would not end below the tip from 43.5 mm"),
        ),
        ("measured", {"tip_from_mm": 44, "heart_from_mm": 43.9}, BLANK, None),
        (
            "measured",
            {"tip_from_mm": 44, "heart_from_mm": 44},
            BLANK,
            ("impossible", "the heart from 44 mm would not end below the tip from 44 mm"),
        ),
        ("measured", {"overall_mm": 60}, State(overall_mm=60, tip_from_mm=40, heart_from_mm=44), None),
        # Neither begins on the tube.
        ("measured", {"heart_from_mm": 27}, BLANK, None),
        ("measured", {"heart_from_mm": 26.9}, BLANK, ("odd", "the heart from 26.9 mm would lie on the tube (27 mm)")),
        ("measured", {"heart_from_mm": 26.9}, State(overall_mm=60), None),
        ("measured", {"tip_from_mm": 27}, BLANK, None),
        ("measured", {"tip_from_mm": 26.9}, BLANK, ("odd", "the tip from 26.9 mm would begin on the tube (27 mm)")),
        ("measured", {"tip_from_mm": 26.9}, State(overall_mm=60), None),
        ("measured", {"overall_mm": 60}, State(overall_mm=60, tube_mm=27, tip_from_mm=26, heart_from_mm=25), None),
        # Nor does a wire lie on it, nor beyond the reed.
        ("wired", {"wire_mm": 27}, BLANK, None),
        ("wired", {"wire_mm": 26.9}, BLANK, ("odd", "a wire at 26.9 mm would lie on the tube (27 mm)")),
        ("wired", {"wire_mm": 26.9}, State(overall_mm=60), None),
        ("wired", {"wire_mm": 59.9}, BLANK, None),
        ("wired", {"wire_mm": 60}, BLANK, ("impossible", "a wire at 60 mm is off a reed of 60 mm")),
        ("wired", {"wire_mm": 60}, UNMEASURED, None),
        ("wired", {"turns": 2}, State(overall_mm=60, tube_mm=27, wire=Wire(26, from_butt_mm=20)), None),
        ("wired", {"turns": 2}, State(overall_mm=60, tube_mm=27, wire=Wire(26, from_butt_mm=62)), None),
    ],
)
def test_marks(kind: str, facts: Facts, state: State, said: tuple[str, str] | None) -> None:
    findings = [(one.severity, one.message) for one in judge(kind, facts, state) if "usual is" not in one.message]
    assert findings == ([said] if said else [])


def test_an_objection_names_the_fact_that_was_typed() -> None:
    for facts, state, named in (
        ({"clip_mm": 10}, TIP_ONLY, "clip_mm"),
        ({"overall_mm": 50}, TIP_ONLY, "overall_mm"),
    ):
        assert [one.fact for one in judge("clipped", facts, state) if "nothing is left" in one.message] == [named]
    for facts, named in (
        ({"tip_from_mm": 40, "heart_from_mm": 44}, "heart_from_mm"),
        ({"heart_from_mm": 51}, "heart_from_mm"),
        ({"tip_from_mm": 43}, "tip_from_mm"),
    ):
        assert [one.fact for one in judge("measured", facts, MARKED)] == [named]


def test_a_heart_past_the_end_is_said_once() -> None:
    assert len(judge("measured", {"heart_from_mm": 61}, MARKED)) == 1


# Stages

AT_WORK = State(instrument="oboe", stage="in service", playings=2)
LENT = State(instrument="oboe", stage="handed over", terms="lent", to="a pupil", left_as="in service")
SOLD = State(instrument="oboe", stage="handed over", terms="sold", to="a pupil", left_as="in service")
GIVEN = State(instrument="oboe", stage="handed over", terms="given", left_as="in service")
RETIRED = State(instrument="oboe", stage="retired", cause="cracked", playings=2)
OVER = "it is retired (cracked); strike its retirement first (its tag, Enter, x), or tie a new one"
OF_LENT = "it was lent to a pupil; if it is back, write return first"
OF_SOLD = "it was sold to a pupil; if it is back, write return first"
OF_GIVEN = "it was given; if it is back, write return first"
NOT_AWAY = "it is with nobody else"
GONE_ALREADY = "it is handed over already"


@pytest.mark.parametrize(
    ("kind", "facts", "at_work", "lent", "sold", "given", "retired"),
    [
        ("played", {"minutes": 30}, "", OF_LENT, OF_SOLD, OF_GIVEN, OVER),
        ("scraped", {}, "", OF_LENT, OF_SOLD, OF_GIVEN, OVER),
        ("measured", {"opening_mm": 1}, "", OF_LENT, OF_SOLD, OF_GIVEN, ""),
        ("scored", {"score": 7}, "", "", "", "", ""),
        ("noted", {}, "", "", "", "", ""),
        ("heard", {}, NOT_AWAY, "", "", "", ""),
        ("retired", {"cause": "worn"}, "", "", "", "", OVER),
        ("returned", {}, "it was not handed over", "", "", "", OVER),
        ("handed over", {}, "", GONE_ALREADY, GONE_ALREADY, GONE_ALREADY, OVER),
        ("joined", {"instrument": "oboe"}, *["it is begun already"] * 5),
    ],
)
def test_what_may_be_said_of_a_reed_at_work_lent_sold_given_away_and_retired(
    kind: str, facts: Facts, at_work: str, lent: str, sold: str, given: str, retired: str
) -> None:
    states = (AT_WORK, LENT, SOLD, GIVEN, RETIRED)
    said = ["; ".join(_messages(kind, facts, state, note="well")) for state in states]
    assert said == [at_work, lent, sold, given, retired]


def test_what_cannot_be_is_told_from_what_is_odd() -> None:
    for kind, facts, state, severity in (
        ("joined", {"instrument": "oboe"}, AT_WORK, "impossible"),
        ("scraped", {}, RETIRED, "impossible"),
        ("scraped", {}, SOLD, "odd"),
        ("heard", {}, AT_WORK, "odd"),
    ):
        assert [one.severity for one in judge(kind, facts, state, "well")] == [severity]


# Never come good, wires, the maker's own range


def test_never_came_good_is_asked_about_where_it_was_played() -> None:
    played, unplayed = State(stage="in service", playings=1), State(stage="in progress")
    assert _messages("retired", {"cause": NEVER}, played) == ["it has been played 1 time"]
    assert judge("retired", {"cause": NEVER}, unplayed) == []
    assert judge("retired", {"cause": "worn"}, played) == []


@pytest.mark.parametrize(
    ("facts", "state", "said"),
    [
        ({"wire": "off"}, BLANK, ["no wire is noted on it"]),
        ({"wire": "moved"}, BLANK, ["no wire is noted on it"]),
        ({"wire": "off"}, State(wire=Wire(28)), []),
        ({"gauge_awg": 28}, BLANK, []),
        ({"wire": "moved"}, State(wire=Wire(28)), []),
        ({"wire": "moved", "gauge_awg": 28, "wire_mm": 30}, State(wire=Wire(28)), []),
        ({"wire": "off", "gauge_awg": 28}, State(wire=Wire(28)), []),
        (
            {"wire": "moved", "gauge_awg": 30},
            State(wire=Wire(28)),
            ["30 awg is its gauge; where it was moved to is written moved at 30"],
        ),
    ],
)
def test_wires(facts: Facts, state: State, said: list[str]) -> None:
    assert _messages("wired", facts, state) == said


@pytest.mark.parametrize(
    ("clip", "odd"),
    [(2.9, True), (3, False), (6, False), (6.1, True)],
)
def test_the_ends_of_the_makers_own_range_belong_to_it(clip: float, odd: bool) -> None:
    findings = judge("clipped", {"clip_mm": clip}, State(overall_mm=60), usual={"clip_mm": Usual(3, 6, 40)})
    assert bool(findings) is odd


def test_the_makers_own_range_is_told_to_a_hundredth() -> None:
    (finding,) = judge("played", {"minutes": 90}, State(), usual={"minutes": Usual(20.123, 40.456, 40)})
    assert finding == Objection("odd", "90 min is unlike your own: 20.12 min to 40.46 min in 40 so far", "minutes")


def test_no_tubing_is_not_unlike_her_own() -> None:
    own = {"tubing_mm": Usual(4, 6, 40)}
    assert judge("tubed", {"tubing_mm": 0}, BLANK, usual=own) == []
    assert len(judge("tubed", {"tubing_mm": 3}, BLANK, usual=own)) == 1


def test_what_is_judged_is_the_reed_as_it_will_be() -> None:
    clipped = advance(BLANK, "clipped", {"clip_mm": 5})
    assert _messages("measured", {"tip_from_mm": 55}, clipped) == ["the tip cannot begin at 55 mm of a reed of 55 mm"]
