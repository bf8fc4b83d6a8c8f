"""Money: what came in and went out, and what is owed."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from tests.domain.maker import Maker

from reedkin.answers.money.question import Money, MoneyQuestion
from reedkin.answers.question import Asked
from reedkin.study.ticks import no_tick

_AUTUMN = datetime(2025, 11, 25, 10, 7, tzinfo=UTC)


def _money(maker: Maker) -> Money:
    return MoneyQuestion().answer(Asked(maker.bench), no_tick)


@pytest.fixture
def maker() -> Maker:
    """Ten reeds tied in November 2025, of a lot for 30 and thread at 0.10."""
    return Maker("set price thread 0.10", "lot 7 40 pieces price 30", "1-10 tie oboe 72 lot 7", now=_AUTUMN)


def _came_in(maker: Maker) -> dict[str, float]:
    return {one.name: one.came_in for one in _money(maker).months if one.came_in}


def test_what_came_in_and_went_out_by_month_and_year(maker: Maker) -> None:
    maker.type("1-2 sell to Meier 25 each", "order duo 2 oboe 28 each")
    maker.clock.forward(days=60)
    maker.type("3 hand over to duo", "4 lend to duo", "5 sell to somebody for 20", "5 return")
    found = _money(maker)
    assert [(one.name, one.came_in, round(one.out, 2)) for one in found.years] == [("2026", 28, 0), ("2025", 50, 31)]
    assert [one.name for one in found.months] == ["2026-01", "2025-11"]
    assert found.lines()[0] == "2026    in    28.00  out     0.00"
    assert found.lines()[2] == "2025    in    50.00  out    31.00  (cane 30.00, thread 1.00)"


def test_what_is_not_paid_yet_is_owed_and_comes_in_when_it_is_paid(maker: Maker) -> None:
    maker.type("1-2 sell to Meier 25 each unpaid", "paid Meier 20")
    (account,) = _money(maker).accounts
    assert (account.owed, account.earned) == (30, 20)
    assert "Owed: Meier 30.00. When it is paid: paid NAME 25" in _money(maker).lines()
    maker.clock.forward(days=60)
    maker.type("paid meier €40")
    (account,) = _money(maker).accounts
    assert (account.owed, account.credit, account.earned) == (0, 10, 60)
    assert _came_in(maker) == {"2025-11": 20, "2026-01": 40}


def test_a_payment_for_a_sale_that_was_taken_as_paid_counts_once(maker: Maker) -> None:
    maker.type("1 sell to Meier for 25")
    maker.clock.forward(days=60)
    maker.type("paid Meier 25")
    assert _came_in(maker) == {"2026-01": 25}


def test_what_is_paid_ahead_pays_for_what_is_sold_later(maker: Maker) -> None:
    maker.type("paid Meier 30", "1 sell to Meier for 25", "2 sell to Meier for 25 unpaid")
    (account,) = _money(maker).accounts
    assert (account.owed, account.credit, account.earned) == (20, 0, 30)


def test_what_open_orders_will_bring(maker: Maker) -> None:
    maker.type("order Meier 3 oboe 25 each", "1 sell to Meier")
    found = _money(maker)
    assert (found.to_come, found.reeds_to_come) == (50, 2)
    assert found.to_json()["open_orders"] == {"reeds": 2, "amount": 50}


def test_a_log_without_money_says_how_to_note_it() -> None:
    assert _money(Maker("1 tie oboe 72")).lines()[0].startswith("No money is noted.")


def test_a_payment_needs_its_amount(maker: Maker) -> None:
    assert maker.error("paid Meier")[1].startswith("how much? such as paid")
