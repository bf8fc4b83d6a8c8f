"""Reeds for others: what was ordered and what went out, what came back and why, and what is due.

An order is known by the statement that placed it, so that one buyer may have several open, and two logs that are
united keep all of theirs. A reed handed over says which order it went to. One that does not (earlier versions wrote no
order down, and knew but one open order of a name) counts for an order of whom it went to, on its instrument: the first
that was open then. An order is closed when so many are out as it asks for, or when it is said to be done.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from typing import NamedTuple

from reedkin.bench.bench import Bench
from reedkin.bench.deliveries import Delivery, deliveries, order_key
from reedkin.domain.events import Statement
from reedkin.domain.facts import Value, day_of
from reedkin.domain.figures import plural
from reedkin.domain.known import as_number, whole
from reedkin.domain.reeds import Reed
from reedkin.domain.words import spelt

ORDERS = "orders"
"""The table of the orders."""

_LABEL = re.compile(r"(.+)/(\d{1,4})")


def reeds_asked(count: int, instrument: str, strength: str = "") -> str:
    """How many reeds of which kind: "3 medium soft oboe reeds"."""
    return plural(count, f"{strength} {spelt(instrument)} reed".strip())


@dataclass(frozen=True, slots=True)
class Order:
    """An order, known by the `uid` of what placed it; it is the buyer's first, second, ... of so many. `price` is what
    is asked for a reed, `occasion` what they are for, `strength` how strong they are to be, "" where nobody said."""

    name: str
    instrument: str
    count: int
    placed: datetime
    due: date | None = None
    price: float | None = None
    note: str = ""
    done: bool = False
    deliveries: tuple[Delivery, ...] = field(default=())
    uid: str = ""
    occasion: str = ""
    strength: str = ""
    place: int = 1
    places: int = 1

    @property
    def label(self) -> str:
        """How it is called: by whom it is for, and where that is not enough by which of theirs it is: "Meier/2"."""
        return self.name if self.places == 1 else f"{self.name}/{self.place}"

    @property
    def asked(self) -> str:
        """What it asks for: "3 medium soft oboe reeds for the recital"."""
        return f"{self.reeds}{self.purpose}"

    @property
    def reeds(self) -> str:
        """How many of which: "3 medium soft oboe reeds"."""
        return reeds_asked(self.count, self.instrument, self.strength)

    @property
    def purpose(self) -> str:
        """What they are for: " for the recital"; "" where nobody said."""
        return f" for {self.occasion}" if self.occasion else ""

    @property
    def out(self) -> tuple[Delivery, ...]:
        """What went out and has not come back."""
        return tuple(d for d in self.deliveries if d.came_back is None)

    @property
    def wanting(self) -> int:
        """Reeds still to be handed over."""
        return 0 if self.done else max(self.count - len(self.out), 0)

    @property
    def open(self) -> bool:
        return self.wanting > 0

    def open_at(self, moment: datetime) -> bool:
        """Whether it was open at a moment. What is known of it already happened before, but for the returns."""
        out = [d for d in self.deliveries if d.came_back is None or d.came_back > moment]
        return not self.done and len(out) < self.count


class Book(NamedTuple):
    """All orders, in the order in which they were placed, and everything that went out, the earliest first: with the
    order that it went to, and the price of that order where it was sold for none of its own."""

    orders: tuple[Order, ...]
    deliveries: tuple[Delivery, ...]

    def of(self, name: str) -> list[Order]:
        """The orders of a buyer, or the one that is called so: "Meier", "Meier/2"."""
        key = order_key(name)
        own = [order for order in self.orders if order_key(order.name) == key]
        label = _LABEL.fullmatch(key)
        if own or label is None:
            return own
        theirs = [order for order in self.orders if order_key(order.name) == label[1]]
        return [order for order in theirs if order.place == int(label[2])]


def book(bench: Bench) -> Book:
    """The orders of a log and what went out. Reads the reeds that were ever handed over, and no other."""
    said = bench.beside.said(ORDERS)
    at = {one.uid: one.at for one in said}
    went = [one for reed in bench.whereabouts.ever_handed_over() for one in deliveries(reed)]
    # What is said of an order, or went to it, cannot come before it, whatever day it is said of.
    happened: list[tuple[datetime, Statement | Delivery]] = [
        (max(one.at, at.get(one.subject, one.at)), one) for one in said
    ]
    happened += [(max(one.at, at.get(one.order, one.at)), one) for one in went]
    writing = _Writing()
    for _, one in sorted(happened, key=lambda one: one[0]):  # of one moment, what was said first
        if isinstance(one, Statement):
            writing.say(one)
        else:
            writing.deliver(one)
    return writing.book()


def orders(bench: Bench) -> list[Order]:
    """All orders, in the order in which they were placed."""
    return list(book(bench).orders) if bench.beside.said(ORDERS) else []


class _Writing:
    """The book as it is written, from what was said and what went out, in the order of time."""

    def __init__(self) -> None:
        self.placed: dict[str, Order] = {}
        self.named: dict[str, list[str]] = {}
        self.by_name: set[str] = set()
        """The orders that were placed by their name alone, as earlier versions did."""
        self.went: list[Delivery] = []

    def say(self, said: Statement) -> None:
        facts = said.facts
        if "to" in facts:
            if said.subject == said.uid:
                self._place(said.uid, Order(str(facts["to"]), "", 0, said.at, uid=said.uid), facts)
            elif said.subject in self.placed:
                self.placed[said.subject] = _with(self.placed[said.subject], facts)
            return
        own = [uid for uid in self.named.get(order_key(said.subject), ()) if uid in self.by_name]
        if "count" in facts and not (own and self.placed[own[-1]].open_at(said.at)):
            self._place(said.uid, Order(said.subject, "", 0, said.at, uid=said.uid), facts)
            self.by_name.add(said.uid)
        elif own:
            self.placed[own[-1]] = _with(self.placed[own[-1]], facts)

    def _place(self, uid: str, order: Order, facts: Mapping[str, Value]) -> None:
        self.placed[uid] = _with(order, facts)
        self.named.setdefault(order_key(order.name), []).append(uid)

    def deliver(self, one: Delivery) -> None:
        uid = one.order if one.order in self.placed else self._by_name(one)
        if uid is None:
            self.went.append(replace(one, order=""))
            return
        delivery = replace(one, order=uid)
        self.placed[uid] = replace(self.placed[uid], deliveries=(*self.placed[uid].deliveries, delivery))
        self.went.append(delivery)

    def _by_name(self, one: Delivery) -> str | None:
        """The order that a reed counts for which names none. One that is sold beyond what was asked for counts for the
        last order; a loan or a gift beyond it for none."""
        own = self.named.get(order_key(one.to), ())
        fits = [uid for uid in own if self.placed[uid].instrument in ("", one.reed.instrument)]
        last = fits[-1] if fits and one.terms not in ("lent", "given") else None
        return next((uid for uid in fits if self.placed[uid].open_at(one.at)), last)

    def book(self) -> Book:
        """The orders with their places, and what went out at the prices that hold now."""
        found = []
        for uid, order in self.placed.items():
            own, out = self.named[order_key(order.name)], tuple(_priced(d, order) for d in order.deliveries)
            found.append(replace(order, place=own.index(uid) + 1, places=len(own), deliveries=out))
        went = (_priced(d, self.placed[d.order]) if d.order else d for d in self.went)
        return Book(tuple(sorted(found, key=lambda order: order.placed)), tuple(went))


def _priced(delivery: Delivery, order: Order) -> Delivery:
    """What goes out for an order with a price is sold, unless it is said to be lent or given; at the order's price
    where it has none of its own."""
    terms = delivery.terms or ("sold" if order.price is not None else None)
    price = order.price if terms == "sold" and delivery.price is None else delivery.price
    return replace(delivery, terms=terms, price=price)


def _with(order: Order, facts: Mapping[str, Value]) -> Order:
    count = whole(facts, "count")
    return replace(
        order,
        instrument=str(facts.get("instrument", order.instrument)),
        count=order.count if count is None else count,
        due=day_of(facts.get("due")) or order.due,
        price=as_number(facts.get("price", order.price)),
        note=str(facts.get("note", order.note)),
        done=bool(facts.get("done", order.done)),
        occasion=str(facts.get("occasion", order.occasion)),
        strength=str(facts.get("strength", order.strength)),
    )


def buyers(bench: Bench) -> list[str]:
    """Whom orders are for, the latest first, each as the first order had it; reads no lineage."""
    names: dict[str, str] = {}
    for one in bench.beside.said(ORDERS):
        name = str(one.facts.get("to", one.subject))
        names[order_key(name)] = names.pop(order_key(name), name)
    return list(reversed(names.values()))


def everybody(bench: Bench) -> list[str]:
    """Whom orders are for, and who ever got a reed; reads the reeds that were handed over."""
    got = (one.to for reed in bench.whereabouts.ever_handed_over() for one in deliveries(reed))
    return list(dict.fromkeys((*buyers(bench), *got)))


def is_somebody(bench: Bench, *names: str) -> bool:
    """Whether one of these names is of somebody whom an order is for, or who ever got a reed."""
    return not {order_key(name) for name in everybody(bench)}.isdisjoint(map(order_key, names))


def said_open(bench: Bench, name: str) -> bool:
    """Whether an order of this name was placed and not said to be done, whatever went out; reads no lineage."""
    key, label = order_key(name), _LABEL.fullmatch(order_key(name))
    keys = (key, label[1]) if label is not None else (key,)
    standing: dict[str, bool] = {}
    by_name: dict[str, str] = {}
    for one in bench.beside.said(ORDERS):
        who = order_key(str(one.facts.get("to", one.subject)))
        if who in keys and ("count" in one.facts or "done" in one.facts):
            if "to" not in one.facts:
                by_name[one.uid] = who
            which = who if "to" not in one.facts else by_name.get(one.subject, one.subject)
            standing[which] = not one.facts.get("done", False)
    return any(standing.values())


def due(bench: Bench, within: int = 7) -> list[Order]:
    """The open orders that are due within so many days, or overdue, the most pressing first."""
    until = bench.clock.now().date() + timedelta(days=within)
    pressing = [order for order in orders(bench) if order.open and order.due is not None and order.due <= until]
    return sorted(pressing, key=lambda order: (order.due or date.max, order.placed))


def lendings(found: Book) -> list[Delivery]:
    """The reeds that were lent, or handed over nobody said how, so that they were to come back: those still out first,
    the longest out on top, then those that came back, the latest first."""
    lent = [d for d in found.deliveries if d.terms not in ("sold", "given")]
    still = sorted((d for d in lent if d.came_back is None and not _over(d.reed)), key=lambda d: d.at)
    back = [d for d in lent if d.came_back is not None]
    return [*still, *sorted(back, key=lambda d: d.came_back or d.at, reverse=True)]


def _over(reed: Reed) -> bool:
    return reed.stage == "retired"
