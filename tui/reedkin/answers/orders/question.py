"""What is asked for and due, which reeds went where, and which came back?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from reedkin.answers.question import Asked
from reedkin.bench.orders import (
    Delivery,
    Order,
    delivery_as_dict,
    order_as_dict,
    orders,
    orders_text,
    with_others,
    with_others_text,
)
from reedkin.study.ticks import Tick


@dataclass(frozen=True, slots=True)
class Orders:
    """The orders, in the order in which they were placed, and the reeds that are lent, told `now`."""

    orders: tuple[Order, ...]
    lent: tuple[Delivery, ...]
    now: datetime

    def open(self) -> tuple[Order, ...]:
        """Those that are not done."""
        return tuple(one for one in self.orders if one.open)

    def by_due(self) -> tuple[Order, ...]:
        """Those that are open, due first on top, then those that are done, the latest first."""
        still = sorted(self.open(), key=lambda one: one.due or date.max)
        return (*still, *(one for one in reversed(self.orders) if not one.open))

    def to_json(self) -> dict[str, Any]:
        return {
            "orders": [order_as_dict(order) for order in self.orders],
            "lent": [delivery_as_dict(delivery) for delivery in self.lent],
        }

    def lines(self) -> list[str]:
        return [*orders_text(self.orders, self.now.date()), *(self.lent_lines() if self.lent else ())]

    def lent_lines(self) -> list[str]:
        """The reeds that are lent."""
        return with_others_text(self.lent, self.now)


@dataclass(frozen=True, slots=True)
class OrdersQuestion:
    """Every order, open or done."""

    def answer(self, asked: Asked, tick: Tick) -> Orders:
        tick(0.1)
        bench = asked.bench
        return Orders(tuple(orders(bench)), tuple(with_others(bench)), bench.clock.now())
