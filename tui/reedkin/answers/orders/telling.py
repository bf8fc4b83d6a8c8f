"""Orders and what went out, in plain lines and as JSON takes them."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime
from typing import TYPE_CHECKING

from reedkin.answers.people.news import news_of
from reedkin.bench.deliveries import Delivery
from reedkin.bench.orders import Order
from reedkin.domain import as_json
from reedkin.domain.figures import ago, past, plural, tag_list, weekday_words
from reedkin.domain.words import TERMS, spelt

if TYPE_CHECKING:
    from reedkin.contract.others import DeliveryJson, OrderJson


def when_due(day: date | None, today: date) -> str:
    """How long until a day, in words: "due today", "due in 3 days", "5 days overdue"."""
    if day is None:
        return "no date"
    days = (day - today).days
    if days < 0:
        return f"{plural(-days, 'day')} overdue"
    return ("due today", "due tomorrow")[days] if days < 2 else f"due in {days} days, {weekday_words(day)}"


def order_line(order: Order, today: date) -> str:
    """An order in a line: "quartet: 1 of 3 English horn reeds out (142), due in 9 days, Thu 12 Mar". Where not all that
    went out was sold, how it went is told: "(1 sold, 142; 1 lent, 143)"."""
    state = when_due(order.due, today) if order.open else "done"
    return f"{order.label}: {len(order.out)} of {order.reeds} out{_how_out(order)}{order.purpose}, {state}"


def _how_out(order: Order) -> str:
    terms = {d.terms for d in order.out}
    if not order.out:
        return ""
    if terms <= {"sold"} or terms == {None}:
        return f" ({tag_list(d.reed.label for d in order.out)})"
    groups = [(how, [d.reed.label for d in order.out if d.terms == how]) for how in (*TERMS, None)]
    told = (f"{len(tags)} {how or 'handed over'}, {tag_list(tags)}" for how, tags in groups if tags)
    return f" ({'; '.join(told)})"


def orders_text(found: Iterable[Order], today: date) -> list[str]:
    """Orders in plain lines, with what came back and why."""
    lines: list[str] = []
    for order in found:
        price = f", {order.price:g} each" if order.price is not None else ""
        lines.append(order_line(order, today) + price + (f"; {order.note}" if order.note else ""))
        lines += [f"  {_back(d)}" for d in order.deliveries if d.came_back is not None]
    return lines or ["No orders. To note one: order quartet 3 eh by 12 March"]


def _back(delivery: Delivery) -> str:
    assert delivery.came_back is not None
    why = f": {delivery.why}" if delivery.why else ""
    same_day = delivery.came_back.date() == delivery.at.date()
    after = "the same day" if same_day else f"after {ago(delivery.at, delivery.came_back)}"
    return f"{delivery.reed.label} came back {after}{why}"


def with_others_text(found: Iterable[Delivery], now: datetime) -> list[str]:
    """Lent reeds in plain lines."""
    lines = []
    for d in found:
        which = f"{d.reed.label} ({spelt(d.reed.instrument)}) {d.terms or 'handed over'}"
        lines.append(f"{which} to {d.to or 'somebody'} {past(d.at, now)}{_what_became(d)}")
    return lines or ["No reed is lent."]


def _what_became(d: Delivery) -> str:
    """That a lent reed came back, and why; or that it is said to have ended."""
    if d.came_back is not None:
        return f", {_back(d).removeprefix(f'{d.reed.label} ')}"
    news = news_of(d)
    return "" if news.ended is None else f", said to be {news.cause or 'at its end'}"


def order_as_dict(order: Order) -> OrderJson:
    """An order as JSON takes it."""
    return {
        "order": order.uid,
        "label": order.label,
        "name": order.name,
        "for": order.occasion or None,
        "instrument": order.instrument,
        "strength": order.strength or None,
        "count": order.count,
        "placed": as_json.moment(order.placed),
        "due": as_json.moment(order.due),
        "price": order.price,
        "note": order.note or None,
        "done": not order.open,
        "wanting": order.wanting,
        "deliveries": [delivery_as_dict(d) for d in order.deliveries],
    }


def delivery_as_dict(delivery: Delivery) -> DeliveryJson:
    """A reed that went out as JSON takes it."""
    return {
        "tag": delivery.reed.label,
        "instrument": delivery.reed.instrument,
        "at": as_json.moment(delivery.at),
        "to": delivery.to or None,
        "terms": delivery.terms,
        "price": delivery.price,
        "unpaid": delivery.unpaid,
        "came_back": as_json.moment(delivery.came_back),
        "why": delivery.why or None,
    }
