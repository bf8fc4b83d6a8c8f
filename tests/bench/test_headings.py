"""The headings of reeds, by themselves: their order, and what they say."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from tests.bench.parts import heading

from reedkin.bench.headings import Headings


def headings() -> Headings:
    made = Headings()
    for number, lot, tube in ((1, "A", "T1"), (2, "B", "T2"), (3, "A", "t1")):
        made.put(heading(number, str(number), instrument="oboe", lot=lot, tube=tube, tube_mm=46.0 + number))
    return made


def test_they_stand_in_the_order_of_their_beginnings_and_the_latest_are_those_recorded_last() -> None:
    made = headings()
    late = heading(4, "4", instrument="english horn")
    made.put(replace(late, at=late.at - timedelta(days=1)))  # recorded last, of an older day
    assert [one.tag for one in made] == ["4", "1", "2", "3"]
    assert [one.tag for one in made.latest(2)] == ["4", "3"]
    assert made.latest_instrument() == "english horn"
    assert Headings().latest_instrument() is None


def test_words_are_told_latest_first_whether_asked_before_or_after() -> None:
    asked, fresh = headings(), headings()
    assert asked.known("lot") == ["A", "B"]
    for made in (asked, fresh):
        made.put(heading(4, "4", lot="B"))
        made.put(heading(0, "0", lot="C"))  # of a merged log: recorded before all others
    assert asked.known("lot") == fresh.known("lot") == ["B", "A", "C"]


def test_a_tube_is_one_whatever_its_capitals_and_has_the_length_given_last() -> None:
    made = headings()
    assert [one.tag for one in made.on_tube("T1")] == ["1", "3"]
    assert made.tube_length("t1") == 49
    made.put(heading(4, "4", tube="T1"))  # with no length
    made.put(heading(0, "0", tube="T1", tube_mm=40.0))
    assert [one.tag for one in made.on_tube("t1")] == ["0", "1", "3", "4"]
    assert made.tube_length("T1") == 49
    assert made.tube_length("T9") is None


def test_a_heading_takes_the_place_of_the_one_before() -> None:
    made = headings()
    assert (made.known("lot"), len(made.on_tube("T1"))) == (["A", "B"], 2)
    made.put(heading(3, "3", instrument="english horn", lot="Z"))
    assert len(made) == 3
    assert (made.known("lot"), [one.tag for one in made.on_tube("T1")]) == (["Z", "B", "A"], ["1"])
    assert made.instrument("u003") == "english horn"


def test_one_whose_beginning_was_struck_is_held_but_was_never() -> None:
    made = headings()
    made.put(heading(3, "3", void=True, lot="Z"))
    assert (len(made), made.reeds(), made.untied()) == (2, ["u001", "u002"], ["u003"])
    assert "u003" in made
    assert sorted(made.ever()) == ["u001", "u002", "u003"]
    assert made.known("lot") == ["B", "A"]
    made.put(heading(3, "3", lot="Z"))
    assert (len(made), made.untied()) == (3, [])


def test_what_is_not_there_has_no_instrument() -> None:
    assert headings().instrument("u009") is None
    made = Headings()
    made.put(heading(1))
    assert made.instrument("u001") is None
