"""What stands on a label: of a reed, for its case or its box, and of a tube."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from reedkin.domain.figures import date_words, mm
from reedkin.domain.words import spelt

if TYPE_CHECKING:
    from reedkin.bench.supplies import Tube
    from reedkin.contract.reeds import LabelsJson
    from reedkin.domain.reeds import Reed


@dataclass(frozen=True, slots=True)
class Label:
    """What is written large, and beneath it what is known, a line each."""

    large: str
    lines: tuple[str, ...]

    def text(self) -> str:
        return "  ".join((self.large, *self.lines))


def reed_label(reed: Reed) -> Label:
    """What tells a reed from its neighbours in the case."""
    state = reed.now
    made = [f"{mm(state.overall_mm)}" if state.overall_mm is not None else ""]
    made += [f"lot {state.lot}" if state.lot else "", f"shape {state.shape}" if state.shape else ""]
    begun = f"{'here since' if reed.joined else 'tied'} {date_words(reed.begun)}"
    found = (spelt(reed.instrument), _together(state.name, f"{state.thread} thread" if state.thread else ""))
    return Label(reed.label, tuple(line for line in (*found, _together(*made), begun) if line))


def tube_label(tube: Tube) -> Label:
    """What tells a tube from others, with room for a mark each time that it is used."""
    what = _together(spelt(tube.instrument or ""), mm(tube.length_mm) if tube.length_mm is not None else "")
    return Label(tube.name, tuple(line for line in (what, f"carried {len(tube.reeds)} so far") if line))


def _together(*words: str | None) -> str:
    return ", ".join(word for word in words if word)


@dataclass(frozen=True, slots=True)
class Labels:
    """Labels in the order in which they are printed."""

    labels: Sequence[Label]

    def to_json(self) -> LabelsJson:
        return {"labels": [{"large": label.large, "lines": list(label.lines)} for label in self.labels]}

    def lines(self) -> list[str]:
        return [label.text() for label in self.labels]
