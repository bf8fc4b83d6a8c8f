"""Who has which reeds, what came back and why, and whose need replacing?"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, TypeVar

from reedkin.answers.orders.telling import order_as_dict
from reedkin.answers.people.days_out import DaysOut, LikelyEnd, hours_before, news_by_reed, still_out
from reedkin.answers.people.news import Hearsay
from reedkin.answers.people.wants import Wants, wants_of
from reedkin.answers.question import Asked
from reedkin.bench.accounts import Account, accounts
from reedkin.bench.bench import Bench
from reedkin.bench.deliveries import Delivery, order_key
from reedkin.bench.orders import Book, Order, book, buyers
from reedkin.study.ticks import Tick

if TYPE_CHECKING:
    from reedkin.contract.others import PeopleJson, PersonJson, ReedBackJson, ReedOutJson

T = TypeVar("T")
SOON = timedelta(days=14)
"""A reed that is as likely as not to end within these days is to be replaced soon."""
_LONG_GONE = timedelta(days=30)
"""Of a reed whose whole range is longer past than this, nobody expects to be asked any more."""

Latest = Mapping[tuple[str, str], datetime]
"""When somebody got the latest reed for an instrument, by who it is and which that is."""


@dataclass(frozen=True, slots=True)
class Out:
    """
    A reed that somebody has: since when, after so many hours here, and what was said of it.

    end   when it is likely to end; None where it is said to have ended.
    over  whether it has ended, or is so long past its whole range that nobody expects to be asked any more.
    soon  whether it is to be replaced soon.
    """

    delivery: Delivery
    hours: float
    news: Hearsay
    end: LikelyEnd | None
    over: bool
    soon: bool


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody who ordered, has or had reeds, as the maker calls them; `out` has the longest out first."""

    name: str
    orders: tuple[Order, ...]
    out: tuple[Out, ...]
    came_back: tuple[Delivery, ...]
    wants: Wants
    earned: float
    owed: float

    @property
    def replace_soon(self) -> tuple[Out, ...]:
        return tuple(one for one in self.out if one.soon)


@dataclass(frozen=True, slots=True)
class People:
    """Those who ordered, have or had reeds, whose need replacing first, told `now`; all of what is known of each where
    `whole`."""

    people: tuple[Person, ...]
    now: datetime
    whole: bool = False

    def to_json(self) -> PeopleJson:
        return {"people": [_as_dict(one) for one in self.people]}

    def lines(self) -> list[str]:
        if not self.people:
            return ["Nobody has or had a reed of yours. When one goes out: 142 lend to a pupil"]
        from reedkin.answers.people.telling import person_text

        return [line for one in self.people for line in person_text(one, self.now, self.whole)]


@dataclass(frozen=True, slots=True)
class PeopleQuestion:
    """Everybody; or those whose name holds `name`, with all that is known of them."""

    name: str | None = None

    def answer(self, asked: Asked, tick: Tick) -> People:
        tick(0.1)
        every = people(asked.bench)
        if self.name is None:
            return People(tuple(every), asked.bench.clock.now())
        key = order_key(self.name)
        exact = [one for one in every if order_key(one.name) == key]
        found = exact or [one for one in every if key in order_key(one.name)]
        return People(tuple(found), asked.bench.clock.now(), whole=True)


def people(bench: Bench) -> list[Person]:
    """Everybody who ordered, has or had a reed: whose reed needs replacing first, then the latest first."""
    found = book(bench)
    out = reckoned(bench, found)
    own = {order_key(one.name): one for one in accounts(bench, found)}
    names: dict[str, str] = {order_key(name): name for name in reversed(buyers(bench))}
    latest: dict[str, datetime] = {}
    for order in found.orders:
        latest[order_key(order.name)] = order.placed
    for one in found.deliveries:
        names.setdefault(order_key(one.to), one.to)
        latest[order_key(one.to)] = max(one.at, latest.get(order_key(one.to), one.at))
    ordered = _by_person((order.name, order) for order in found.orders)
    went = _by_person((one.to, one) for one in found.deliveries)
    has = _by_person((one.delivery.to, one) for one in out)
    made = [_person(name, ordered[key], went[key], has[key], own.get(key)) for key, name in names.items() if key]
    made.sort(key=lambda one: latest[order_key(one.name)], reverse=True)
    return sorted(made, key=lambda one: not one.replace_soon)


