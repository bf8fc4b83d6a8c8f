"""How many blanks come good, where are the others lost, what does a good one take and cost?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from reedkin.answers.question import Asked
from reedkin.answers.yields.costs import Costs, costs, costs_as_dict, costs_text
from reedkin.answers.yields.yields import (
    By,
    Lost,
    Yield,
    lost_as_dict,
    where_lost,
    where_lost_text,
    yield_as_dict,
    yields,
    yields_text,
)
from reedkin.study.ticks import Tick


@dataclass(frozen=True, slots=True)
class Yields:
    """The yield of each of the `groups`, where blanks were `lost`, and what a good one takes on each instrument."""

    by: By
    groups: tuple[Yield, ...]
    lost: tuple[Lost, ...]
    costs: tuple[Costs, ...]

    def to_json(self) -> dict[str, Any]:
        return {
            "by": self.by,
            "groups": [yield_as_dict(one) for one in self.groups],
            "lost": [lost_as_dict(one) for one in self.lost],
            "costs": [costs_as_dict(one) for one in self.costs],
        }

    def lines(self) -> list[str]:
        return [*yields_text(self.groups, self.by), *self.lines_beneath()]

    def lines_beneath(self) -> list[str]:
        """What is told beneath the groups: where blanks are lost, and what a good one takes."""
        return ["", *where_lost_text(self.lost), "", *costs_text(self.costs)] if self.groups else []


@dataclass(frozen=True, slots=True)
class YieldsQuestion:
    """The blanks in groups by one thing or another; those of one instrument, or all."""

    by: By = "instrument"
    instrument: str | None = None

    def answer(self, asked: Asked, tick: Tick) -> Yields:
        reeds = [reed for reed in asked.bench.reeds() if self.instrument in (None, reed.instrument)]
        groups, lost = yields(reeds, self.by), where_lost(reeds)
        tick(0.3)
        made: list[Costs] = []
        for one in yields(reeds, "instrument"):
            tick(0.5)
            made.append(costs(asked.bench, one.name))
        return Yields(self.by, tuple(groups), tuple(lost), tuple(made))
