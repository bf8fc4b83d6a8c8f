"""Orders: what was asked for, what went out, what came back, what is due."""

from __future__ import annotations

from datetime import date

import pytest
from tests.domain.maker import Maker

from reedkin.bench.orders import (
    deliveries,
    delivery_as_dict,
    due,
    order_as_dict,
    orders,
    orders_text,
    said_open,
    with_others,
    with_others_text,
)


@pytest.fixture
def maker() -> Maker:
    """Four English horn reeds and an oboe reed; an order for three of the former. Today is 25 November 2026."""
    return Maker("1-4 tie eh 60", "5 tie oboe 72", 'order quartet 3 eh by 12 March for 30 "for the tour"')


def test_an_order_as_it_is_placed(maker: Maker) -> None:
    (order,) = orders(maker.bench)
    assert (order.name, order.instrument, order.count) == ("quartet", "english horn", 3)
    assert (order.due, order.price, order.note) == (date(2027, 3, 12), 30, "for the tour")
    assert order.open
    assert order.wanting == 3


def test_reeds_handed_over_to_its_name_count_for_it(maker: Maker) -> None:
    maker.type("1 sell to quartet", "2 give to the Quartet", "3 lend to order quartet")
    (order,) = orders(maker.bench)
    assert [d.reed.tag for d in order.out] == ["1", "2", "3"]
    assert not order.open


@pytest.mark.parametrize("said", ["for 31", "price 31"])
def test_a_price_of_its_own(maker: Maker, said: str) -> None:
    maker.type(f"1 sell to the quartet {said}")
    (order,) = orders(maker.bench)
    assert [d.price for d in order.out] == [31]


def test_others_do_not(maker: Maker) -> None:
    maker.type("1 sell to a pupil", "5 sell to quartet")
    (order,) = orders(maker.bench)
    assert order.deliveries == ()


def test_a_reed_that_came_back_does_not_count_and_says_why(maker: Maker) -> None:
    maker.type("1-3 sell to quartet", '2 return "a corner gone"')
    (order,) = orders(maker.bench)
    assert order.wanting == 1
    back = order.deliveries[1]
    assert back.came_back is not None
    assert back.why == "a corner gone"
    maker.type("4 sell to quartet")
    (order,) = orders(maker.bench)
    assert not order.open


def test_why_it_came_back_may_be_said_after_it(maker: Maker) -> None:
    maker.type("1-2 sell to quartet", "1-2 return", '1 note "leaks at the side"', "2 retire cracked")
    (order,) = orders(maker.bench)
    assert [d.why for d in order.deliveries] == ["leaks at the side", "cracked"]


def test_what_is_said_after_it_was_used_again_is_not_why_it_came_back(maker: Maker) -> None:
    maker.type("1 sell to quartet", "1 return", "1 measure opening 1.4", "1 scrape tip", '1 note "better now"')
    (order,) = orders(maker.bench)
    assert order.deliveries[0].why == ""
    assert order_as_dict(order)["deliveries"][0]["why"] is None  # type: ignore[index]


def test_one_reed_more_than_was_asked_for_counts_for_the_last_order(maker: Maker) -> None:
    maker.type("1-4 sell to quartet")
    (order,) = orders(maker.bench)
    assert ([d.reed.tag for d in order.out], order.wanting) == (["1", "2", "3", "4"], 0)


def test_what_comes_back_later_opens_its_own_order_again() -> None:
    maker = Maker("1-3 tie eh 60", "order duo 1 eh", "1 sell to duo", "order duo 1 eh", "1 return")
    first, second = orders(maker.bench)
    assert (first.wanting, second.wanting) == (1, 1)
    maker.type("2 sell to duo")
    first, second = orders(maker.bench)
    assert (first.wanting, second.wanting) == (0, 1)


def test_a_reed_lent_before_it_was_ordered_does_not_count(maker: Maker) -> None:
    maker.type("5 lend to soloist", "order soloist 1 oboe")
    assert orders(maker.bench)[-1].wanting == 1


def test_what_became_of_a_reed_later_does_not_open_its_order_again(maker: Maker) -> None:
    maker.type("1-3 sell to quartet")
    maker.clock.forward(days=90)
    maker.type("2 retire worn")
    (order,) = orders(maker.bench)
    assert not order.open


def test_more_is_said_of_an_open_order(maker: Maker) -> None:
    maker.type("order Quartet by 1 May", "order quartet 2")
    (order,) = orders(maker.bench)
    assert (order.count, order.due, order.price) == (2, date(2027, 5, 1), 30)


def test_done_closes_it(maker: Maker) -> None:
    maker.type("1 sell to quartet", "order quartet done")
    (order,) = orders(maker.bench)
    assert not order.open
    assert not said_open(maker.bench, "quartet")
    assert maker.error("order quartet done") == ("order quartet done", "there is no open order quartet")


