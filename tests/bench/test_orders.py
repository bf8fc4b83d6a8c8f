"""Orders: what was asked for, what went out, what came back, what is due."""

from __future__ import annotations

from datetime import date, datetime

import pytest
from tests.domain.maker import Maker

from reedkin.answers.orders.telling import delivery_as_dict, order_as_dict, orders_text, with_others_text
from reedkin.bench.deliveries import deliveries
from reedkin.bench.names import meant_by
from reedkin.bench.orders import book, due, lendings, orders, said_open
from reedkin.domain.events import Statement
from reedkin.domain.facts import Value
from reedkin.grammar.preview import preview
from reedkin.grammar.reading import read_again


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


def test_what_is_said_of_an_order_names_it(maker: Maker) -> None:
    maker.type("1 sell to quartet", "order quartet 2 soft oboe for the recital price 31")
    for line, said in (
        ("order quartet/1 done", "order quartet/1 (3 English horn reeds): done, 1 of 3 out"),
        ("order quartet/2 by 6 dec", "order quartet/2 (2 soft oboe reeds for the recital): by 6 Dec 2026"),
        ("order duo 1 oboe by 6 dec price 28", "order duo: 1 oboe reed, by 6 Dec 2026, 28 each"),
        ("paid quartet 60", "payment of quartet: 60"),
    ):
        assert preview(maker.read(line), maker.bench) == [said]


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


def test_a_loan_or_a_gift_beyond_what_was_asked_for_counts_for_no_order(maker: Maker) -> None:
    maker.type("1-3 sell to quartet", "4 lend to quartet")
    (order,) = orders(maker.bench)
    assert [d.reed.tag for d in order.out] == ["1", "2", "3"]


@pytest.mark.parametrize(
    "line", ["order duo 2 eh medium soft", "order duo med soft 2 eh", "order duo 2 medium-soft eh reeds"]
)
def test_how_strong_an_order_asks_for(maker: Maker, line: str) -> None:
    maker.type(line)
    order = orders(maker.bench)[-1]
    assert (order.name, order.asked) == ("duo", "2 medium soft English horn reeds")


@pytest.mark.parametrize(
    ("name", "meant"),
    [
        ("Okafor", ["Mrs Okafor"]), ("lucia", ["Lucía"]), ("Hanna Sommer", ["Anna Sommer"]), ("mrs okafor", []),
        ("pupil 4", []), ("Jo", []), ("somebody else", []), ("", []),
    ],
)  # fmt: skip
def test_who_may_be_meant_by_a_name_that_nobody_has(name: str, meant: list[str]) -> None:
    assert meant_by(name, ["Mrs Okafor", "Lucía", "Anna Sommer", "pupil 3", "Joan", ""]) == meant


def test_a_new_name_that_may_be_a_known_one_is_asked(maker: Maker) -> None:
    maker.type("order Mrs Okafor 1 eh")
    assert "if it is Mrs Okafor, write to Mrs Okafor" in maker.question("1 sell to Okafor for 20")[1]
    assert "nobody called Zed ordered or had a reed" in maker.question("paid Zed 20")[1]
    maker.type("2 sell to the quartet unpaid")
    (order, _) = orders(maker.bench)
    assert [(d.to, d.unpaid, d.price) for d in order.out] == [("the quartet", True, 30)]


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
    maker.type("order Quartet by 1 May", "order quartet for 28")
    (order,) = orders(maker.bench)
    assert (order.count, order.due, order.price) == (3, date(2027, 5, 1), 28)


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


def test_an_accent_that_is_a_sign_of_its_own_makes_nobody_else() -> None:
    maker = Maker("1 tie oboe 72", "order Zo\N{LATIN SMALL LETTER E WITH DIAERESIS} 2 oboe")
    maker.type("1 sell to Zoe\N{COMBINING DIAERESIS}")  # as names are that were copied from some programs
    (order,) = orders(maker.bench)
    assert [one.reed.tag for one in order.out] == ["1"]


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
        ("order", "whose order? such as order quartet 3 eh by 12 March  or  order quartet done"),
        ("order duo by friday", "how many reeds? such as order duo 3 eh by 12 March"),
        ("order duo 0 eh", "asked for must be between 1 reed and 1000 reeds"),
        ("order duo 2 eh by soon", "by needs a day such as 12 March after it"),
    ],
)
def test_what_an_order_lacks(maker: Maker, line: str, message: str) -> None:
    assert maker.error(line)[1] == message


def test_lent_reeds_the_longest_out_first(maker: Maker) -> None:
    maker.type("2 lend to a pupil", "1 lend to second oboe", "3 sell to somebody", "4 lend to a colleague", "4 return")
    assert [(d.reed.tag, d.to) for d in lendings(book(maker.bench))] == [
        ("2", "a pupil"), ("1", "second oboe"), ("4", "a colleague"),
    ]  # fmt: skip
    maker.type("5 hand over to a pupil")
    maker.clock.forward(days=3)
    lines = with_others_text(lendings(book(maker.bench)), maker.clock.now())
    assert lines[0] == "2 (English horn) lent to a pupil 3 days ago"
    assert lines[-2] == "5 (oboe) handed over to a pupil 3 days ago"
    assert with_others_text([], maker.clock.now()) == ["No reed is lent."]


