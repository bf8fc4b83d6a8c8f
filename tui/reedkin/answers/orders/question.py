"""What is asked for and due, which reeds went where, and which came back?"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import TYPE_CHECKING

from reedkin.answers.orders.telling import delivery_as_dict, order_as_dict, orders_text, with_others_text
from reedkin.answers.people.news import news_of
from reedkin.answers.question import Asked
from reedkin.bench.accounts import Account, accounts, owed_text
from reedkin.bench.deliveries import Delivery
from reedkin.bench.orders import Order, book, lendings
from reedkin.study.ticks import Tick

if TYPE_CHECKING:
    from reedkin.contract.others import OrdersJson


@dataclass(frozen=True, slots=True)
class Orders:
    """The orders, in the order in which they were placed, and the reeds that are lent, those that came back last; told
    `now`."""

    orders: tuple[Order, ...]
    lent: tuple[Delivery, ...]
    now: datetime
    accounts: tuple[Account, ...] = ()

    def of_today(self) -> Orders:
        """Without what is over: the open orders, and the reeds that are still lent and not said to have ended."""
        lent = tuple(one for one in self.lent if one.came_back is None and news_of(one).ended is None)
        return replace(self, orders=self.open(), lent=lent)

    def open(self) -> tuple[Order, ...]:
        """Those that are not done."""
        return tuple(one for one in self.orders if one.open)

    def by_due(self) -> tuple[Order, ...]:
        """Those that are open, due first on top, then those that are done, the latest first."""
        still = sorted(self.open(), key=lambda one: one.due or date.max)
        return (*still, *(one for one in reversed(self.orders) if not one.open))

    def to_json(self) -> OrdersJson:
        return {
            "orders": [order_as_dict(order) for order in self.orders],
            "lent": [delivery_as_dict(delivery) for delivery in self.lent],
            "owed": [{"name": one.name, "amount": round(one.owed, 2)} for one in self.accounts if one.owed > 0],
        }

    def lines(self) -> list[str]:
        return [
            *orders_text(self.orders, self.now.date()),
            *(self.lent_lines() if self.lent else ()),
            *owed_text(self.accounts),
        ]

    def lent_lines(self) -> list[str]:
        """The reeds that are lent."""
        return with_others_text(self.lent, self.now)


@dataclass(frozen=True, slots=True)
class OrdersQuestion:
    """Every order, open or done."""

    def answer(self, asked: Asked, tick: Tick) -> Orders:
        tick(0.1)
        found = book(asked.bench)
        return Orders(
            found.orders, tuple(lendings(found)), asked.bench.clock.now(), tuple(accounts(asked.bench, found))
        )
