"""The JSON of other people, of money, and of one stretch of time beside another."""

from __future__ import annotations

from typing import NotRequired, TypedDict

from reedkin.contract.ahead import EngagementJson
from reedkin.contract.common import (
    Count,
    Day,
    DayRange,
    Instrument,
    Moment,
    OpenRange,
    Positive,
    Share,
    Tag,
    Terms,
    Uid,
)


class DeliveryJson(TypedDict):
    """A reed that went out."""

    tag: Tag
    instrument: Instrument
    at: Moment
    to: str | None
    terms: Terms | None
    price: float | None
    unpaid: bool
    came_back: Moment | None
    why: str | None


_For = TypedDict("_For", {"for": str | None})


class OrderJson(_For):
    """An order, what it is for, how many reeds of it are still wanted, and what went out for it."""

    order: Uid
    label: str
    name: str
    instrument: Instrument | None
    strength: str | None
    count: Count | None
    placed: Moment
    due: Day | None
    price: float | None
    note: str | None
    done: bool
    wanting: Count
    deliveries: list[DeliveryJson]


class AmountJson(TypedDict):
    """Somebody, and how much."""

    name: str
    amount: float


class OrdersJson(TypedDict):
    """What is asked for, what went out for it, what is lent, and what is owed."""

    orders: list[OrderJson]
    lent: list[DeliveryJson]
    owed: list[AmountJson]


class SaidJson(TypedDict):
    """What was heard of a reed that is with somebody else."""

    at: Moment
    what: str


class ReedOutJson(TypedDict):
    """A reed that is with somebody: what it had been played before, what was heard of it, when its end is likely;
    and whether it is over: has ended, or is past its whole range for long."""

    tag: Tag
    instrument: Instrument
    terms: Terms | None
    at: Moment
    hours_before: Positive
    said: list[SaidJson]
    ended: Moment | None
    cause: str | None
    over: bool
    likely_end: Day | None
    likely_end_range: DayRange | None


class ReedBackJson(TypedDict):
    """A reed that came back, and why."""

    tag: Tag
    instrument: Instrument
    terms: Terms | None
    at: Moment
    came_back: Moment
    why: str | None


class PersonJson(TypedDict):
    """Somebody who ordered, has or had reeds; `wants`: what they usually want, in words, and how
    strong; and the reeds of which they said that they were too hard or too soft."""

    name: str
    out: list[ReedOutJson]
    came_back: list[ReedBackJson]
    replace_soon: list[Tag]
    orders: list[OrderJson]
    wants: str | None
    strength: str | None
    too_hard: list[Tag]
    too_soft: list[Tag]
    earned: float
    owed: float


class PeopleJson(TypedDict):
    """Who has which reeds, those whose need replacing first."""

    people: list[PersonJson]


_CameIn = TypedDict("_CameIn", {"in": float})


class PeriodJson(_CameIn):
    """What came in during a month or a year, from how many payments, and what went out for what."""

    period: str
    payments: Count
    out: float
    spent: dict[str, float]


class OpenOrdersJson(TypedDict):
    """What the open orders will bring at their prices, and from how many reeds."""

    reeds: Count
    amount: float


class MoneyJson(TypedDict):
    """What came in and went out by year and by month, the latest first, and what is owed."""

    years: list[PeriodJson]
    months: list[PeriodJson]
    owed: list[AmountJson]
    paid_ahead: list[AmountJson]
    open_orders: OpenOrdersJson


class EndedReedJson(TypedDict):
    """A reed that ended, and why."""

    tag: Tag
    instrument: Instrument
    cause: str | None
    hours_played: Positive


class LowLotJson(TypedDict):
    """A lot of cane that runs low."""

    lot: str
    pieces_left: Count | None


_Since = TypedDict("_Since", {"from": Day})


class DaysJson(_Since):
    """The first and the last of several days."""

    to: Day


class YearsApartJson(TypedDict):
    """One thing of two years: before and now, how often chance alone would do as much (p), and that adjusted for how
    many are compared (q)."""

    what: str
    instrument: Instrument
    before: float | None
    before_ci: OpenRange
    now: float | None
    now_ci: OpenRange
    p: Share
    q: Share
    changed: bool


class WeekJson(DaysJson):
    """What was made, played and retired in some days, minutes of playing by instrument, what runs low, what is due and
    what is to be played within a week. With --by also how this year or season compares with the one before."""

    tied: list[Tag]
    came_good: list[Tag]
    given_up: list[EndedReedJson]
    retired: list[EndedReedJson]
    out: list[DeliveryJson]
    back: list[DeliveryJson]
    minutes: dict[str, Positive]
    bench_minutes: Positive
    low_cases: dict[str, Count]
    low_tubes: dict[str, Count]
    low_lots: list[LowLotJson]
    unseen: list[Tag]
    due: list[OrderJson]
    coming: list[EngagementJson]
    period: NotRequired[str]
    beside: NotRequired[DaysJson]
    compared: NotRequired[list[YearsApartJson]]
