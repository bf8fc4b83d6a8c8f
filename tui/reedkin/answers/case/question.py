"""What to play, and why?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from reedkin.answers.case.case import InCase, case, case_text, in_case_as_dict
from reedkin.answers.case.choosing import (
    Occasion,
    Suggestion,
    Weights,
    choose,
    choosing_text,
    suggestion_as_dict,
    weights_of,
)
from reedkin.answers.case.still_there import still_there
from reedkin.answers.hours_left.outlook import Outlook, usual_words
from reedkin.answers.question import Asked
from reedkin.domain.reeds import Reed
from reedkin.domain.words import INSTRUMENTS
from reedkin.study.ticks import Tick

if TYPE_CHECKING:
    from reedkin.contract.reeds import CaseJson


@dataclass(frozen=True, slots=True)
class Case:
    """
    The case, and by its question in which order to take the reeds. Another time, occasion or instrument is looked at by
    replacing it (`dataclasses.replace`), without asking the log anew.

    every    the reeds of the case, of all instruments.
    unseen   the reeds at work that must be gone, though nobody wrote it down; of all instruments.
    weights  the maker's own; level: the score from which she plays in public.
    """

    every: tuple[InCase, ...]
    unseen: tuple[Reed, ...]
    weights: Weights
    level: float
    at: datetime
    occasion: Occasion | None
    instrument: str | None

    @property
    def reeds(self) -> list[InCase]:
        """Those of the instrument, if one is named."""
        return [one for one in self.every if self.instrument in (None, one.reed.instrument)]

    @property
    def gone(self) -> list[Reed]:
        """Those of the instrument, if one is named, that are unseen."""
        return [reed for reed in self.unseen if self.instrument in (None, reed.instrument)]

    @property
    def nearly(self) -> list[InCase]:
        """Those that have crowed and are not in service yet."""
        return [one for one in self.reeds if not one.ready and not one.unseen]

    @property
    def instruments(self) -> list[str]:
        """Those of all the reeds in the case, the one played last (or, before it is played, begun) first."""
        seen = [one for one in self.every if not one.unseen]
        found = sorted(seen, key=lambda one: one.rested or one.reed.begun, reverse=True)
        return list(dict.fromkeys(one.reed.instrument for one in found))

    def order(self, instrument: str) -> list[Suggestion]:
        """The reeds of an instrument that are in service, in the order in which to take them; none without an
        occasion."""
        if self.occasion is None:
            return []
        return choose(self.reeds, self.occasion, self.at, self.weights, self.level, instrument)

    @property
    def orders(self) -> list[list[Suggestion]]:
        """The order for each instrument that has reeds in service."""
        return [order for instrument in INSTRUMENTS if (order := self.order(instrument))]

    def to_json(self) -> CaseJson:
        document: CaseJson = {"reeds": [in_case_as_dict(one, self.at) for one in self.reeds]}
        if self.occasion is not None:
            document["for"] = self.occasion
            document["order"] = [suggestion_as_dict(one) for order in self.orders for one in order]
        return document

    def lines(self) -> list[str]:
        if self.occasion is None:
            return self.table()
        lines: list[str] = []
        for order in self.orders or [[]]:
            lines += [*([""] if lines else []), *choosing_text(order, self.occasion, self.at.date())]
        stars = usual_words(suggestion.one.left for order in self.orders for suggestion in order)
        return [*lines, *stars, *self._asked()]

    def table(self) -> list[str]:
        """The reeds without an order, how each is."""
        return [*case_text([one for one in self.reeds if not one.unseen], self.at), *self._asked()]

    def _asked(self) -> list[str]:
        asked = still_there(self.gone)
        return ["", *asked] if asked else []


@dataclass(frozen=True, slots=True)
class CaseQuestion:
    """The case when it is to be played: in the order to take the reeds for an occasion, if one is named; of one
    instrument, or of all."""

    at: datetime
    occasion: Occasion | None = None
    instrument: str | None = None

    def answer(self, asked: Asked, tick: Tick) -> Case:
        outlook = Outlook.of(asked)
        settings, found = asked.bench.settings, tuple(case(asked.bench, outlook))
        weights = weights_of(settings.facts)
        return Case(found, outlook.sight.unseen, weights, settings.public, self.at, self.occasion, self.instrument)
