"""What should who gets a reed know?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from reedkin.answers.card.care import care_card
from reedkin.answers.question import Asked
from reedkin.domain.reeds import Reed
from reedkin.study.ticks import Tick

if TYPE_CHECKING:
    from reedkin.contract.reeds import CardJson, CardsJson


@dataclass(frozen=True, slots=True)
class Card:
    """The card that goes with a reed, line by line."""

    reed: Reed
    card: tuple[str, ...]

    def to_json(self) -> CardJson:
        return {"tag": self.reed.label, "instrument": self.reed.instrument, "card": list(self.card)}

    def lines(self) -> list[str]:
        return list(self.card)


@dataclass(frozen=True, slots=True)
class Cards:
    """The cards of several reeds."""

    cards: tuple[Card, ...]

    def to_json(self) -> CardsJson:
        return {"cards": [one.to_json() for one in self.cards]}

    def lines(self) -> list[str]:
        return [line for place, one in enumerate(self.cards) for line in (*([""] * 2 if place else ()), *one.card)]


@dataclass(frozen=True, slots=True)
class CardQuestion:
    """The card of a reed, by its id."""

    reed: str

    def answer(self, asked: Asked, tick: Tick) -> Card:
        reed = asked.bench.reed(self.reed)
        return Card(reed, tuple(care_card(reed, asked.bench)))
