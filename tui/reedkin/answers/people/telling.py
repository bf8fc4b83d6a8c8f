"""What is known of somebody in plain lines: what presses first, and what is over last."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime

from reedkin.answers.orders.telling import order_line
from reedkin.answers.people.question import Out, Person
from reedkin.bench.deliveries import Delivery
from reedkin.bench.orders import Order
from reedkin.domain.figures import day_and_month, plural, tag_list
from reedkin.domain.words import spelt

_THIS_YEAR = 300
"""A day further away than so many days is told with its year."""


def person_text(one: Person, now: datetime, whole: bool) -> list[str]:
    """What is known of somebody; how strong they like reeds, past orders, and each reed they have or had only where
    `whole`."""
    lines = [_head(one)]
    lines += [f"  {line}" for line in one.wants.lines() if whole]
    lines += [f"  Replace soon: {replace_words(out, now)}" for out in one.replace_soon]
    lines += [f"  {_order_words(order, now)}" for order in one.orders if order.open]
    if not whole:
        return lines + [f"  {_back_words(back, now)}" for back in one.came_back[:1]]
    latest = one.out[::-1]
    lines += [f"  {_out_words(out, now)}" for out in latest if not out.over]
    lines += [f"  {_back_words(back, now)}" for back in one.came_back]
    return lines + [f"  {line}" for line in _past(one, latest, now)]


def _head(one: Person) -> str:
    over = sum(out.over for out in one.out)
    now_out = len(one.out) - over
    held = [plural(now_out, "reed") + " out"] if now_out else [] if over else ["no reed out"]
    held += [f"{over}{' more' if now_out else ''} worn or long out"] if over else []
    earned = f", earned {one.earned:.2f}" if one.earned else ""
    owed = f", owes {one.owed:.2f}" if one.owed >= 0.005 else ""
    wants = f" ({one.wants})" if str(one.wants) else ""
    return f"{one.name}{wants}: {', '.join(held)}{earned}{owed}"


def _past(one: Person, latest: tuple[Out, ...], now: datetime) -> Iterator[str]:
    """The reeds that are over and the orders that are done, the latest first."""
    over, done = [out for out in latest if out.over], [order for order in one.orders[::-1] if not order.open]
    if over:
        yield "Worn or long out:"
        yield from (f"  {_out_words(out, now)}" for out in over)
    if done:
        yield "Orders before:"
        yield from (f"  {order_line(order, now.date())}" for order in done)


def replace_words(out: Out, now: datetime) -> str:
    """Why a reed is to be replaced: "142 (oboe), its end likely about 5 Dec (28 Nov to 20 Jan)", or, where that day is
    past, "likely at its end since about 5 Nov (28 Oct to 20 Dec)"."""
    which = f"{out.delivery.reed.label} ({spelt(out.delivery.reed.instrument)})"
    if out.end is None:
        since = f" since {_day(out.news.ended, now)}" if out.news.ended is not None else ""
        return f"{which}, said to be {out.news.cause or 'at its end'}{since}"
    likely = "its end likely about" if out.end.middle > now else "likely at its end since about"
    middle, lo, hi = (_day(at, now) for at in (out.end.middle, out.end.lo, out.end.hi))
    return f"{which}, {likely} {middle} ({lo} to {hi})"


def replacing_lines(soon: Iterable[Out]) -> list[str]:
    """Who needs new reeds, a line each: "2 new reeds for a pupil (85/2, 87/2)"."""
    tags: dict[str, list[str]] = {}
    for out in soon:
        tags.setdefault(out.delivery.to or "somebody", []).append(out.delivery.reed.label)
    return [f"{plural(len(own), 'new reed')} for {to} ({tag_list(own)})" for to, own in tags.items()]


def _order_words(order: Order, now: datetime) -> str:
    said = "" if order.label.casefold().startswith("order") else "Order "
    return f"{said}{order_line(order, now.date())}"


def _out_words(out: Out, now: datetime) -> str:
    one = out.delivery
    hours = f" after {out.hours:.1f} h" if out.hours else ""
    said = "".join(f"; {_day(at, now)}: {what}" for at, what in out.news.said)
    days = plural((now - one.at).days, "day")
    return f"{one.reed.label} ({spelt(one.reed.instrument)}) {one.terms or 'handed over'}{hours}, out {days}{said}"


def _back_words(one: Delivery, now: datetime) -> str:
    assert one.came_back is not None
    why = f": {one.why}" if one.why else ""
    days = (one.came_back.date() - one.at.date()).days
    after = f" after {plural(days, 'day')}" if days else ", the same day"
    return f"{one.reed.label} ({spelt(one.reed.instrument)}) came back {_day(one.came_back, now)}{after}{why}"


def _day(at: datetime, now: datetime) -> str:
    return day_and_month(at) + (f" {at:%Y}" if abs((now - at).days) > _THIS_YEAR else "")
