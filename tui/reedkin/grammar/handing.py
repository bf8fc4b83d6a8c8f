"""Handing a reed over: what goes for money is sold, and it goes to an order of its buyer; where several are open, which
is asked."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from datetime import date, datetime
from functools import cached_property

from reedkin.bench.bench import Bench
from reedkin.bench.deliveries import order_key
from reedkin.bench.names import meant_by
from reedkin.bench.orders import ORDERS, Book, Order, book, buyers, is_somebody, said_open
from reedkin.domain.checks import Objection
from reedkin.domain.facts import Facts, Value
from reedkin.domain.known import number
from reedkin.grammar.words.tokens import NUMBER, decimal

_NAME_AND_NUMBER = re.compile(r"(.*[^\W\d].*?) [€$£]?(\d+(?:[.,]\d+)?)(?: ?[€$£])?")
_NO_NAMES = ("order", "room", "studio", "class", "group", "quartet", "trio", "quintet")
"""What a number belongs to that stands behind it."""
_MUCH_DEARER = 1.6
"""A price so many times the last one may be that of several reeds."""


class Handing:
    """Settles the reeds that one entry hands over, one after the other: an order that is served is not served twice."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self._given: Counter[str] = Counter()

    @cached_property
    def _book(self) -> Book:
        return book(self.bench)

    def settle(
        self, facts: dict[str, Value], instrument: str, at: datetime, was: Facts, quoted: bool = False
    ) -> Iterator[Objection]:
        """Put into the facts of a handing over what goes without saying, and yield what has to be asked. `was` is what
        they were before an amendment; `quoted` says that whom it goes to stands in quotation marks."""
        if facts.get("price") and "terms" not in facts:
            facts["terms"] = "sold"
        if facts.get("price") and facts.get("terms") == "given":
            yield Objection("odd", "what is given has no price; if it was sold, write sell", "price")
        if not quoted:
            yield from self._price_behind_buyer(facts)
            yield from _price_in_name(facts, self.bench)
        to = str(facts.get("to", ""))
        if to != was.get("to"):
            yield from self._figures_in_name(to)
        if "order" in was and order_key(str(was.get("to", ""))) == order_key(to):
            facts["order"] = was["order"]
        elif to and said_open(self.bench, to):
            yield from self._to_order(to, facts, instrument, at)
        elif to and to != was.get("to") and (meant := meant_by(to, buyers(self.bench))):
            names = " or ".join(meant)
            yield Objection("odd", f"{to} is taken as somebody new; if it is {names}, write to {names}", "to")

    def each_or_all(self, facts: Facts, instrument: str) -> Iterator[Objection]:
        """Ask whether the price of several reeds is that of each, where it is much above what the last one cost."""
        price = number(facts, "price")
        last = number(self.bench.last_time.facts("handed over", instrument) or {}, "price")
        if price and not (last and price < _MUCH_DEARER * last):
            yield Objection(
                "odd", f"{price:g} for each of them? if it is for all together, write {price:g} in all", "price"
            )

    def _price_behind_buyer(self, facts: dict[str, Value]) -> Iterator[Objection]:
        """ "sell 18 to Dora 35": a number behind a name is what was paid, which is asked, unless somebody is called so.
        Of a reed that is lent or given it stays a part of the name."""
        to = facts.get("to")
        found = _NAME_AND_NUMBER.fullmatch(to) if isinstance(to, str) and "price" not in facts else None
        if found is None or facts.get("terms") not in (None, "sold"):
            return
        if said_open(self.bench, found[0]) or self._known(found[0]) or order_key(found[1]) in _NO_NAMES:
            return
        facts |= {"to": found[1].removesuffix(" for"), "price": decimal(found[2]), "terms": "sold"}
        yield Objection(
            "odd", f"{found[2]} is taken for the price; if it is part of the name, put that in quotes", "to"
        )

    def _figures_in_name(self, to: str) -> Iterator[Objection]:
        """A name with a number in it, which may be a slip for something else: "len 7,1 cm", "Ann 5 back"."""
        numbered = any(c.isdecimal() for c in to) and not (_NAME_AND_NUMBER.fullmatch(to) or NUMBER.fullmatch(to))
        if numbered and not self._known(to):
            yield Objection("odd", f"{to} is taken as the name of who has it now: is it one?", "to")

    def _known(self, to: str) -> bool:
        return bool(said_open(self.bench, to)) or is_somebody(self.bench, to)

    def _to_order(self, to: str, facts: dict[str, Value], instrument: str, at: datetime) -> Iterator[Objection]:
        own = self._book.of(to)
        called = len(own) == 1 and own[0].places > 1
        if called:
            facts["to"] = own[0].name
            if own[0].instrument not in ("", instrument):
                yield Objection("odd", f"{own[0].label} asks for {own[0].asked}", "to")
        fits = own if called else [order for order in own if self._takes(order, instrument, at)]
        if not fits:
            return
        first, *others = sorted(fits, key=lambda order: (order.due or date.max, order.placed))
        facts["order"] = first.uid
        self._given[first.uid] += 1
        if "terms" not in facts and first.price is not None:
            facts["terms"] = "sold"
        if others:
            rest = " or ".join(f"to {order.label} ({order.asked})" for order in others)
            yield Objection("odd", f"taken for {first.label} ({first.asked}); for another write {rest}", "to")

    def _takes(self, order: Order, instrument: str, at: datetime) -> bool:
        """Whether an order still wants a reed of this instrument."""
        wants = order.wanting > self._given[order.uid]
        return wants and order.instrument in ("", instrument) and order.placed <= at


def _price_in_name(facts: Facts, bench: Bench) -> Iterator[Objection]:
    """A number behind the name of who gets a reed, which may be what was paid, unless an order is called so."""
    to = facts.get("to")
    if isinstance(to, str) and NUMBER.fullmatch(to) and "price" not in facts and not said_open(bench, to):
        yield Objection("odd", f"{to} is taken as the name; if it was paid, write price {to}", "to")
    found = _NAME_AND_NUMBER.fullmatch(to) if isinstance(to, str) and "price" not in facts else None
    if found is None:
        return
    if order_key(found[0]) in {order_key(str(one.facts.get("to", one.subject))) for one in bench.beside.said(ORDERS)}:
        return
    name, number = found[1].removesuffix(" for"), found[2]
    said = f"{found[0]} is taken as the name; if {number} was paid, write {name} price {number}"
    yield Objection("odd", f"there is no order {number}" if name.casefold() == "order" else said, "to")
