"""Lineages and whereabouts, by themselves: read once and only if asked for, and brought up to date by each record."""

from __future__ import annotations

import pytest
from tests.bench.parts import Parts, event, heading, strike

from reedkin.domain.events import reed_table


def shelf() -> Parts:
    """Two at work, one worn though its heading does not say so, one that its heading says is worn."""
    return Parts(
        [event(1, "u001", "tied", "1", instrument="oboe")],
        [event(2, "u002", "tied", "2", instrument="oboe"), event(3, "u002", "played", minutes=30)],
        [event(4, "u004", "tied", "4"), event(5, "u004", "retired", cause="worn")],
        [event(6, "u006", "tied", "6"), event(7, "u006", "retired", cause="worn")],
        over=["u006"],
    )


# Lineages


def test_a_lineage_is_read_when_it_is_asked_for_and_once() -> None:
    parts = shelf()
    assert not parts.read
    assert parts.lineages.reed("u002") is parts.lineages.reed("u002")
    assert parts.read == {"u002": 1}
    assert [reed.id for reed in parts.lineages.all()] == ["u001", "u002", "u004", "u006"]
    assert set(parts.read.values()) == {1}


def test_no_such_reed_is_a_key_error() -> None:
    with pytest.raises(KeyError):
        shelf().lineages.reed("u009")


def test_a_further_event_is_taken_in_without_reading_anew() -> None:
    parts = shelf()
    assert parts.lineages.reed("u002").now.minutes_played == 30
    parts.lineages.add("u002", event(8, "u002", "played", minutes=15))
    assert parts.lineages.reed("u002").now.minutes_played == 45
    assert parts.read == {"u002": 1}
    assert [one.uid for one in parts.lineages.records("u002")] == ["u002", "u003", "u008"]


def test_an_event_of_earlier_and_a_strike_are_taken_in_too() -> None:
    parts = shelf()
    parts.lineages.reed("u002")
    late = event(8, "u002", "clipped", clip_mm=1.0)._replace(at=event(2, "u002", "tied").at)
    parts.lineages.add("u002", late)
    assert [step.kind for step in parts.lineages.reed("u002").steps] == ["tied", "clipped", "played"]
    parts.lineages.add("u002", strike(9, reed_table("u002"), "u003"))
    assert parts.lineages.reed("u002").now.minutes_played == 0


def test_a_record_that_stands_twice_is_there_once() -> None:
    parts = shelf()
    parts.lineages.add("u002", event(3, "u002", "played", minutes=30))
    assert len(parts.lineages.records("u002")) == 2


def test_a_reed_bears_the_tag_of_its_heading_and_its_place_in_that_tag() -> None:
    parts = shelf()
    changed = parts.bearers.put("1", heading(6).at, "u006")
    parts.headings.put(heading(6, "1"))
    assert parts.lineages.reed("u006").label == "1/2"
    assert changed == ["u001", "u006"]


def test_what_is_forgotten_is_folded_anew() -> None:
    parts = shelf()
    before = parts.lineages.reed("u001")
    parts.bearers.put("1", heading(0).at, "u000")
    assert parts.lineages.reed("u001") is before
    parts.lineages.forget(["u001", "u009"])
    assert parts.lineages.reed("u001").bearer == 2


def test_what_was_folded_elsewhere_is_kept_unless_it_was_folded_here() -> None:
    here, there = shelf(), shelf()
    mine = here.lineages.reed("u001")
    there.lineages.all()
    here.lineages.take_over(there.lineages.folded())
    assert here.lineages.reed("u001") is mine
    assert here.lineages.reed("u002") is there.lineages.reed("u002")
    assert here.read == {"u001": 1}


def test_what_is_held_for_a_snapshot_does_not_follow() -> None:
    here, there = shelf(), shelf()
    here.lineages.add("u001", event(8, "u001", "played", minutes=10))
    held = here.lineages.held()
    here.lineages.add("u001", event(9, "u001", "played", minutes=20))
    there.lineages.hold(*held)
    assert there.lineages.reed("u001").now.minutes_played == 10


# Whereabouts


def test_those_at_work_are_found_without_reading_those_that_are_surely_over() -> None:
    parts = shelf()
    assert [reed.id for reed in parts.whereabouts.at_work()] == ["u001", "u002"]
    assert "u006" not in parts.read
    assert parts.whereabouts.surely_over("u004")  # it was seen to be
    assert parts.read["u004"] == 1


def test_one_that_is_settled_comes_and_goes_in_its_place() -> None:
    parts = shelf()
    assert len(parts.whereabouts.at_work()) == 2
    worn = event(8, "u001", "retired", cause="worn")
    for add in (parts.lineages.add, parts.whereabouts.add):
        add("u001", worn)
    parts.whereabouts.settle("u001")
    assert [reed.id for reed in parts.whereabouts.at_work()] == ["u002"]
    back = strike(9, reed_table("u001"), "u008")
    for add in (parts.lineages.add, parts.whereabouts.add):
        add("u001", back)
    parts.whereabouts.settle("u001")
    assert [reed.id for reed in parts.whereabouts.at_work()] == ["u001", "u002"]
    assert parts.read["u004"] == 1


def test_a_list_that_was_given_is_nobody_elses() -> None:
    parts = shelf()
    parts.whereabouts.at_work().clear()
    assert len(parts.whereabouts.at_work()) == 2


def test_those_with_somebody_else_are_found_without_reading_others() -> None:
    parts = shelf()
    lent = event(8, "u001", "handed over", terms="lent")
    for add in (parts.lineages.add, parts.whereabouts.add):
        add("u001", lent)
    assert [reed.id for reed in parts.whereabouts.handed_over()] == ["u001"]
    assert set(parts.read) == {"u001"}
    returned = event(9, "u001", "returned")
    for add in (parts.lineages.add, parts.whereabouts.add):
        add("u001", returned)
    assert parts.whereabouts.handed_over() == []
    assert [reed.id for reed in parts.whereabouts.ever_handed_over()] == ["u001"]
