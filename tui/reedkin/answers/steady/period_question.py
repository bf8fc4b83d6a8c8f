"""How steady was the hand in each year or season? Apart from the charts, which do without numpy; its ranges do not."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from reedkin.answers.question import Asked
from reedkin.answers.steady.periods import Spell, spells, spells_as_dict, spells_text
from reedkin.answers.steady.question import SteadyQuestion
from reedkin.answers.steady.steadiness import Chart, Measure
from reedkin.domain.periods import Period
from reedkin.study.ticks import Tick

if TYPE_CHECKING:
    from reedkin.contract.making import SteadyByPeriodJson


@dataclass(frozen=True, slots=True)
class SteadyByPeriod:
    """Each measure year by year."""

    found: tuple[tuple[Chart, tuple[Spell, ...]], ...]

    def to_json(self) -> SteadyByPeriodJson:
        return {"charts": [spells_as_dict(one, of) for one, of in self.found]}

    def lines(self) -> list[str]:
        return [line for one, of in self.found for line in spells_text(one, of)] or ["Nothing is measured yet."]


@dataclass(frozen=True, slots=True)
class SteadyByPeriodQuestion:
    """The measures, or one of them, of one instrument or all, by year or season."""

    period: Period
    measure: Measure | None = None
    instrument: str | None = None

    def answer(self, asked: Asked, tick: Tick) -> SteadyByPeriod:
        bench = asked.bench
        month = bench.settings.begins(self.period)
        every = SteadyQuestion(self.measure, self.instrument).answer(asked, tick).charts
        found = [spells(bench, one.instrument, one.measure, month) for one in every if one.points]
        return SteadyByPeriod(tuple((one, tuple(of)) for one, of in found))
