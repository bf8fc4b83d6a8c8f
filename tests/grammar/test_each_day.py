"""What was played on several days is one line and an event each day. Today is Wednesday 25 November 2026."""

from __future__ import annotations

import pytest
from tests.domain.maker import Maker

from reedkin.grammar.actions import ReedAction

WEEK = list(range(16, 23))


@pytest.fixture
def maker() -> Maker:
    return Maker("7-8 join oboe @1 nov")


def days(maker: Maker, line: str) -> list[int]:
    reading = maker.read(line)
    assert not reading.errors, reading.errors
    assert all(isinstance(a, ReedAction) and a.kind == "played" and a.at.month == 11 for a in reading.actions)
    return [a.at.day for a in reading.actions if isinstance(a, ReedAction)]


@pytest.mark.parametrize(
    ("line", "found"),
    [
        ("7 p 60 @mon, tue, wed", [23, 24, 25]),
        ("7 p 60 mon and tue", [23, 24]),
        ("7 p 60 thu-sat", [19, 20, 21]),
        ("7 p 60 from fri to mon", [20, 21, 22, 23]),
        ("7 p 60 7 every day last week", WEEK),
        ("7 p 60 daily 16-22 nov", WEEK),
        ("7 p 60 16 to 18 nov", [16, 17, 18]),
        ("7 p 60 @2, 4 and 6 nov", [2, 4, 6]),
        ('7 p 60 mon, tue "dull"', [23, 24]),
        ("7,8 p 60 mon, tue", [23, 23, 24, 24]),
        ("7 p 60 7 8 nov", [8]),
        ("7 p 60 monday 23 november", [23]),
    ],
)
def test_the_days_that_a_line_lists(maker: Maker, line: str, found: list[int]) -> None:
    assert days(maker, line) == found


def test_each_is_judged_and_what_is_no_list_is_told(maker: Maker) -> None:
    maker.type("7 p 60 8 mon-wed")
    assert maker.reed("7").now.minutes_played == 180
    assert maker.question("7 p 60 8 mon, tue")[1].startswith("played 1 h, scored 8 is recorded already")
    assert maker.error("7 p 60 fri, thu")[1].startswith("the time is given twice")
    assert maker.error("7 clip .2 @mon, tue")[1].startswith("the time is given twice")
    assert "several, such as mon-fri" in maker.error("7 p 3h last week")[1]
