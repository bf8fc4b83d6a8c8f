"""What is left of each lot of cane, and what became of every piece?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from reedkin.answers.question import Asked
from reedkin.bench.supplies import Lot, lot_as_dict, lots, lots_text
from reedkin.study.ticks import Tick

if TYPE_CHECKING:
    from reedkin.answers.ends.ends import Ends
    from reedkin.contract.making import CaneJson


@dataclass(frozen=True, slots=True)
class Cane:
    """The lots of cane."""

    lots: tuple[Lot, ...]
    ends: Mapping[str, Ends] = field(default_factory=dict)
    """What ended the reeds of each, where that was asked."""

    def to_json(self) -> CaneJson:
        told = [lot_as_dict(one) for one in self.lots]
        if self.ends:
            for one in told:
                one["ends"] = self.ends[one["lot"]].to_json()
        return {"lots": told}

    def lines(self) -> list[str]:
        return lots_text(self.lots, {name: one.lines() for name, one in self.ends.items()})


@dataclass(frozen=True, slots=True)
class CaneQuestion:
    """Every lot; with what ended its reeds where `ends`, which reads every life."""

    ends: bool = False

    def answer(self, asked: Asked, tick: Tick) -> Cane:
        tick(0.1)
        found = tuple(lots(asked.bench))
        if not self.ends:
            return Cane(found)
        from reedkin.answers.ends.ends import ends_by

        return Cane(found, ends_by(asked, "lot", found))