def _by_person(found: Iterable[tuple[str, T]]) -> dict[str, list[T]]:
    """Things by whom they are for or went to."""
    by: dict[str, list[T]] = defaultdict(list)
    for name, one in found:
        by[order_key(name)].append(one)
    return by


def _person(
    name: str, ordered: Sequence[Order], went: Sequence[Delivery], out: Sequence[Out], account: Account | None
) -> Person:
    return Person(
        name,
        tuple(ordered),
        tuple(out),
        tuple(one for one in reversed(went) if one.came_back is not None),
        wants_of(ordered, went),
        account.earned if account is not None else 0.0,
        account.owed if account is not None else 0.0,
    )


def reckoned(bench: Bench, found: Book) -> list[Out]:
    """Every reed that is with somebody, the longest out first, and whether it is to be replaced soon."""
    away = still_out(found.deliveries)
    if not away:
        return []
    now, days, news = bench.clock.now(), DaysOut(bench, away), news_by_reed(away)
    latest: dict[tuple[str, str], datetime] = {}
    for one in found.deliveries:
        which = order_key(one.to), one.reed.instrument
        latest[which] = max(one.at, latest.get(which, one.at))
    made = []
    for one in away:
        heard = news[one.reed.id]
        end = days.likely_end(one) if heard.ended is None else None
        over = end is None or end.hi + _LONG_GONE < now
        soon = _is_soon(one, heard, end, now, latest)
        made.append(Out(one, hours_before(one.reed, one.at), heard, end, over, soon))
    return made


def _is_soon(one: Delivery, news: Hearsay, end: LikelyEnd | None, now: datetime, latest: Latest) -> bool:
    """Whether a reed has ended or is as likely as not to within SOON, and no other for the instrument went to the same
    person since it was near its end."""
    ends = news.ended if end is None else end.middle
    last = ends if end is None else end.hi
    assert ends is not None
    assert last is not None
    if ends > now + SOON or last + _LONG_GONE < now or not one.to:
        return False
    since = latest[order_key(one.to), one.reed.instrument]
    return not (since > one.at and since >= ends - SOON)


def due_for_replacing(bench: Bench) -> list[Out]:
    """The reeds with others that need replacing soon, the most pressing first."""
    soon = [one for one in reckoned(bench, book(bench)) if one.soon]
    return sorted(soon, key=lambda one: one.news.ended or (one.end.middle if one.end is not None else one.delivery.at))


def _as_dict(one: Person) -> PersonJson:
    return {
        "name": one.name,
        "out": [_out_as_dict(out) for out in one.out],
        "came_back": [_back_as_dict(back) for back in one.came_back],
        "replace_soon": [out.delivery.reed.label for out in one.replace_soon],
        "orders": [order_as_dict(order) for order in one.orders],
        "wants": str(one.wants) or None,
        "strength": one.wants.strength or None,
        "too_hard": list(one.wants.too_hard),
        "too_soft": list(one.wants.too_soft),
        "earned": round(one.earned, 2),
        "owed": round(one.owed, 2),
    }


def _out_as_dict(out: Out) -> ReedOutJson:
    return {
        "tag": out.delivery.reed.label,
        "instrument": out.delivery.reed.instrument,
        "terms": out.delivery.terms,
        "at": out.delivery.at.isoformat(),
        "hours_before": round(out.hours, 2),
        "said": [{"at": at.isoformat(), "what": what} for at, what in out.news.said],
        "ended": out.news.ended.isoformat() if out.news.ended is not None else None,
        "cause": out.news.cause,
        "over": out.over,
        "likely_end": out.end.middle.date().isoformat() if out.end is not None else None,
        "likely_end_range": [out.end.lo.date().isoformat(), out.end.hi.date().isoformat()] if out.end else None,
    }


def _back_as_dict(one: Delivery) -> ReedBackJson:
    assert one.came_back is not None
    return {
        "tag": one.reed.label,
        "instrument": one.reed.instrument,
        "terms": one.terms,
        "at": one.at.isoformat(),
        "came_back": one.came_back.isoformat(),
        "why": one.why or None,
    }
