"""Which tubes are free, where are the others, and which reeds did each carry?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from reedkin.answers.question import Asked
from reedkin.bench.supplies import Tube, tube_as_dict, tubes, tubes_text
from reedkin.study.ticks import Tick


@dataclass(frozen=True, slots=True)
class Tubes:
    """The tubes."""

    tubes: tuple[Tube, ...]

    def to_json(self) -> dict[str, Any]:
        return {"tubes": [tube_as_dict(tube) for tube in self.tubes]}

    def lines(self) -> list[str]:
        return tubes_text(self.tubes)


@dataclass(frozen=True, slots=True)
class TubesQuestion:
    """Every tube."""

    def answer(self, asked: Asked, tick: Tick) -> Tubes:
        tick(0.5)
        return Tubes(tuple(tubes(asked.bench)))
