"""Money between the maker and those who have reeds of hers: what each paid, and what is still owed.

A sale is taken as paid when it was made, unless it is said to be not paid yet. What somebody pays later settles what
they owe; what is beyond that is taken for their latest sales, so that no money counts twice, or stands to their credit.
A reed that came back brings nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime

from reedkin.bench.bench import Bench
from reedkin.bench.deliveries import Delivery, order_key
from reedkin.bench.orders import Book
from reedkin.domain.events import Statement
from reedkin.domain.known import number

PAYMENTS = "payments"
"""The table of what was paid later."""
_LEAST = 0.005
"""Less money than this is none."""


@dataclass(frozen=True, slots=True)
class Receipt:
    """Money that came in."""

    at: datetime
    amount: float


@dataclass(slots=True)
class Account:
    """What one buyer paid, what is `owed` by them, and what they paid ahead (`credit`)."""

    name: str
    receipts: list[Receipt] = field(default_factory=list)
    owed: float = 0.0
    credit: float = 0.0
    on_the_spot: list[int] = field(default_factory=list)
    """The receipts that are sales taken as paid."""

    @property
    def earned(self) -> float:
        return sum(one.amount for one in self.receipts)

    def sale(self, one: Delivery) -> None:
        price = one.price or 0.0
        covered = min(self.credit, price)
        self.credit -= covered
        if one.unpaid:
            self.owed += price - covered
        else:
            self.on_the_spot.append(len(self.receipts))
            self.receipts.append(Receipt(one.at, price - covered))

    def payment(self, at: datetime, amount: float) -> None:
        settled = min(self.owed, amount)
        self.owed -= settled
        rest = amount - settled
        for place in reversed(self.on_the_spot):
            sold = self.receipts[place]
            taken = min(sold.amount, rest)
            self.receipts[place] = replace(sold, amount=sold.amount - taken)
            rest -= taken
        self.credit += rest
        self.receipts.append(Receipt(at, amount))


def accounts(bench: Bench, found: Book) -> list[Account]:
    """The account of everybody who bought or paid, in the order of the first time; sales to nobody named have one too,
    the one without a name."""
    sold = [one for one in found.deliveries if one.terms == "sold" and one.came_back is None and one.price]
    happened: list[Delivery | Statement] = [*sold, *bench.beside.said(PAYMENTS)]  # of one moment, sales first
    made: dict[str, Account] = {}
    for one in sorted(happened, key=lambda one: one.at):
        name = str(one.facts.get("to", "")) if isinstance(one, Statement) else one.to
        account = made.setdefault(order_key(name), Account(name))
        if isinstance(one, Statement):
            account.payment(one.at, number(one.facts, "price") or 0.0)
        else:
            account.sale(one)
    return list(made.values())


def owed_text(found: Sequence[Account]) -> list[str]:
    """Who owes how much, and who paid ahead."""
    owing = [f"{one.name or 'somebody'} {one.owed:.2f}" for one in found if one.owed >= _LEAST]
    ahead = [f"{one.name or 'somebody'} {one.credit:.2f}" for one in found if one.credit >= _LEAST]
    lines = [f"Owed: {', '.join(owing)}. When it is paid: paid NAME 25"] if owing else []
    return lines + ([f"Paid ahead: {', '.join(ahead)}"] if ahead else [])
