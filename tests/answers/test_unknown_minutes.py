"""A playing's minutes are judged in one place: what cannot be counts for no hours anywhere, and the answer says so."""

from __future__ import annotations

from datetime import timedelta

import pytest
from tests.answers.logs import Log, bench

from reedkin.answers.lives.question import LivesQuestion
from reedkin.answers.lives.words import out_of_view_line
from reedkin.answers.question import Asked
from reedkin.answers.ready.past import _playings
from reedkin.answers.reed.history import service
from reedkin.answers.week.question import WeekQuestion
from reedkin.domain.known import minutes_played
from reedkin.study.ticks import no_tick

LONG = 5000
"""Minutes: more than a day has."""


@pytest.mark.parametrize(
    ("minutes", "known"),
    [(1, 1), (45, 45), (45.0, 45), (1440, 1440), (1441, None), (0, None), (-5, None), (44.5, None), (True, None),
     ("45", None), (float("nan"), None)],
)  # fmt: skip
def test_what_a_playing_can_last(minutes: object, known: int | None) -> None:
    assert minutes_played({"minutes": minutes}) == known  # type: ignore[dict-item]


def test_without_minutes_it_is_not_known() -> None:
    assert minutes_played({}) is None


def test_a_playing_that_cannot_be_counts_nowhere_and_each_answer_says_so() -> None:
    long = Log(tag="7").play(40).add("played", 60, minutes=LONG).play(20, after=60).retire()
    log = bench([*long.rows, *Log(tag="8").play(60).retire().rows])
    asked, reed = Asked(log), log.find("7")
    assert reed is not None
    assert reed.now.minutes_played == 60
    assert "played 1 h in 3 sittings, 1 of them of unknown length" in service(reed, log)
    last = log.clock.local(reed.last.at).date()
    week = WeekQuestion(last).answer(asked, no_tick)
    assert sum(week.review.minutes.values()) <= 60 + 60
    assert sum(playing.minutes for playing in _playings(reed, reed.last.at + timedelta(days=1))) == 60
    lives = LivesQuestion("instrument", "hours").answer(asked, no_tick)
    assert [life.worn_out for life in asked.study.lives if life.reed.id == reed.id] == [False]
    assert lives.lines()[-2:] == [
        "Counted only up to a playing of unknown length:", "  7: a playing of 5000 min, which cannot be",
    ]  # fmt: skip
    assert out_of_view_line(lives.out_of_view) == "7 counts only up to a playing of 5000 min, which cannot be"
    assert out_of_view_line(lives.out_of_view * 3).endswith("which cannot be; and 2 more")


def test_nothing_is_said_where_every_playing_is_known() -> None:
    log = bench(Log(tag="8").play(60).retire().rows)
    lives = LivesQuestion("instrument", "hours").answer(Asked(log), no_tick)
    assert lives.out_of_view == ()
    assert out_of_view_line(lives.out_of_view) == ""
    assert not any("unknown length" in line for line in lives.lines())
