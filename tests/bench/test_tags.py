"""Tags, by themselves: who bears one, which reed it means, and which is free."""

from __future__ import annotations

from datetime import timedelta

import pytest
from tests.bench.parts import DAY_ONE, Parts, event, said, strike

from reedkin.bench.bearers import TAGS_TABLE, Bearers, given_tags
from reedkin.bench.beside import Beside
from reedkin.bench.tags import Tags


def tags(parts: Parts) -> Tags:
    return Tags(parts.headings, parts.bearers, parts.lineages, parts.whereabouts)


def shelf() -> Parts:
    """Reed 1 twice, the first of them worn; 2, called Robin, at work; 3 lent; 4 sold."""
    return Parts(
        [event(1, "u001", "tied", "1"), event(2, "u001", "retired", cause="worn")],
        [event(3, "u003", "tied", "1")],
        [event(4, "u004", "tied", "2", name="Robin")],
        [event(5, "u005", "tied", "3"), event(6, "u005", "handed over", terms="lent")],
        [event(7, "u007", "tied", "4"), event(8, "u007", "handed over", terms="sold")],
        over=["u001"],
    )


# Who bears a tag


def test_bearers_are_counted_in_the_order_of_their_beginnings() -> None:
    bearers = Bearers()
    assert bearers.put("A", DAY_ONE, "late") == ["late"]
    assert bearers.put("a", DAY_ONE - timedelta(days=1), "early") == ["early", "late"]
    assert bearers.of("A") == ["early", "late"]
    assert (bearers.place("early"), bearers.place("late")) == ((1, 2), (2, 2))
    assert bearers.take_out("A", DAY_ONE - timedelta(days=1), "early") == ["late"]
    assert (bearers.of("a"), bearers.place("late")) == (["late"], (1, 1))


def test_nobody_is_renumbered_where_no_place_changes() -> None:
    bearers = Bearers()
    bearers.put("1", DAY_ONE, "one")
    assert bearers.put("2", DAY_ONE, "two") == ["two"]
    assert bearers.place("three") == (1, 1)


def test_a_tag_that_was_given_later_counts_until_it_is_struck() -> None:
    beside = Beside([said(1, TAGS_TABLE, "u001", tag="7"), said(2, TAGS_TABLE, "u001", tag="8")])
    assert given_tags(beside) == {"u001": "8"}
    beside.add(strike(3, TAGS_TABLE, "u002"))
    assert given_tags(beside) == {"u001": "7"}


# Which reed it means


@pytest.mark.parametrize(
    ("text", "reed"),
    [("1", "u003"), ("1/1", "u001"), ("1/2", "u003"), ("2", "u004"), ("robin", "u004"), ("3", "u005"), ("4", "u007")],
)
def test_a_tag_means_the_living_reed_or_the_last(text: str, reed: str) -> None:
    found = tags(shelf()).find(text)
    assert found is not None
    assert found.id == reed


@pytest.mark.parametrize("text", ["9", "1/0", "1/3", "1/x", "1/", "1/9999999999", "", "nobody"])
def test_what_no_reed_bore_means_none(text: str) -> None:
    assert tags(shelf()).find(text) is None


def test_with_none_alive_a_tag_means_the_last() -> None:
    parts = Parts(
        [event(1, "u001", "tied"), event(2, "u001", "retired", cause="worn")],
        [event(3, "u003", "tied"), event(4, "u003", "retired", cause="cracked")],
        over=["u001", "u003"],
    )
    found = tags(parts).find("1")
    assert found is not None
    assert found.id == "u003"


def test_only_those_that_bore_the_tag_are_read() -> None:
    parts = shelf()
    tags(parts).find("1")
    assert parts.read == {"u003": 1}


def test_a_name_is_that_of_a_reed_at_work() -> None:
    parts = Parts(
        [event(1, "u001", "tied", "1", name="Robin")],
        [event(2, "u002", "tied", "2", name="robin")],
        [event(3, "u003", "tied", "3", name="Robin"), event(4, "u003", "retired", cause="worn")],
    )
    found = tags(parts).named("ROBIN")
    assert found is not None
    assert found.id == "u002"


def test_a_word_that_is_nobody_s_name_has_no_reed_read() -> None:
    parts = shelf()
    assert tags(parts).find("slow") is None
    assert not parts.read
    assert tags(parts).named("Robin") is not None
    assert parts.read == {"u004": 1}


# Which is free


def test_a_tag_is_free_where_nobody_at_work_bears_it_nor_one_that_is_lent() -> None:
    made = tags(shelf())
    assert [made.is_free(tag) for tag in ("1", "2", "3", "4", "5")] == [False, False, False, True, True]


def test_the_next_one_is_above_the_latest_and_stands_nowhere_else() -> None:
    assert tags(shelf()).next() == "5"
    assert tags(shelf()).next({"5", "6"}) == "7"
    assert tags(Parts()).next() == "1"
    assert tags(Parts([event(1, "u001", "tied", "soprano")], [event(2, "u002", "tied", "41")])).next() == "42"
