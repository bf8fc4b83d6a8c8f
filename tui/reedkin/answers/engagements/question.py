"""What is she engaged for, and how many reeds does she want for each?"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from reedkin.answers.question import Asked
from reedkin.bench.engagements import Engagement, engagement_as_dict, engagement_line, engagements
from reedkin.bench.titles import Titles
from reedkin.domain.clock import Clock
from reedkin.study.ticks import Tick

if TYPE_CHECKING:
    from reedkin.contract.ahead import EngagementsJson


@dataclass(frozen=True, slots=True)
class Engagements:
    """The engagements in the order in which they take place, and what words of calendars mean to the maker."""

    engagements: tuple[Engagement, ...]
    words: tuple[str, ...]
    clock: Clock

    def to_come(self) -> Engagements:
        """Without what is over, or was called off."""
        today = self.clock.now().date()
        kept = tuple(one for one in self.engagements if one.day >= today and not one.off)
        return replace(self, engagements=kept)

    def to_json(self) -> EngagementsJson:
        return {"engagements": [engagement_as_dict(one, self.clock) for one in self.engagements]}

    def lines(self) -> list[str]:
        return [engagement_line(one) for one in self.engagements]


@dataclass(frozen=True, slots=True)
class EngagementsQuestion:
    """Every engagement, past and to come."""

    def answer(self, asked: Asked, tick: Tick) -> Engagements:
        bench = asked.bench
        return Engagements(tuple(engagements(bench)), tuple(Titles(bench).told()), bench.clock)
