"""How many blanks come good, where are the others lost, what does a good one take and cost?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

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
    yield_of,
    yields,
    yields_text,
)
from reedkin.domain.words import INSTRUMENTS, spelt
from reedkin.study.ticks import Tick

if TYPE_CHECKING:
    from reedkin.bench.bench import Bench
    from reedkin.contract.making import YieldsJson
    from reedkin.domain.reeds import Reed

FEW_SETTLED = 10
"""Of fewer blanks of an instrument it is told what others have."""


@dataclass(frozen=True, slots=True)
class Yields:
    """The yield of each of the `groups`, where blanks were `lost`, and what a good one takes on each instrument."""

    by: By
    groups: tuple[Yield, ...]
    lost: tuple[Lost, ...]
    costs: tuple[Costs, ...]
    others: tuple[str, ...] = ()
    """What the blanks of other makers in a circle say where her own are few, in sentences."""

    def to_json(self) -> YieldsJson:
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
        told = ["", *where_lost_text(self.lost), "", *costs_text(self.costs)] if self.groups else []
        return [*self.others, *told]


@dataclass(frozen=True, slots=True)
class YieldsQuestion:
    """The blanks in groups by one thing or another; those of one instrument, or all."""

    by: By = "instrument"
    instrument: str | None = None

    def answer(self, asked: Asked, tick: Tick) -> Yields:
        reeds = [reed for reed in asked.bench.reeds() if self.instrument in (None, reed.instrument)]
        month = asked.bench.settings.begins("season" if self.by == "season" else "year")
        groups, lost = yields(reeds, self.by, month), where_lost(reeds)
        tick(0.3)
        made: list[Costs] = []
        for one in yields(reeds, "instrument"):
            tick(0.5)
            made.append(costs(asked.bench, one.name))
        return Yields(self.by, tuple(groups), tuple(lost), tuple(made), tuple(self._others(asked.bench, reeds)))

    def _others(self, bench: Bench, reeds: Sequence[Reed]) -> Iterator[str]:
        """Of each instrument of which few blanks are settled here, what a circle has."""
        if bench.circle is None or not bench.circle.is_dir():
            return
        from reedkin.answers.circle.beginnings import Beginnings
        from reedkin.answers.ready.common import WORTH, YIELD
        from reedkin.study.lives import lives_of

        before = Beginnings(bench.circle, lives_of(bench.reeds(), bench.clock.now()))
        for instrument in INSTRUMENTS if self.instrument is None else (self.instrument,):
            own = yield_of(reed for reed in reeds if reed.instrument == instrument)
            told = before.blanks(instrument, YIELD, WORTH)
            if told is not None and own.settled < FEW_SETTLED:
                yield (
                    f"{spelt(instrument)}: {told.share:.0%} of the blanks of your circle come good ({told.settled} "
                    f"of {told.makers} makers), which says more than yours do yet."
                )
