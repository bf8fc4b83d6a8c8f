"""What came in and what went out, by month and by year, and what is owed?"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING

from reedkin.answers.question import Asked
from reedkin.bench.accounts import Account, accounts, owed_text
from reedkin.bench.bench import Bench
from reedkin.bench.orders import book
from reedkin.domain.figures import plural
from reedkin.domain.known import number
from reedkin.domain.reeds import Reed
from reedkin.study.ticks import Tick

if TYPE_CHECKING:
    from reedkin.contract.others import MoneyJson, PeriodJson

BOUGHT = {"lots": "cane", "tubes": "tubes"}
"""What is bought, by the table in which its price is noted."""
_USED = {"tied": "thread", "wired": "wire", "tubed": "tubing"}
"""What is used at each kind of event, and counts when it is, at the price that is set."""


@dataclass(slots=True)
class Period:
    """What came in during a month or a year ("2026-03", "2026"), from how many payments, and what went out for what."""

    name: str
    came_in: float = 0.0
    payments: int = 0
    went_out: dict[str, float] = field(default_factory=lambda: defaultdict(float))

    @property
    def out(self) -> float:
        return sum(self.went_out.values())


@dataclass(frozen=True, slots=True)
class Money:
    """
    years, months  the latest first; those in which no money moved are left out.
    accounts       of everybody who bought or paid.
    to_come        what the open orders will bring at their prices, and from how many reeds.
    """

    years: tuple[Period, ...]
    months: tuple[Period, ...]
    accounts: tuple[Account, ...]
    to_come: float
    reeds_to_come: int

    def to_json(self) -> MoneyJson:
        return {
            "years": [_as_dict(one) for one in self.years],
            "months": [_as_dict(one) for one in self.months],
            "owed": [{"name": one.name, "amount": round(one.owed, 2)} for one in self.accounts if one.owed > 0],
            "paid_ahead": [{"name": one.name, "amount": round(one.credit, 2)} for one in self.accounts if one.credit],
            "open_orders": {"reeds": self.reeds_to_come, "amount": round(self.to_come, 2)},
        }

    def lines(self) -> list[str]:
        if not self.years:
            return ["No money is noted. Such as: sell to Meier for 25; lot 7 40 pieces price 30; set price thread 0.05"]
        lines = []
        for year in self.years:
            lines.append(_line(year))
            lines += [f"  {_line(month)}" for month in self.months if month.name.startswith(year.name)]
        lines += ["", *owed_text(self.accounts)]
        if self.to_come:
            lines.append(f"Open orders will bring {self.to_come:.2f} ({plural(self.reeds_to_come, 'reed')})")
        return lines if lines[-1] else lines[:-1]


def _line(one: Period) -> str:
    spent = ", ".join(f"{name} {cost:.2f}" for name, cost in one.went_out.items() if cost >= 0.005)
    out = f"out {one.out:>8.2f}" + (f"  ({spent})" if spent else "")
    return f"{one.name:<8}in {one.came_in:>8.2f}  {out}"


def _as_dict(one: Period) -> PeriodJson:
    spent = {name: round(cost, 2) for name, cost in one.went_out.items()}
    return {"period": one.name, "in": round(one.came_in, 2), "payments": one.payments,
            "out": round(one.out, 2), "spent": spent}  # fmt: skip


@dataclass(frozen=True, slots=True)
class MoneyQuestion:
    """All the money of the log, in whatever the maker counts in."""

    def answer(self, asked: Asked, tick: Tick) -> Money:
        tick(0.1)
        bench, found = asked.bench, book(asked.bench)
        own = accounts(bench, found)
        periods: dict[str, Period] = {}

        def both(at: datetime) -> Iterator[Period]:
            local = bench.clock.local(at)
            for name in (f"{local:%Y}", f"{local:%Y-%m}"):
                yield periods.setdefault(name, Period(name))

        for account in own:
            for receipt in account.receipts:
                for period in both(receipt.at) if receipt.amount else ():
                    period.came_in += receipt.amount
                    period.payments += 1
        tick(0.4)
        for at, what, cost in _spent(bench):
            for period in both(at):
                period.went_out[what] += cost
        latest = [periods[name] for name in sorted(periods, reverse=True)]
        wanted = [order for order in found.orders if order.open and order.price]
        return Money(
            tuple(one for one in latest if len(one.name) == 4),
            tuple(one for one in latest if len(one.name) > 4),
            tuple(own),
            sum(order.wanting * (order.price or 0.0) for order in wanted),
            sum(order.wanting for order in wanted),
        )


def _spent(bench: Bench) -> Iterator[tuple[datetime, str, float]]:
    """What went out, when and for what: cane and tubes when their price was first noted, at the price that holds; the
    rest when it was used, and cane without a price of its own too."""
    priced: set[str] = set()
    for table, what in BOUGHT.items():
        first: dict[str, datetime] = {}
        price: dict[str, float] = {}
        for said in bench.beside.said(table):
            if (given := number(said.facts, "price")) is not None:
                key = said.subject.casefold()
                first.setdefault(key, said.at)
                price[key] = given
        priced |= set(price) if table == "lots" else set()
        for key, cost in price.items():
            yield first[key], what, cost
    settings = bench.settings.facts
    for reed in bench.reeds():
        if reed.void or reed.joined:
            continue
        cane = number(settings, "price_cane")
        if cane and (reed.now.lot or "").casefold() not in priced:
            yield reed.begun, "cane", cane
        yield from _used(reed, {what: number(settings, f"price_{what}") for what in _USED.values()})


def _used(reed: Reed, prices: dict[str, float | None]) -> Iterator[tuple[datetime, str, float]]:
    for step in reed.standing:
        price = prices.get(_USED.get(step.kind, ""))
        taken_off = step.facts.get("wire", "on") != "on" or step.facts.get("tubing_mm") == 0
        if price and not taken_off:
            yield step.at, _USED[step.kind], price
