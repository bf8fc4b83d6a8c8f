"""The draw of a fair trial: which of its two ways the first, second, third ... reed of a stratum gets.

Permuted blocks within strata keep the two ways about even in each (ICH E9 (1998), Statistical Principles for Clinical
Trials, section 2.3.1, from memory). The blocks are 2, 4 or 6 long, as chance has it: E9 advises against one length,
from which the last of a block can be foreseen. Chance is a digest of the trial's uid, the stratum and the number of the
block, so the order is settled when the trial starts, and the same on every machine that has it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from hashlib import sha256
from itertools import count, islice

from reedkin.domain.facts import Facts

BLOCK_LENGTHS = (2, 4, 6)


@dataclass(frozen=True, slots=True)
class Stratum:
    """Reeds of one instrument, tied from one lot of cane ("" where it was not noted)."""

    instrument: str
    lot: str

    @classmethod
    def of(cls, facts: Facts) -> Stratum:
        """The stratum of a reed tied with these facts; one lot is one whatever its capitals and spaces."""
        return cls(*(" ".join(str(facts.get(name, "")).casefold().split()) for name in ("instrument", "lot")))


def block(trial: str, stratum: Stratum, number: int) -> list[int]:
    """The ways of one block, numbered from 1, of the trial with this uid: as many 0 as 1."""

    def digest(what: int | str) -> bytes:
        said = (trial, stratum.instrument, stratum.lot, str(number), str(what))
        return sha256("\n".join(said).encode("utf-8", "surrogatepass")).digest()

    length = BLOCK_LENGTHS[int.from_bytes(digest("length"), "big") % len(BLOCK_LENGTHS)]
    return [slot % 2 for slot in sorted(range(length), key=digest)]


def sequence(trial: str, stratum: Stratum) -> Iterator[int]:
    """The ways, 0 or 1, of all places of a stratum. Never ends."""
    for number in count(1):
        yield from block(trial, stratum, number)


def way_at(trial: str, stratum: Stratum, place: int) -> int:
    """The way, 0 or 1, of a place of a stratum, counted from 1."""
    return next(islice(sequence(trial, stratum), place - 1, None))
