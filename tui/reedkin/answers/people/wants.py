"""What somebody usually wants: which instrument, how strong, which shape; from what they ordered, got and said."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from reedkin.answers.people.news import news_of
from reedkin.bench.deliveries import Delivery
from reedkin.bench.orders import Order
from reedkin.domain.figures import tag_list
from reedkin.domain.strength import TOO_HARD, TOO_SOFT, strength_asked, strength_said
from reedkin.domain.words import spelt

_LATEST = 5
"""So many of the latest orders that name a strength tell which one is usual, since people change."""
_NAMED = 3
"""So many of the reeds that were too hard, or too soft, are named."""


@dataclass(frozen=True, slots=True)
class Wants:
    """
    instrument, shape     what somebody mostly ordered or got; "" where it is not known.
    strength              what they mostly ask for of late, in words; `asked` of the `orders` that name one ask for it.
    too_hard, too_soft    the reeds of which they said so, the latest first.
    """

    instrument: str = ""
    strength: str = ""
    shape: str = ""
    asked: int = 0
    orders: int = 0
    too_hard: tuple[str, ...] = ()
    too_soft: tuple[str, ...] = ()

    def __str__(self) -> str:
        """In a few words: "oboe, medium soft, shape narrow"."""
        return ", ".join(
            one for one in (spelt(self.instrument), self.strength, self.shape and f"shape {self.shape}") if one
        )

    def lines(self) -> Iterator[str]:
        """How strong, from how many orders, and what was said of those they had."""
        said = [f"{what} was said of {_named(tags)}" for what, tags in
                ((TOO_HARD, self.too_hard), (TOO_SOFT, self.too_soft)) if tags]  # fmt: skip
        of = "the one order that says" if self.orders == 1 else f"{self.asked} of {self.orders} orders that say"
        asks = f"asks for {self.strength} in {of} how strong"
        told = [asks, *said] if self.strength else said
        if told:
            yield f"Strength: {'; '.join(told)}"


def wants_of(orders: Sequence[Order], got: Sequence[Delivery]) -> Wants:
    """What a buyer wants, by their orders and by what went to them, both the earliest first."""
    instrument = _most([*(order.instrument for order in orders), *(one.reed.instrument for one in got)])
    shape = _most([one.reed.now.shape or "" for one in got if one.reed.instrument == instrument])
    named = [how for how in map(strength_of, orders) if how][-_LATEST:]
    strength = _most(named)
    said: dict[str, list[str]] = {TOO_HARD: [], TOO_SOFT: []}
    for one in reversed(got):
        if what := _said_of(one):
            said[what].append(one.reed.label)
    return Wants(
        instrument, strength, shape, named.count(strength), len(named), tuple(said[TOO_HARD]), tuple(said[TOO_SOFT])
    )


def strength_of(order: Order) -> str:
    """How strong an order asks for: as it says, or as the words beside it do; "" where they do not."""
    return order.strength or strength_asked(order.note) or strength_asked(order.occasion)


def _said_of(one: Delivery) -> str:
    """What was said last of a reed's strength while somebody had it, or as it came back."""
    words = [one.why, *(what for _, what in reversed(news_of(one).said))]
    return next((said for said in map(strength_said, words) if said), "")


def _most(found: Iterable[str]) -> str:
    """The commonest, of equals the latest; what is not known does not count."""
    counts: Counter[str] = Counter()
    latest: dict[str, int] = {}
    for place, one in enumerate(found):
        if one:
            counts[one] += 1
            latest[one] = place
    return max(counts, key=lambda one: (counts[one], latest[one]), default="")


def _named(tags: Sequence[str]) -> str:
    more = f" and {len(tags) - _NAMED} more" if len(tags) > _NAMED else ""
    return tag_list(tags[:_NAMED]) + more
