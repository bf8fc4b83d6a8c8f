"""A week's review."""

from __future__ import annotations

from datetime import date

import pytest
from tests.domain.maker import Maker

from reedkin.analysis.review import review, review_as_dict, review_text


@pytest.fixture
def maker() -> Maker:
    """Something of each kind, some of it long ago. It ends on Wednesday, 25 November 2026."""
    maker = Maker("lot 7 7 pieces", "1-3 tie eh 60 lot 7 @2026-11-01", "4 tie oboe 72 @2026-11-02")
    maker.type(
        "1 play 40 8 rehearsal @2026-11-10", "1 play 60 8 rehearsal @2026-11-20", "2 play 30 practice @2026-11-21",
        "2 play 20 @2026-11-21 18:00", "1 retire worn @2026-11-22", "3 retire never came good @2026-11-22",
        "5-6 tie eh 60 @2026-11-23", "4 lend to a pupil @2026-11-23", '4 return "sags" @2026-11-24',
        "order duo 1 eh by 2026-11-27", "order trio 1 eh by 2027-01-01", "session start", "6 scrape",
    )  # fmt: skip
    maker.clock.forward(minutes=43)
    maker.type("session end")
    return maker


def test_what_was_made_and_played(maker: Maker) -> None:
    week = review(maker.bench)
    assert (week.first, week.last) == (date(2026, 11, 19), date(2026, 11, 25))
    assert [reed.tag for reed in week.tied] == ["5", "6"]
    assert [reed.tag for reed in week.served] == ["2"]
    assert [reed.tag for reed in week.given_up] == ["3"]
    assert [(reed.tag, cause) for reed, cause in week.retired] == [("1", "worn")]
    assert [d.reed.tag for d in week.out] == ["4"]
    assert [(d.reed.tag, d.why) for d in week.back] == [("4", "sags")]
    assert week.minutes == {"practice": 30, "rehearsal": 60, "setting not noted": 20}
    assert week.bench_minutes == 45


def test_what_runs_low_and_what_is_due(maker: Maker) -> None:
    week = review(maker.bench)
    assert [lot.name for lot in week.low_lots] == ["7"]
    assert dict(week.low_cases) == {"english horn": 1, "oboe": 0}
    assert [order.name for order in week.due] == ["duo"]


def test_another_week(maker: Maker) -> None:
    week = review(maker.bench, date(2026, 11, 14))
    assert (week.tied, week.retired, dict(week.minutes)) == ((), (), {"rehearsal": 40})
    assert [reed.tag for reed in week.served] == ["1"]
    assert len(review(maker.bench, date(2026, 11, 30), days=30).tied) == 6


def test_it_in_words(maker: Maker) -> None:
    assert review_text(review(maker.bench), maker.clock.now()) == [
        "Thu 19 Nov to Wed 25 Nov",
        "At the bench: 45 min",
        "Tied: 2 eh (5, 6)",
        "Came good: 1 eh (2)",
        "Given up: 1 eh (3)",
        "Retired: 1 (english horn), worn, after 1 h 40",
        "Out: 4 lent to a pupil",
        "Back: 4, sags",
        "Played: 1 h 50: practice 30 min, rehearsal 1 h, setting not noted 20 min",
        "Low: only 1 english horn reed in service",
        "Low: no oboe reeds in service",
        "Low: lot 7, 4 pieces left",
        "Due: duo: 0 of 1 english horn out, due in 2 days, Fri 27 Nov",
    ]


def test_an_empty_week() -> None:
    maker = Maker()
    assert review_text(review(maker.bench), maker.clock.now()) == ["Thu 19 Nov to Wed 25 Nov", "Nothing was noted."]


def test_it_as_json(maker: Maker) -> None:
    told = review_as_dict(review(maker.bench))
    assert (told["from"], told["to"]) == ("2026-11-19", "2026-11-25")
    assert told["retired"] == [{"tag": "1", "cause": "worn", "hours": pytest.approx(1.6667)}]
    assert told["due"][0]["name"] == "duo"  # type: ignore[index]
