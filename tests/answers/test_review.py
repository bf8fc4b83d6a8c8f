"""A week's review."""

from __future__ import annotations

from datetime import date

import pytest
from tests.domain.maker import Maker

from reedkin.answers.question import Asked
from reedkin.answers.week.question import WeekQuestion
from reedkin.answers.week.review import review, review_as_dict, review_text, span_words
from reedkin.study.ticks import no_tick


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
    assert [reed.tag for reed in week.came_good] == ["2"]
    assert [(reed.tag, cause) for reed, cause in week.given_up] == [("3", "never came good")]
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
    maker.clock.forward(days=70)  # of what is left of a lot that nothing is tied of any more there is nothing to say
    assert review(maker.bench).low_lots == ()


def test_another_week(maker: Maker) -> None:
    week = review(maker.bench, date(2026, 11, 14))
    assert (week.tied, week.retired, dict(week.minutes)) == ((), (), {"rehearsal": 40})
    assert [reed.tag for reed in week.came_good] == ["1"]
    assert len(review(maker.bench, date(2026, 11, 30), days=30).tied) == 6


def test_it_in_words(maker: Maker) -> None:
    assert review_text(review(maker.bench), maker.clock.now()) == [
        "Thu 19 Nov to Wed 25 Nov",
        "At the bench: 45 min",
        "Tied: 2 eh (5, 6)",
        "Came good: 1 eh (2)",
        "Given up: 1 eh (3), never came good",
        "Retired: 1 (English horn), worn, after 1 h 40",
        "Out: 4 lent to a pupil",
        "Back: 4, sags",
        "Played: 1 h 50: practice 30 min, rehearsal 1 h, setting not noted 20 min",
        "Low: only 1 English horn reed in service",
        "Low: no oboe reed in service",
        "Low: lot 7, 4 pieces left",
        "Due: duo: 0 of 1 English horn reed out, due in 2 days, Fri 27 Nov",
    ]


def test_what_is_to_be_played_within_a_week_is_told(maker: Maker) -> None:
    maker.type('engage 27 nov 19:30 oboe "second night"', "engage 2 dec eh rehearsal")
    maker.type("engage 3 dec eh; engage 26 nov eh", "engage 26 nov off")
    found = review(maker.bench)
    assert [line for line in review_text(found, maker.clock.now()) if line.startswith("Coming")] == [
        "Coming: Fri 27 Nov 19:30, 2 oboe reeds, performance, second night",
        "Coming: Wed 2 Dec, 1 English horn reed, rehearsal",
    ]
    assert [one["at"][:10] for one in review_as_dict(found)["coming"]] == ["2026-11-27", "2026-12-02"]
    assert review(maker.bench, date(2026, 11, 24)).coming == ()


def test_what_runs_low_now_is_no_part_of_a_week_long_past(maker: Maker) -> None:
    before = review(maker.bench, date(2026, 11, 24))
    assert (before.low_lots, before.low_cases, before.low_tubes, before.due) == ((), {}, {}, ())


def test_a_lot_that_ran_out_is_told_in_the_week_in_which_it_did() -> None:
    maker = Maker("lot 7 2 pieces", "1-2 tie oboe 72 lot 7")
    assert "Low: lot 7, nothing left" in review_text(review(maker.bench), maker.clock.now())
    maker.clock.forward(days=7)
    assert review(maker.bench).low_lots == ()


def test_tubes_run_low_where_they_are_named() -> None:
    maker = Maker("1 tie eh 60 tube T1", "2 tie eh 60 tube T2", "3 tie oboe 72")
    assert dict(review(maker.bench).low_tubes) == {"english horn": 0}
    maker.type("1 retire cracked")
    assert "Low: only 1 English horn tube free" in review_text(review(maker.bench), maker.clock.now())
    maker.type("staple T3 27 mm eh")
    assert dict(review(maker.bench).low_tubes) == {}
    maker.type("2 sell to somebody", "staple T4 27 mm bass oboe")
    assert dict(review(maker.bench).low_tubes) == {}  # nothing is done for the bass oboe


