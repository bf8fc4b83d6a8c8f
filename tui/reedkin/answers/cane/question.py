"""What is left of each lot of cane, and what became of every piece?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from reedkin.answers.question import Asked
from reedkin.bench.supplies import Lot, lot_as_dict, lots, lots_text
from reedkin.study.ticks import Tick


@dataclass(frozen=True, slots=True)
class Cane:
    """The lots of cane."""

    lots: tuple[Lot, ...]

    def to_json(self) -> dict[str, Any]:
        return {"lots": [lot_as_dict(lot) for lot in self.lots]}

    def lines(self) -> list[str]:
        return lots_text(self.lots)


@dataclass(frozen=True, slots=True)
class CaneQuestion:
    """Every lot."""

    def answer(self, asked: Asked, tick: Tick) -> Cane:
        tick(0.1)
        return Cane(tuple(lots(asked.bench)))
