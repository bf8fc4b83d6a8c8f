"""Which tubes are free, where are the others, and which reeds did each carry?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from reedkin.answers.question import Asked
from reedkin.bench.supplies import Tube, tube_as_dict, tubes, tubes_text
from reedkin.study.ticks import Tick

if TYPE_CHECKING:
    from reedkin.answers.ends.ends import Ends
    from reedkin.contract.making import TubesJson


@dataclass(frozen=True, slots=True)
class Tubes:
    """The tubes."""

    tubes: tuple[Tube, ...]
    ends: Mapping[str, Ends] = field(default_factory=dict)
    """What ended the reeds of each, where that was asked."""

    def to_json(self) -> TubesJson:
        told = [tube_as_dict(one) for one in self.tubes]
        if self.ends:
            for one in told:
                one["ends"] = self.ends[one["tube"]].to_json()
        return {"tubes": told}

    def lines(self) -> list[str]:
        return tubes_text(self.tubes, {name: one.lines() for name, one in self.ends.items()})


@dataclass(frozen=True, slots=True)
class TubesQuestion:
    """Every tube; with what ended its reeds where `ends`, which reads every life."""

    ends: bool = False

    def answer(self, asked: Asked, tick: Tick) -> Tubes:
        tick(0.1)
        found = tuple(tubes(asked.bench))
        if not self.ends:
            return Tubes(found)
        from reedkin.answers.ends.ends import ends_by

        return Tubes(found, ends_by(asked, "tube", found))
