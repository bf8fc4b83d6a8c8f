"""How steady is the hand: a measure of reed after reed against its own limits and the target."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from reedkin.answers.question import Asked
from reedkin.answers.steady.steadiness import Chart, Measure, chart, chart_as_dict, chart_text, charts
from reedkin.study.ticks import Tick

if TYPE_CHECKING:
    from reedkin.contract.making import SteadyJson


@dataclass(frozen=True, slots=True)
class Steadiness:
    """The charts of the measures that were asked for."""

    charts: tuple[Chart, ...]

    def to_json(self) -> SteadyJson:
        return {"charts": [chart_as_dict(one) for one in self.charts]}

    def lines(self) -> list[str]:
        return [line for one in self.charts for line in chart_text(one)]


@dataclass(frozen=True, slots=True)
class SteadyQuestion:
    """The charts of one measure, or of all that were taken; of one instrument, or of all, the one begun last first if
    `latest_first`."""

    measure: Measure | None = None
    instrument: str | None = None
    latest_first: bool = False

    def answer(self, asked: Asked, tick: Tick) -> Steadiness:
        bench, found = asked.bench, list[Chart]()
        reeds = [reed for reed in bench.reeds() if not reed.joined]
        tied = dict.fromkeys(reed.instrument for reed in (reversed(reeds) if self.latest_first else reeds))
        for instrument in [self.instrument] if self.instrument else tied:
            tick(0.5)
            found += [chart(bench, instrument, self.measure)] if self.measure else charts(bench, instrument)
        return Steadiness(tuple(found))