def test_a_name_can_order_again(maker: Maker) -> None:
    maker.type("1-3 sell to quartet")
    maker.clock.forward(days=200)
    maker.type("order quartet 1 eh", "4 sell to quartet")
    first, second = orders(maker.bench)
    assert [d.reed.tag for d in first.out] == ["1", "2", "3"]
    assert (second.count, [d.reed.tag for d in second.out]) == (1, ["4"])
    assert second.due is None


def test_a_struck_order_is_none(maker: Maker) -> None:
    from reedkin.domain.events import Strike

    (said,) = maker.bench.beside.said("orders")
    maker.bench.add([Strike("z", "orders", said.uid, maker.clock.now(), "z")])
    assert orders(maker.bench) == []


def test_what_is_due_within_a_week_the_overdue_first(maker: Maker) -> None:
    maker.type(
        "order later 1 eh by 2026-12-03", "order soon 1 oboe by 2026-12-02", "order late 2 eh by 2026-11-20",
        "order whenever 1 eh", "order served 1 oboe by tomorrow", "5 sell to served",
    )  # fmt: skip
    assert [order.name for order in due(maker.bench)] == ["late", "soon"]
    assert [order.name for order in due(maker.bench, within=8)] == ["late", "soon", "later"]


def test_the_instrument_goes_without_saying(maker: Maker) -> None:
    maker.type("order duo 2")
    assert orders(maker.bench)[-1].instrument == "oboe"
    maker.type("1-3 sell to quartet", "order quartet done", "order Quartet 1 by friday")
    assert orders(maker.bench)[-1].instrument == "english horn"  # as last time


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ("order", "which order? such as order quartet 3 eh by 12 March  or  order quartet done"),
        ("order duo by friday", "how many reeds? such as order duo 3 eh by 12 March"),
        ("order duo 0 eh", "asked for must be between 1 reed and 1000 reeds"),
        ("order duo 2 eh by soon", "by needs a day such as 12 March after it"),
    ],
)
def test_what_an_order_lacks(maker: Maker, line: str, message: str) -> None:
    assert maker.error(line)[1] == message


def test_lent_reeds_the_longest_out_first(maker: Maker) -> None:
    maker.type("2 lend to a pupil", "1 lend to second oboe", "3 sell to somebody", "4 lend to a colleague", "4 return")
    assert [(d.reed.tag, d.to) for d in with_others(maker.bench)] == [("2", "a pupil"), ("1", "second oboe")]
    maker.type("5 hand over to a pupil")
    maker.clock.forward(days=3)
    lines = with_others_text(with_others(maker.bench), maker.clock.now())
    assert lines[0] == "2 (english horn) lent to a pupil 3 days ago"
    assert lines[-1] == "5 (oboe) handed over to a pupil 3 days ago"
    assert with_others_text([], maker.clock.now()) == ["No reed is lent."]


def test_orders_in_words(maker: Maker) -> None:
    maker.type("1-2 sell to quartet", '2 return "flat"')
    assert orders_text(orders(maker.bench), date(2027, 3, 10)) == [
        "quartet: 1 of 3 english horn reeds out (1), due in 2 days, Fri 12 Mar; for the tour",
        "  2 came back after 1 min: flat",
    ]
    assert orders_text([], date(2027, 3, 10))[0].startswith("No orders.")


@pytest.mark.parametrize(
    ("day", "words"),
    [(12, "due today"), (11, "due tomorrow"), (13, "1 day overdue"), (20, "8 days overdue")],
)
def test_how_long_until_it_is_due(maker: Maker, day: int, words: str) -> None:
    assert words in orders_text(orders(maker.bench), date(2027, 3, day))[0]


def test_an_order_may_have_no_date() -> None:
    maker = Maker("order duo 1 oboe")
    assert orders_text(orders(maker.bench), date(2027, 3, 10)) == ["duo: 0 of 1 oboe reed out, no date"]


def test_an_order_as_json(maker: Maker) -> None:
    maker.type("1 sell to quartet for 35")
    told = order_as_dict(orders(maker.bench)[0])
    assert (told["name"], told["due"], told["wanting"], told["done"]) == ("quartet", "2027-03-12", 2, False)
    (out,) = told["deliveries"]  # type: ignore[misc]
    assert (out["price"], out["to"], out["terms"], out["came_back"], out["why"]) == (35, "quartet", "sold", None, None)
    assert told["note"] == "for the tour"
    maker.type("order duo 1 oboe", "5 give")
    bare = order_as_dict(orders(maker.bench)[-1])
    assert (bare["note"], bare["due"], bare["price"]) == (None, None, None)
    assert delivery_as_dict(deliveries(maker.reed("5"))[0])["to"] is None


def test_a_number_that_an_order_is_called_by_is_no_price(maker: Maker) -> None:
    maker.type("order 12 2 oboe by 12 december", 'order "section 2" 1 oboe by 12 december', "20 tie oboe 72")
    for line in ("sell to order 12", "sell to the section 2", "sell to the quartet price 18", "sell to 12"):
        assert maker.read(line).questions == (), line