def test_orders_in_words(maker: Maker) -> None:
    maker.type("1-2 sell to quartet", '2 return "flat"')
    assert orders_text(orders(maker.bench), date(2027, 3, 10)) == [
        "quartet: 1 of 3 English horn reeds out (1), due in 2 days, Fri 12 Mar, 30 each; for the tour",
        "  2 came back the same day: flat",
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


def _as_before(maker: Maker, name: str, at: datetime | None = None, **facts: Value) -> Statement:
    """What earlier versions wrote of an order: its name is all that tells which it is."""
    uid = maker.uids.new()
    moment = at or maker.clock.now()
    said = Statement(uid, "orders", name, moment, moment, uid, facts)
    maker.bench.add([said])
    maker.clock.forward(minutes=1)
    return said


def test_a_second_open_order_of_a_buyer_is_a_further_one(maker: Maker) -> None:
    line = "order quartet 2 oboe by 1 May at 25"
    assert maker.question(line)[1] == (
        "quartet has an order of 3 English horn reeds open: a further one? to change that one write order quartet/1 2"
    )
    maker.type(line)
    first, second = orders(maker.bench)
    assert (first.label, first.instrument, first.count, first.price) == ("quartet/1", "english horn", 3, 30)
    assert (second.label, second.instrument, second.count, second.price) == ("quartet/2", "oboe", 2, 25)


def test_two_logs_that_are_united_keep_the_orders_of_both() -> None:
    one, other = Maker("1-2 tie oboe 72"), Maker()
    here = one.type("order Meier 3 oboe by 20 dec 25 each")
    there = other.type("order Meier 2 oboe by 12 dec")
    one.bench.add(there)
    other.bench.add(here)
    for united in (one, other):
        assert {(o.count, o.price) for o in orders(united.bench)} == {(3, 25), (2, None)}
        assert len({o.uid for o in orders(united.bench)}) == 2


def test_what_earlier_versions_wrote_means_what_it_did() -> None:
    maker = Maker("1-4 tie eh 60")
    _as_before(maker, "quartet", count=3, instrument="english horn", price=30)
    _as_before(maker, "Quartet", count=2)
    (order,) = orders(maker.bench)
    assert (order.label, order.count, order.price) == ("quartet", 2, 30)
    _as_before(maker, "quartet", done=True)
    _as_before(maker, "the quartet", count=1, instrument="english horn")
    assert [(o.count, o.open) for o in orders(maker.bench)] == [(2, False), (1, True)]


def test_an_order_that_an_earlier_version_wrote_is_changed_and_served_by_what_it_is(maker: Maker) -> None:
    placed = _as_before(maker, "duo", count=2, instrument="oboe")
    maker.type("order duo by 20 dec", "5 sell to duo")
    order = orders(maker.bench)[-1]
    assert (order.uid, order.due, [d.reed.tag for d in order.out]) == (placed.uid, date(2026, 12, 20), ["5"])
    assert maker.reed("5").steps[-1].facts["order"] == placed.uid
    maker.type("order duo done")
    assert not orders(maker.bench)[-1].open
    assert not said_open(maker.bench, "duo")


def test_which_of_two_orders_is_served_is_asked(maker: Maker) -> None:
    maker.type("order quartet 1 eh by 1 December")
    assert maker.question("1 sell to quartet")[1] == (
        "taken for quartet/2 (1 English horn reed); for another write to quartet/1 (3 English horn reeds)"
    )
    maker.type("1 sell to quartet", "2 sell to the quartet/1", "3 sell to quartet")
    first, second = orders(maker.bench)
    assert ([d.reed.tag for d in first.out], [d.reed.tag for d in second.out]) == (["2", "3"], ["1"])
    assert {d.to for d in first.out} == {"quartet"}


def test_reeds_of_one_entry_serve_one_order_after_the_other(maker: Maker) -> None:
    maker.type("order quartet 1 eh by 1 December", "1-3 sell to quartet")
    first, second = orders(maker.bench)
    assert ([d.reed.tag for d in first.out], [d.reed.tag for d in second.out]) == (["2", "3"], ["1"])


def test_what_is_said_of_one_of_two_orders_names_it(maker: Maker) -> None:
    maker.type("order quartet 2 oboe")
    assert maker.error("order quartet by 1 May")[1] == (
        "which order, quartet/1 (3 English horn reeds by 12 Mar) or quartet/2 (2 oboe reeds)?"
    )
    maker.type("order quartet/2 by 1 May", "order quartet/1 2", "order quartet/1 done")
    first, second = orders(maker.bench)
    assert (first.count, first.open, second.due) == (2, False, date(2027, 5, 1))


def test_taking_one_order_back_leaves_the_others(maker: Maker) -> None:
    from reedkin.domain.events import Strike

    (said,) = maker.type("order quartet 2 oboe")
    maker.type("5 sell to quartet")
    maker.bench.add([Strike("z", "orders", said.uid, maker.clock.now(), "z")])
    (order,) = orders(maker.bench)
    assert (order.label, order.count) == ("quartet", 3)


def test_the_price_of_the_order_is_that_of_the_sale(maker: Maker) -> None:
    maker.type("1 hand over to quartet", "2 sell to quartet for 35", "3 lend to quartet")
    (order,) = orders(maker.bench)
    assert [(d.terms, d.price) for d in order.out] == [("sold", 30), ("sold", 35), ("lent", None)]
    assert orders_text([order], date(2027, 3, 10))[0].startswith(
        "quartet: 3 of 3 English horn reeds out (2 sold, 1, 2; 1 lent, 3), done"
    )


def test_what_is_handed_over_for_money_is_sold(maker: Maker) -> None:
    maker.type("5 hand over to M for 20")
    (out,) = deliveries(maker.reed("5"))
    assert (out.terms, out.price, maker.reed("5").now.terms) == ("sold", 20, "sold")
    assert maker.question("1 give to M for 20")[1] == "what is given has no price; if it was sold, write sell"


def test_a_lent_reed_that_is_kept_is_sold_and_one_that_goes_on_is_with_somebody_else(maker: Maker) -> None:
    maker.type("5 lend to M", "5 sell to M for 20")
    assert [(d.terms, d.price) for d in deliveries(maker.reed("5"))] == [("sold", 20)]
    maker.type("1 lend to M", "1 lend to N")
    first, second = deliveries(maker.reed("1"))
    assert (first.came_back is not None, second.to) == (True, "N")
    assert [d.to for d in lendings(book(maker.bench))] == ["N", "M"]


def test_amending_a_sale_leaves_it_with_its_order(maker: Maker) -> None:
    maker.type("order quartet 1 eh", "1 sell to quartet/1")
    reed = maker.reed("1")
    step = reed.steps[-1]
    for line, order in (("sell to quartet for 28", step.facts["order"]), ("sell to a pupil for 28", None)):
        (action,) = read_again(line, maker.bench, reed, step).actions
        assert action.facts.get("order") == order


@pytest.mark.parametrize(
    "line",
    [
        "order Meier 3 oboe by 20 dec 25 each", "order Meier 3 oboe 25 each by 20 dec", "order Meier 3 oboe at 25",
        "order Meier 3 oboe for 25", "order Meier 3 oboe €25", "order Meier 3 oboe 25 € by 20 dec",
        "order Meier three oboe reeds 25 euros apiece", "order Meier 3 oboe each 25",
        "order Meier 3 oboe 25.00 a piece",
        "order Meier 3 oboe price 25", "order Meier 3 oboe for 25 each", "order Meier 3 oboe 75 in all",
        "order Meier 3 oboe by 20 dec at 25 per reed", "order Meier 3 oboe 25,00 each",
        "order from Meier 3 oboe EUR 25",
    ],
)  # fmt: skip
def test_ways_to_give_a_price(maker: Maker, line: str) -> None:
    assert maker.read(line).questions == ()
    maker.type(line)
    order = orders(maker.bench)[-1]
    assert (order.name, order.instrument, order.count, order.price) == ("Meier", "oboe", 3, 25)


@pytest.mark.parametrize(
    ("line", "price"),
    [
        ("1-2 sell to Meier 25 each", 25), ("1-2 sold to Meier for 50 in all", 25), ("1-2 sell to Meier €25", 25),
        ("1-2 sell to Meier at 25 euros", 25), ("1-2 sell for 25 each to Meier", 25),
    ],
)  # fmt: skip
def test_ways_to_give_the_price_of_a_sale(maker: Maker, line: str, price: float) -> None:
    maker.type(line)
    assert [(d.to, d.price) for d in deliveries(maker.reed("2"))] == [("Meier", price)]


def test_a_name_of_several_words_and_what_an_order_is_for(maker: Maker) -> None:
    maker.type('order for the wind band 2 oboe for the spring recital by 1 May 25 each "old shape"')
    order = orders(maker.bench)[-1]
    assert (order.name, order.count, order.occasion) == ("the wind band", 2, "the spring recital")
    assert (order.due, order.price, order.note) == (date(2027, 5, 1), 25, "old shape")
    maker.type("order wind band done")
    assert not orders(maker.bench)[-1].open


def test_a_loan_that_came_back_is_told_with_those_still_out(maker: Maker) -> None:
    maker.type("1-2 lend to a pupil", '1 return "too hard"')
    still, back = lendings(book(maker.bench))
    assert (still.reed.tag, back.reed.tag, back.why) == ("2", "1", "too hard")
    assert with_others_text([back], maker.clock.now()) == [
        "1 (English horn) lent to a pupil 2 min ago, came back the same day: too hard"
    ]
