"""Two times of day between which something was done: how long that was, and when it began. How people say hours is
common practice, no source."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import pytest
from tests.domain.maker import NOW, Maker

from reedkin.domain.clock import FixedClock
from reedkin.grammar.rewording.between_hours import between_hours
from reedkin.grammar.words.tokens import tokens

MORNING, EVENING = NOW, NOW.replace(hour=22, minute=30)


def _said(words: str, now: datetime = EVENING, tagged: int = 0) -> list[tuple[str, str, bool]]:
    """The length, the moment, and whether it is asked, of each span."""
    found, moments = between_hours(tokens(words), FixedClock(now), tagged)
    lengths = [token.text for token in found if token.text.endswith("min")]
    return [
        (length, f"{when.at:%d %H:%M}", bool(when.doubt)) for length, (when, _, _) in zip(lengths, moments, strict=True)
    ]


@pytest.mark.parametrize(
    ("words", "length", "began"),
    [
        ("from 7 to 9pm", "120min", "25 19:00"),
        ("from 7 to 9am", "120min", "25 07:00"),
        ("from 11 to 1pm", "120min", "25 11:00"),
        ("from 12 to 1pm", "60min", "25 12:00"),
        ("from 11.30 to 12pm", "30min", "25 11:30"),
        ("from 13 to 2pm", "60min", "25 13:00"),
        ("from 12pm to 2pm", "120min", "25 12:00"),
        ("from 12am to 2am", "120min", "25 00:00"),
        ("between 7 pm and 9 p.m.", "120min", "25 19:00"),
        ("19:30-22:00", "150min", "25 19:30"),
        ("19h30-22h00", "150min", "25 19:30"),
        ("23:00-0:30", "90min", "24 23:00"),
        ("from 09 to 11", "120min", "25 09:00"),
        ("from 20 to 23", "180min", "25 20:00"),
        ("7:15pm till 9:00pm", "105min", "25 19:15"),
        ("7-9 pm", "120min", "25 19:00"),
        ("from 7pm to 9", "120min", "25 19:00"),
        ("from 10am to 2", "240min", "25 10:00"),
        ("from 19:30 to 10", "150min", "25 19:30"),
        ("19:30-22", "150min", "25 19:30"),
        ("9:00-22:00", "780min", "25 09:00"),
        ("from 22 to 6", "480min", "25 22:00"),
        ("from 7am to 7", "720min", "25 07:00"),
    ],
)
def test_hours_that_can_be_nothing_else(words: str, length: str, began: str) -> None:
    assert _said(words) == [(length, began, False)]


def test_an_hour_of_twelve_that_came_twice_today_is_the_later_and_asked() -> None:
    assert _said("from 10 to 11") == [("60min", "25 22:00", True)]
    assert _said("from 10 to 11", MORNING) == [("60min", "25 10:00", False)]
    assert _said("from 11 to 12", MORNING) == [("60min", "24 23:00", False)]
    assert _said("from 11 to 1") == [("120min", "25 11:00", False)]
    assert _said("from 10 to 11:30") == [("90min", "25 10:00", False)]


def test_an_hour_that_is_still_to_come_was_yesterday_s() -> None:
    assert _said("from 11 to 1pm", MORNING) == [("120min", "24 11:00", False)]
    assert _said("from 10:07 to 11:00", MORNING) == [("53min", "25 10:07", False)]
    assert _said("from 10:08 to 11:00", MORNING) == [("52min", "24 10:08", False)]


def test_the_words_around_stand_where_they_stood() -> None:
    found, [(_, start, end)] = between_hours(tokens("p from 7 pm to 9 pm on 12"), FixedClock(EVENING))
    assert [token.text for token in found] == ["p", "120min", "on", "12"]
    assert (start, end) == (found[1].start, found[1].end) == (2, 19)


@pytest.mark.parametrize("words", ["10 to 11", "7 to 9", "p 19-20", "from 9 to 9", "from 24 to 3", "from 9:60 to 11:00",
                                   "from 13pm to 3pm", "from 0am to 2am", "from 7 on", "7pm and 9pm"])  # fmt: skip
def test_what_may_be_something_else_or_is_no_time_is_left_as_it_is(words: str) -> None:
    assert _said(words) == []
    assert between_hours(tokens(words), FixedClock(EVENING))[0] == tokens(words)


def test_where_no_tags_can_stand_any_more_numbers_are_hours() -> None:
    assert _said("p 19-20", tagged=1) == []
    assert _said("8 p 19-20", tagged=1) == [("60min", "25 19:00", False)]


class _SummerTime(FixedClock):
    """A clock where summer time ends on 25 October 2026 at three in the morning, as in most of Europe (Directive
    2000/84/EC: at 01:00 UTC on the last Sunday of October)."""

    def local(self, moment: datetime) -> datetime:
        ends = datetime(2026, 10, 25, 1, tzinfo=UTC)
        summer, winter = timezone(timedelta(hours=2)), timezone(timedelta(hours=1))
        if moment.tzinfo is None:
            moment = moment.replace(tzinfo=summer if moment.replace(tzinfo=summer) < ends else winter)
        return moment.astimezone(summer if moment < ends else winter)


@pytest.mark.parametrize(
    ("line", "began", "minutes"),
    [
        ("p 23:00-4:00 @25 oct", "2026-10-25T23:00:00+01:00", 300),
        ("p 23:00-4:00 @24 oct", "2026-10-24T23:00:00+02:00", 360),
        ("24 oct p 23h-4h00", "2026-10-24T23:00:00+02:00", 360),
        ("p 0:30-1:30 25 oct", "2026-10-25T00:30:00+02:00", 60),
        ("p 300 min @24 oct 23:00", "2026-10-24T23:00:00+02:00", 300),
    ],
)
def test_a_night_in_which_summer_time_ends_is_an_hour_longer(line: str, began: str, minutes: int) -> None:
    maker = Maker("1 tie eh", now=NOW - timedelta(days=60))
    maker.clock = maker.bench.clock = _SummerTime(NOW)
    action = maker.action(line)
    assert (action.at.isoformat(), action.facts["minutes"]) == (began, minutes)
