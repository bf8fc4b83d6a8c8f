"""Stretches in which reeds were played without a playing being written."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from tests.answers.logs import NOW, bench

from reedkin.answers.lives.question import LivesQuestion
from reedkin.answers.question import Asked
from reedkin.study.follow_up import minute
from reedkin.study.lives import latest_lives
from reedkin.study.study import Study
from reedkin.study.ticks import no_tick

Row = dict[str, Any]


def row(tag: str, kind: str, days_ago: float, **facts: Any) -> Row:
    return {"tag": tag, "kind": kind, "at": (NOW - timedelta(days=days_ago)).isoformat(), **facts}


def log(*more: Row, until: int = 60, again: int = 20) -> list[Row]:
    """Three reeds that are played every third day but from 60 to 20 days ago; the first wears out amid that."""
    rows = [row(tag, "tied", 100, instrument="oboe") for tag in "123"]
    rows += [row(tag, "played", day, minutes=60) for day in range(99, until - 1, -3) for tag in "123"]
    rows += [row(tag, "played", day, minutes=60) for day in range(again, 0, -3) for tag in "23"]
    return sorted([*rows, row("1", "retired", 35, cause="worn"), *more], key=lambda one: str(one["at"]))


def done(*days_ago: float) -> list[Row]:
    return [row("2", "scored", day, score=7) for day in days_ago]


def hidden(rows: list[Row]) -> list[tuple[int, int]]:
    return list(Study.of_bench(bench(rows)).hidden)


def test_reeds_are_not_touched_up_and_worn_out_for_weeks_while_none_is_played() -> None:
    last, following = (minute(NOW - timedelta(days=day)) for day in (60, 20))
    assert hidden(log(*done(45, 40))) == [(last, following)]


def test_a_summer_without_playing_is_no_such_stretch() -> None:
    assert hidden(log()) == []
    assert hidden(log(*done(35, 35.01))) == []  # what is seen to on one day is a case put in order
    assert hidden(log(*done(59, 58, 55))) == []  # and what follows a playing may be for that
    assert hidden(log(row("4", "tied", 50, instrument="oboe"), *(row("4", "scraped", d) for d in (48, 44, 40)))) == []


def test_a_stretch_of_four_weeks_or_less_is_none() -> None:
    assert hidden(log(*done(45, 44, 40), again=33)) == []


def test_it_may_last_until_today() -> None:
    last, today = (minute(NOW - timedelta(days=day)) for day in (60, 1))
    assert hidden(log(*done(45, 40, 1), again=0)) == [(last, today)]


def test_what_was_begun_by_then_and_played_only_afterwards_may_have_been_played_unwritten() -> None:
    new = [row("6", "tied", 50, instrument="oboe"), row("6", "played", 15, minutes=60)]
    later = [row("7", "tied", 19, instrument="oboe"), row("7", "played", 15, minutes=60)]
    study = Study.of_bench(bench(log(*done(45, 40), *new, *later)))
    assert {life.reed.tag for life in study.lives} == {"1", "2", "3", "7"}


def test_from_there_on_the_hours_of_what_served_are_not_known() -> None:
    rows = log(*done(45, 40), row("5", "tied", 19, instrument="oboe"), row("5", "played", 18, minutes=60))
    study = Study.of_bench(bench(rows))
    assert {life.reed.tag: (life.cause, life.minutes / 60) for life in study.lives} == {
        "1": (None, 14), "2": (None, 14), "3": (None, 14), "5": (None, 1),
    }  # fmt: skip
    assert [(life.cause, life.minutes) for life in latest_lives(bench(rows), 9)] == [
        (life.cause, life.minutes) for life in study.lives
    ]
    said = LivesQuestion("instrument", "hours").answer(Asked(bench(rows)), no_tick)
    assert said.lines()[-1] == "Playings unwritten 2 Oct 2026 to 11 Nov 2026: hours count only up to there"
    assert said.outcomes.worn == 0