def test_three_in_service_are_enough_and_an_instrument_laid_aside_needs_none() -> None:
    maker = Maker("1-3 join oboe 5h", "4 tie bass oboe 90 @2026-08-01", "5 tie eh 60 @2026-09-27")
    assert dict(review(maker.bench).low_cases) == {"english horn": 0}
    maker.type("1 retire worn")
    assert dict(review(maker.bench).low_cases) == {"oboe": 2, "english horn": 0}


def test_given_up_with_each_cause() -> None:
    maker = Maker("1-3 tie eh 60", "4 tie oboe 72", "1 retire cracked; 3-4 retire cracked", "2 retire never came good")
    lines = review_text(review(maker.bench), maker.clock.now())
    assert "Given up: 2 eh (1, 3), 1 ob (4), cracked" in lines
    assert "Given up: 1 eh (2), never came good" in lines


def test_an_empty_week() -> None:
    maker = Maker()
    days, nothing, begin = review_text(review(maker.bench), maker.clock.now())
    assert (days, nothing) == ("Thu 19 Nov to Wed 25 Nov", "Nothing was noted.")
    assert "such as 1 tie oboe 72" in begin
    maker.type("1-3 join oboe 5h")
    assert "Joined: 3 ob (1–3)" in review_text(review(maker.bench), maker.clock.now())


def test_it_as_json(maker: Maker) -> None:
    told = review_as_dict(review(maker.bench))
    assert (told["from"], told["to"]) == ("2026-11-19", "2026-11-25")
    assert told["retired"] == [
        {"tag": "1", "instrument": "english horn", "cause": "worn", "hours_played": pytest.approx(1.6667)}
    ]
    assert told["given_up"] == [
        {"tag": "3", "instrument": "english horn", "cause": "never came good", "hours_played": 0}
    ]
    assert [(one["tag"], one["terms"], one["to"], one["why"]) for one in told["out"]] == [  # type: ignore[attr-defined]
        ("4", "lent", "a pupil", "sags")
    ]
    assert told["due"][0]["name"] == "duo"  # type: ignore[index]


def test_any_stretch_of_days(maker: Maker) -> None:
    asked = Asked(maker.bench)
    month = WeekQuestion(date(2026, 11, 23), 23).answer(asked, no_tick)
    assert month.lines()[0] == "Sun 1 Nov to Mon 23 Nov"
    assert [reed.tag for reed in month.review.tied] == ["1", "2", "3", "4", "5", "6"]
    year = WeekQuestion(date(2026, 11, 25), 365).answer(asked, no_tick)
    assert year.lines()[0] == "Wed 26 Nov 2025 to Wed 25 Nov 2026"
    assert WeekQuestion(date(2026, 11, 1), 1).answer(asked, no_tick).lines()[0] == "Sun 1 Nov"


def test_of_more_than_a_month_and_twenty_reeds_only_numbers_are_told() -> None:
    maker = Maker(
        "1-18 tie eh 60", "19-20 tie oboe 72", "1 retire cracked; 2-3 play 60", "2-3 retire worn", "5 sell to Ann"
    )
    week = maker.bench.clock.now().date()

    def told(days: int) -> list[str]:
        return review_text(review(maker.bench, week, days), maker.clock.now())

    assert "Tied: 18 eh (1–18), 2 ob (19, 20)" in told(32)
    assert told(33)[1:6] == [
        "Tied: 18 eh, 2 ob",
        "Came good: 2 eh",
        "Given up: 1 cracked",
        "Retired: 2 worn",
        "Out: 1 sold",
    ]


def test_twenty_reeds_are_named_however_many_days_they_took() -> None:
    maker = Maker("1-20 tie eh 60")
    assert "Tied: 20 eh (1–20)" in review_text(review(maker.bench, days=365), maker.clock.now())
    maker.type("21 tie eh 60")
    assert "Tied: 21 eh" in review_text(review(maker.bench, days=365), maker.clock.now())


def test_days_of_another_year_are_told_with_it() -> None:
    today = date(2026, 11, 25)
    assert span_words(date(2025, 11, 5), date(2025, 11, 5), today) == "Wed 5 Nov 2025"
    assert span_words(date(2025, 12, 30), date(2026, 1, 5), today) == "Tue 30 Dec 2025 to Mon 5 Jan 2026"
    assert span_words(date(2026, 1, 5), date(2026, 1, 5), today) == "Mon 5 Jan"
