"""Moments and days as makers write them. The clock stands at Wednesday 25 November 2026, 10:07, an hour east of UTC."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.domain.maker import NOW
from tests.strategies import moments

from reedkin.domain.clock import FixedClock
from reedkin.errors import InputError
from reedkin.grammar.when.days import parse_day, parse_when
from reedkin.grammar.when.spans import parse_span

CLOCK = FixedClock(NOW)


@pytest.mark.parametrize(
    ("text", "at"),
    [
        ("now", "2026-11-25T10:07"),
        ("today", "2026-11-25T10:07"),
        ("10:00", "2026-11-25T10:00"),
        ("9.30", "2026-11-25T09:30"),
        ("18h05", "2026-11-25T18:05"),
        ("today 8:00", "2026-11-25T08:00"),
        ("yesterday 18:00", "2026-11-24T18:00"),
        ("18:00 yesterday", "2026-11-24T18:00"),
        ("9.30 12 March", "2026-03-12T09:30"),
        ("yest 18:00", "2026-11-24T18:00"),
        ("monday 7:15", "2026-11-23T07:15"),
        ("12 March 9:00", "2026-03-12T09:00"),
        ("2h ago", "2026-11-25T08:07"),
        ("-2h", "2026-11-25T08:07"),
        ("90 min ago", "2026-11-25T08:37"),
        ("1h 30m ago", "2026-11-25T08:37"),
        ("3 days ago", "2026-11-22T10:07"),
        ("2 weeks ago", "2026-11-11T10:07"),
        ("2026-03-12T18:00", "2026-03-12T18:00"),
        ("2026-03-12 18:00", "2026-03-12T18:00"),
        ("2026-03-12T18", "2026-03-12T18:00"),
        ("2026-03-12T18:00:05.25", "2026-03-12T18:00:05.25"),
        ("2026-11-25", "2026-11-25T10:07"),
        ("25 nov", "2026-11-25T10:07"),
    ],
)
def test_moments(text: str, at: str) -> None:
    assert parse_when(text, CLOCK).at == datetime.fromisoformat(at).replace(tzinfo=NOW.tzinfo)


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("yesterday", "2026-11-24"),
        ("Yes", "2026-11-24"),
        ("tuesday", "2026-11-24"),
        ("tomorrow", "2026-11-26"),
        ("wed", "2026-11-18"),
        ("last monday", "2026-11-23"),
        ("thu", "2026-11-19"),
        ("12 March", "2026-03-12"),
        ("12. mar", "2026-03-12"),
        ("March 12", "2026-03-12"),
        ("march 12, 2025", "2025-03-12"),
        ("12 december", "2025-12-12"),
        ("26 nov", "2025-11-26"),
        ("29 feb", "2024-02-29"),
        ("29 feb 2020", "2020-02-29"),
        ("2026-03-12", "2026-03-12"),
        ("20260312", "2026-03-12"),
    ],
)
def test_a_day_alone_is_its_noon(text: str, day: str) -> None:
    when = parse_when(text, CLOCK)
    assert when.whole_day
    assert when.at == datetime.fromisoformat(f"{day}T12:00").replace(tzinfo=NOW.tzinfo)


@pytest.mark.parametrize(
    "text",
    ["", "soon", "25:00", "12:60", "30 february", "31 june 2025", "ma 12", "t", "2026-13-01", "0001-01-01",
     "9999-12-31", "99999 weeks ago", "99999d ago", "-", "ago", "12", "march"],
)  # fmt: skip
def test_what_is_no_moment(text: str) -> None:
    with pytest.raises(InputError):
        parse_when(text, CLOCK)


@given(moments())
def test_iso_8601_is_read_to_the_last_digit_with_its_offset(at: datetime) -> None:
    read = parse_when(at.isoformat(), CLOCK)
    assert (read.at, read.at.utcoffset(), read.whole_day) == (at, at.utcoffset(), False)


_PIECES = st.sampled_from(["12", "mar", "2h", "ago", "yesterday", "-", "18:00", "last", "mon", "w", "29", "feb", "0"])


@given(st.text(max_size=20) | st.lists(_PIECES).map(" ".join))
def test_any_text_gives_a_moment_or_an_input_error(text: str) -> None:
    for read in (parse_when, parse_day):
        try:
            said = read(text, CLOCK)
        except InputError:
            continue
        assert said is not None


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("today", "2026-11-25"),
        ("tomorrow", "2026-11-26"),
        ("friday", "2026-11-27"),
        ("wed", "2026-12-02"),
        ("12 March", "2027-03-12"),
        ("25 november", "2026-11-25"),
        ("24 november", "2027-11-24"),
        ("12 March 2026", "2026-03-12"),
        ("29 feb", "2028-02-29"),
        ("2026-12-24", "2026-12-24"),
    ],
)
def test_days_to_come(text: str, day: str) -> None:
    assert parse_day(text, CLOCK) == date.fromisoformat(day)


@pytest.mark.parametrize("text", ["yesterday", "the recital", "", "31 june"])
def test_what_is_no_day_to_come(text: str) -> None:
    with pytest.raises(InputError):
        parse_day(text, CLOCK)


def test_local_time_is_that_of_the_clock() -> None:
    east = FixedClock(datetime(2026, 11, 25, 1, 0, tzinfo=timezone(timedelta(hours=9))))
    assert parse_when("yesterday 23:00", east).at.isoformat() == "2026-11-24T23:00:00+09:00"
    assert parse_when("2026-11-24T23:00Z", east).at.isoformat() == "2026-11-24T23:00:00+00:00"


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("30", "2026-02-11", "2026-03-12"),
        ("last 2 weeks", "2026-02-27", "2026-03-12"),
        ("february", "2026-02-01", "2026-02-28"),
        ("october", "2025-10-01", "2025-10-31"),
        ("dec 2024", "2024-12-01", "2024-12-31"),
        ("march", "2026-03-01", "2026-03-12"),
        ("2026", "2026-01-01", "2026-03-12"),
        ("last year", "2025-01-01", "2025-12-31"),
        ("1 sep 2025 to 30 nov 2025", "2025-09-01", "2025-11-30"),
        ("monday to yesterday", "2026-03-09", "2026-03-11"),
    ],
)
def test_a_stretch_of_days(text: str, first: str, last: str) -> None:
    clock = FixedClock(datetime(2026, 3, 12, 10, tzinfo=UTC))
    assert parse_span(text, clock) == (date.fromisoformat(first), date.fromisoformat(last))


@pytest.mark.parametrize("text", ["", "much", "0", "2027", "99999 days", "yesterday to monday", "10 march to"])
def test_what_is_no_stretch_of_days(text: str) -> None:
    with pytest.raises(InputError):
        parse_span(text, FixedClock(datetime(2026, 3, 12, 10, tzinfo=UTC)))
