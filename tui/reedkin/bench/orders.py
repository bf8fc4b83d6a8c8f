"""Reeds for others: what was ordered and what went out, what came back and why, and what is due.

An order is what its maker called it. Reeds handed over `to` that name, on its instrument, count for it. It is closed
when so many are out as it asks for, or when it is said to be done; the next number of reeds said for that name then
begins a new order.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta

from reedkin.bench.bench import Bench
from reedkin.domain import as_json
from reedkin.domain.describe import ago, past, plural, tag_list
from reedkin.domain.events import Statement
from reedkin.domain.facts import Value, day_of
from reedkin.domain.known import as_number, number, whole
from reedkin.domain.reeds import Reed, Step

ORDERS = "orders"
"""The table of the orders."""


@dataclass(frozen=True, slots=True)
class Delivery:
    """A reed that went out, under which tag, when, and when and why it came back if it did."""

    reed: Reed
    at: datetime
    to: str
    terms: str | None = None
    price: float | None = None
    came_back: datetime | None = None
    why: str = ""


@dataclass(frozen=True, slots=True)
class Order:
    """An order; `price` is what is asked for a reed."""

    name: str
    instrument: str
    count: int
    placed: datetime
    due: date | None = None
    price: float | None = None
    note: str = ""
    done: bool = False
    deliveries: tuple[Delivery, ...] = field(default=())

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


def deliveries(reed: Reed) -> list[Delivery]:
    """Each time a reed was handed over. Why it came back is the note of its return, or the first one after it."""
    found: list[Delivery] = []
    for place, step in enumerate(reed.standing):
        if step.kind == "handed over":
            found.append(
                Delivery(
                    reed, step.at, str(step.facts.get("to", "")), step.after.terms,
                    number(step.facts, "price"),
                )
            )  # fmt: skip
        elif step.kind == "returned" and found and found[-1].came_back is None:
            found[-1] = replace(found[-1], came_back=step.at, why=_why(reed.standing[place:]))
    return found


def _why(steps: Iterable[Step]) -> str:
    """The note of a return, or what was said of the reed before it was used or worked on again."""
    for step in steps:
        if step.note:
            return step.note
        if step.kind == "retired":
            return str(step.facts.get("cause", ""))
        if step.kind not in ("returned", "noted", "measured", "scored", "crowed"):
            break
    return ""


def orders(bench: Bench) -> list[Order]:
    """All orders, in the order in which they were placed."""
    said = bench.beside.said(ORDERS)
    if not said:
        return []
    happened: list[tuple[datetime, int, Statement | Delivery]] = [(one.at, 0, one) for one in said]
    happened += [(one.at, 1, one) for reed in bench.whereabouts.ever_handed_over() for one in deliveries(reed)]
    happened.sort(key=lambda one: one[:2])
    books: dict[str, list[Order]] = {}
    for at, _, one in happened:
        if isinstance(one, Statement):
            _say(books.setdefault(order_key(one.subject), []), one)
        elif (book := books.get(order_key(one.to))) is not None:
            _deliver(book, one, at)
    return sorted((order for book in books.values() for order in book), key=lambda order: order.placed)


def order_key(name: str) -> str:
    """The name of an order, or of who gets a reed, without what people leave out or put before it: "the quartet",
    "order 3"."""
    words = name.casefold().split()
    while len(words) > 1 and words[0] in ("order", "the"):
        words.pop(0)
    return " ".join(words).removeprefix("#")


def _say(book: list[Order], said: Statement) -> None:
    facts = said.facts
    if "count" in facts and (not book or not _open_at(book[-1], said.at)):
        book.append(_with(Order(said.subject, "", 0, said.at), facts))
    elif book:
        book[-1] = _with(book[-1], facts)


def _open_at(order: Order, at: datetime) -> bool:
    """Whether an order was open at a moment. What is known of it already happened before, but for the returns."""
    out = [d for d in order.deliveries if d.came_back is None or d.came_back > at]
    return not order.done and len(out) < order.count


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
    )


def _deliver(book: list[Order], delivery: Delivery, at: datetime) -> None:
    fits = [n for n, order in enumerate(book) if order.instrument in ("", delivery.reed.instrument)]
    if fits:
        place = next((n for n in fits if _open_at(book[n], at)), fits[-1])
        book[place] = replace(book[place], deliveries=(*book[place].deliveries, delivery))


def said_open(bench: Bench, name: str) -> bool:
    """Whether an order of this name was placed and not said to be done, whatever went out; reads no lineage."""
    key = order_key(name)
    said = [one.facts for one in bench.beside.said(ORDERS) if order_key(one.subject) == key]
    latest = next((facts for facts in reversed(said) if "done" in facts or "count" in facts), {})
    return "count" in latest and not latest.get("done")


def due(bench: Bench, within: int = 7) -> list[Order]:
    """The open orders that are due within so many days, or overdue, the most pressing first."""
    until = bench.clock.now().date() + timedelta(days=within)
    pressing = [order for order in orders(bench) if order.open and order.due is not None and order.due <= until]
    return sorted(pressing, key=lambda order: (order.due or date.max, order.placed))


def with_others(bench: Bench) -> list[Delivery]:
    """The reeds that are lent, or handed over nobody said how, so that they may come back; the longest out first."""
    out = [deliveries(reed)[-1] for reed in bench.whereabouts.handed_over()]
    return sorted((d for d in out if d.terms not in ("sold", "given")), key=lambda d: d.at)


def when_due(day: date | None, today: date) -> str:
    """How long until a day, in words: "due today", "due in 3 days", "5 days overdue"."""
    if day is None:
        return "no date"
    days = (day - today).days
    if days < 0:
        return f"{plural(-days, 'day')} overdue"
    return ("due today", "due tomorrow")[days] if days < 2 else f"due in {days} days, {day:%a} {day.day} {day:%b}"


def order_line(order: Order, today: date) -> str:
    """An order in a line: "quartet: 1 of 3 english horn reeds out (142), due in 9 days, Thu 12 Mar"."""
    out = f" ({tag_list(d.reed.label for d in order.out)})" if order.out else ""
    state = when_due(order.due, today) if order.open else "done"
    asked = plural(order.count, f"{order.instrument} reed")
    return f"{order.name}: {len(order.out)} of {asked} out{out}, {state}"


def orders_text(found: Iterable[Order], today: date) -> list[str]:
    """Orders in plain lines, with what came back and why."""
    lines: list[str] = []
    for order in found:
        lines.append(order_line(order, today) + (f"; {order.note}" if order.note else ""))
        lines += [f"  {_back(d)}" for d in order.deliveries if d.came_back is not None]
    return lines or ["No orders. To note one: order quartet 3 eh by 12 March"]


def _back(delivery: Delivery) -> str:
    assert delivery.came_back is not None
    why = f": {delivery.why}" if delivery.why else ""
    return f"{delivery.reed.label} came back after {ago(delivery.at, delivery.came_back)}{why}"


def with_others_text(found: Iterable[Delivery], now: datetime) -> list[str]:
    """Lent reeds in plain lines."""
    lines = [
        f"{d.reed.label} ({d.reed.instrument}) {d.terms or 'handed over'} to {d.to or 'somebody'} {past(d.at, now)}"
        for d in found
    ]
    return lines or ["No reed is lent."]


def order_as_dict(order: Order) -> dict[str, object]:
    """An order as JSON takes it."""
    return {
        "name": order.name,
        "instrument": order.instrument,
        "count": order.count,
        "placed": as_json.moment(order.placed),
        "due": as_json.moment(order.due),
        "price": order.price,
        "note": order.note or None,
        "done": not order.open,
        "wanting": order.wanting,
        "deliveries": [delivery_as_dict(d) for d in order.deliveries],
    }


def delivery_as_dict(delivery: Delivery) -> dict[str, object]:
    """A reed that went out as JSON takes it."""
    return {
        "tag": delivery.reed.label,
        "instrument": delivery.reed.instrument,
        "at": as_json.moment(delivery.at),
        "to": delivery.to or None,
        "terms": delivery.terms,
        "price": delivery.price,
        "came_back": as_json.moment(delivery.came_back),
        "why": delivery.why or None,
    }
