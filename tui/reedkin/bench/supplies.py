"""What reeds are made of: cane lot by lot, with what became of every piece, and tubes with the reeds they carried."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from reedkin.bench.bench import Bench
from reedkin.domain.facts import FACTS, Value
from reedkin.domain.fates import FATES, fate
from reedkin.domain.figures import mm, plural, tag_list
from reedkin.domain.known import number, whole, word
from reedkin.domain.reeds import AT_WORK, HANDED_OVER, Reed
from reedkin.domain.words import spelt

if TYPE_CHECKING:
    from reedkin.contract.making import LotJson, TubeJson

_NUMBERED = re.compile(r"(.*?)(\d{1,9})")
LOW_SHARE, LOW_PIECES = 0.15, 6
"""A lot runs low at this share of its pieces or at this many, whichever is more."""


@dataclass(frozen=True, slots=True)
class Lot:
    """A purchase or harvest of cane. `facts` is what was said of it; `pieces_left` what it should still hold, None
    where it was never counted; `fates` the reeds tied from it by what became of them, each of FATES."""

    name: str
    facts: Mapping[str, Value]
    reeds: tuple[Reed, ...]
    pieces_left: int | None
    fates: Mapping[str, tuple[Reed, ...]]

    @property
    def pieces(self) -> int | None:
        return whole(self.facts, "pieces")

    @property
    def piece_price(self) -> float | None:
        """What one of its pieces cost."""
        price, pieces = number(self.facts, "price"), self.pieces
        return price / pieces if price is not None and pieces else None

    @property
    def low(self) -> bool:
        """Whether it runs low: some pieces are left, but few."""
        few = max(LOW_PIECES, LOW_SHARE * (self.pieces or 0))
        return self.pieces_left is not None and 0 < self.pieces_left <= few

    @property
    def spent(self) -> bool:
        return self.pieces_left == 0


def lots(bench: Bench, reeds: Iterable[Reed] | None = None) -> list[Lot]:
    """Every lot that was named, in the order of first mention. `reeds`: all reeds, if the caller has them."""
    of: dict[str, list[Reed]] = {}
    names: dict[str, str] = {}
    for reed in bench.reeds() if reeds is None else reeds:
        if reed.now.lot and not reed.joined:
            of.setdefault(reed.now.lot.casefold(), []).append(reed)
            names.setdefault(reed.now.lot.casefold(), reed.now.lot)
    said = {name.casefold(): (name, facts) for name, facts in bench.beside.subjects("lots").items()}
    counted = _counts(bench)
    found = []
    for key in dict.fromkeys((*said, *of)):
        name, facts = said.get(key) or (names[key], {})
        tied = tuple(of.get(key, ()))
        became = [(reed, fate(reed)) for reed in tied]
        fates = {one: tuple(reed for reed, its in became if its == one) for one in FATES}
        found.append(Lot(name, facts, tied, _left(tied, facts, counted.get(key)), fates))
    return found


def _counts(bench: Bench) -> dict[str, tuple[datetime, int]]:
    """When the pieces of each lot were last counted, and how many were left then."""
    counts: dict[str, tuple[datetime, int]] = {}
    for said in bench.beside.said("lots"):
        left = whole(said.facts, "left")
        if left is not None:
            counts[said.subject.casefold()] = said.at, left
    return counts


def _left(tied: tuple[Reed, ...], facts: Mapping[str, Value], counted: tuple[datetime, int] | None) -> int | None:
    if counted is not None:
        return max(counted[1] - sum(reed.begun > counted[0] for reed in tied), 0)
    pieces = whole(facts, "pieces")
    return None if pieces is None else max(pieces - len(tied), 0)


@dataclass(frozen=True, slots=True)
class Tube:
    """A tube and the reeds it carried, oldest first. `holder` is the reed it is on now, here, lent or sold with it;
    None where it is free."""

    name: str
    instrument: str | None
    length_mm: float | None
    reeds: tuple[Reed, ...]
    holder: Reed | None
    facts: Mapping[str, Value]

    @property
    def free(self) -> bool:
        return self.holder is None

    @property
    def gone(self) -> bool:
        """Whether it went with a reed that was sold or given away."""
        return self.holder is not None and not self.holder.now.keeps_tag


def tubes(bench: Bench, reeds: Iterable[Reed] | None = None) -> list[Tube]:
    """Every tube that was named, in the order of first mention. `reeds`: all reeds, if the caller has them."""
    of: dict[str, list[Reed]] = {}
    names: dict[str, str] = {}
    for reed in bench.reeds() if reeds is None else reeds:
        if reed.now.tube:
            of.setdefault(reed.now.tube.casefold(), []).append(reed)
            names.setdefault(reed.now.tube.casefold(), reed.now.tube)
    said = {name.casefold(): (name, facts) for name, facts in bench.beside.subjects("tubes").items()}
    return [_tube(*(said.get(key) or (names[key], {})), tuple(of.get(key, ()))) for key in dict.fromkeys((*said, *of))]


def _tube(name: str, facts: Mapping[str, Value], carried: tuple[Reed, ...]) -> Tube:
    holder = carried[-1] if carried and carried[-1].stage in (*AT_WORK, HANDED_OVER) else None
    instrument, length = word(facts, "instrument"), number(facts, "tube_mm")
    if instrument is None and carried:
        instrument = carried[-1].instrument
    if length is None:
        length = next((r.now.tube_mm for r in reversed(carried) if r.now.tube_mm is not None), None)
    return Tube(name, instrument, length, carried, holder, facts)


_NOTHING: Mapping[str, Sequence[str]] = {}
_TOLD = ("source", "diameter_mm", "gouge_mm", "shape", "harvest", "grams", "price")


def lots_text(found: Iterable[Lot], ends: Mapping[str, Sequence[str]] = _NOTHING) -> list[str]:
    """Lots in plain lines: what it is, what is left, what became of its pieces; and what `ends` tells of it."""
    lines: list[str] = []
    for lot in found:
        told = [FACTS[n].told(lot.facts[n]) for n in _TOLD if n in lot.facts]
        if instrument := word(lot.facts, "instrument"):
            told.insert(0, spelt(instrument))
        lines.append(": ".join(w for w in (f"lot {lot.name}", ", ".join(told)) if w))
        left = "not counted" if lot.pieces_left is None else plural(lot.pieces_left, "piece") + " left"
        of = f" of {lot.pieces}" if lot.pieces is not None else ""
        fates = [f"{len(reeds)} {name}" for name, reeds in lot.fates.items() if reeds]
        lines.append(f"  {left}{of}{', runs low' if lot.low else ''}; " + (", ".join(fates) or "none tied yet"))
        lines += [f"  {line}" for line in ends.get(lot.name, ())]
    return lines or ["No cane is noted. To note some: lot 7 cane 11 mm 40 pieces from the winter harvest"]


def tubes_text(found: Iterable[Tube], ends: Mapping[str, Sequence[str]] = _NOTHING) -> list[str]:
    """Tubes in plain lines: the free ones first, then where each is and what it carried before, and what `ends` tells
    of it; those that went with a reed sold or given are counted at the end."""
    tubes = list(found)
    here = [tube for tube in tubes if not tube.gone]
    if not tubes:
        return ["No tube is noted. Name it when tying: 143 tie eh 60 tube T4"]
    lines = [f"{plural(sum(tube.free for tube in here), 'tube')} free"]
    for tube in sorted(here, key=lambda tube: (not tube.free, tube.instrument or "", _in_numbers(tube.name))):
        what = ", ".join(w for w in (spelt(tube.instrument or ""), mm(tube.length_mm) if tube.length_mm else "") if w)
        earlier = [reed for reed in tube.reeds if reed is not tube.holder]
        before = f"; before: {tag_list(reed.label for reed in earlier)}" if earlier else ""
        lines.append(f"{tube.name}{f' ({what})' if what else ''} {_where(tube)}{before}")
        lines += [f"  {line}" for line in ends.get(tube.name, ())]
    if gone := len(tubes) - len(here):
        lines.append(f"{plural(gone, 'tube')} gone with reeds sold or given")
    return lines


def _where(tube: Tube) -> str:
    if tube.holder is None:
        return "free"
    if tube.holder.stage == HANDED_OVER:
        return f"lent with {tube.holder.label}"
    return f"on {tube.holder.label}, {tube.holder.stage}"


def _in_numbers(name: str) -> tuple[str, int, str]:
    """A key that puts T9 before T10."""
    match = _NUMBERED.fullmatch(name)
    return (match[1].casefold(), int(match[2]), "") if match else (name.casefold(), 0, name)


def lot_as_dict(lot: Lot) -> LotJson:
    """A lot as JSON takes it."""
    return {
        "lot": lot.name,
        "diameter_mm": number(lot.facts, "diameter_mm"),
        "grams": number(lot.facts, "grams"),
        "pieces": lot.pieces,
        "left": whole(lot.facts, "left"),
        "price": number(lot.facts, "price"),
        "source": word(lot.facts, "source"),
        "harvest": word(lot.facts, "harvest"),
        "gouge_mm": number(lot.facts, "gouge_mm"),
        "shape": word(lot.facts, "shape"),
        "tied": len(lot.reeds),
        "pieces_left": lot.pieces_left,
        "low": lot.low,
        "fates": {name: [reed.label for reed in reeds] for name, reeds in lot.fates.items()},
    }


def tube_as_dict(tube: Tube) -> TubeJson:
    """A tube as JSON takes it."""
    return {
        "tube": tube.name,
        "instrument": tube.instrument,
        "tube_mm": tube.length_mm,
        "price": number(tube.facts, "price"),
        "source": word(tube.facts, "source"),
        "free": tube.free,
        "gone": tube.gone,
        "on": tube.holder.label if tube.holder else None,
        "reeds": [reed.label for reed in tube.reeds],
    }
