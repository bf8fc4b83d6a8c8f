"""What screens and commands ask alike: the case, the stock, a reed's whole life."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from tests.domain.maker import Maker

from reedkin.answers.card.question import CardQuestion
from reedkin.answers.case.question import CaseQuestion
from reedkin.answers.question import Asked
from reedkin.answers.reed.question import ReedQuestion
from reedkin.answers.stock.question import StockQuestion
from reedkin.study.ticks import no_tick


@pytest.fixture
def maker() -> Maker:
    return Maker(
        "1 join oboe 3h; play 30 9", "2 join oboe 3h; play 30 6", "3 join eh 2h; play 30 8",
        '4 tie oboe 72 lot 7; scrape tip 10m; crow C5; note "bright"', "set public 7.5",
    )  # fmt: skip


def test_the_case_looked_at_another_way_is_the_case_asked_another_way(maker: Maker) -> None:
    asked, now = Asked(maker.bench), maker.clock.now()
    plain = CaseQuestion(now).answer(asked, no_tick)
    later = CaseQuestion(now + timedelta(days=2), "performance", "oboe").answer(asked, no_tick)
    looked = replace(plain, at=now + timedelta(days=2), occasion="performance", instrument="oboe")
    assert looked.to_json() == later.to_json()
    assert looked.lines() == later.lines()
    assert later.to_json() != plain.to_json()
    assert "order" not in plain.to_json()
    assert [one["tag"] for one in later.to_json()["order"]] == ["1", "2"]
    # Below the level that she has set, none is played in public.
    assert [one["held"] for one in later.to_json()["order"]] == [False, True]


def test_the_instruments_of_the_case_begin_with_the_one_played_last(maker: Maker) -> None:
    maker.type("3 play 20")
    assert CaseQuestion(maker.clock.now()).answer(Asked(maker.bench), no_tick).instruments == ["english horn", "oboe"]


def test_a_life_is_told_as_it_is_printed_and_its_events_are_named(maker: Maker) -> None:
    reed = maker.reed("1")
    life = ReedQuestion(reed.id, left=True).answer(Asked(maker.bench), no_tick)
    assert life.lines()[:-2] == life.text(named=True) != life.text()
    assert "h left (four times in five" in life.lines()[-1]
    unasked = ReedQuestion(reed.id).answer(Asked(maker.bench), no_tick)
    assert unasked.lines() == life.text(named=True)
    told = life.to_json()
    assert told["expected_remaining_hours"] is not None
    asked_nothing = {"expected_remaining_hours": None, "expected_remaining_range": None}
    assert unasked.to_json() == told | asked_nothing


def test_what_a_reed_that_is_not_in_service_has_left_is_not_told(maker: Maker) -> None:
    life = ReedQuestion(maker.reed("4").id, left=True).answer(Asked(maker.bench), no_tick)
    assert (life.left, life.ahead) == (None, "")
    assert [row.note for row in life.rows][-1] == "  “bright”"


def test_the_stock_has_blanks_first_and_hours_left_of_those_in_service(maker: Maker) -> None:
    maker.type("9 tie oboe 72")
    told = StockQuestion().answer(Asked(maker.bench), no_tick).to_json()["reeds"]
    assert [one["tag"] for one in told] == ["9", "4", "1", "2", "3"]
    assert [one["expected_remaining_hours"] is None for one in told] == [True, True, False, False, False]


def test_a_card_is_the_same_as_json_and_as_lines(maker: Maker) -> None:
    card = CardQuestion(maker.reed("1").id).answer(Asked(maker.bench), no_tick)
    assert card.to_json() == {"tag": "1", "instrument": "oboe", "card": card.lines()}
