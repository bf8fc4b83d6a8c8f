"""The draw of a fair trial: which of its two ways the first, second, third ... of its reeds gets.

One sequence for the whole trial, by the big stick: a fair coin says, unless one way is FURTHEST reeds ahead; then the
other one has it (Soares & Wu 1983, Communications in Statistics - Theory and Methods 12:2017-2034, from memory). So the
two ways stay about even, and who has counted all that was drawn guesses the next one right in 56 of 100 cases, 1/2 +
1/(4 FURTHEST). The coin is a digest of the trial's uid and the place: the whole sequence is settled when the trial
starts, it is the same on every machine, and nothing that is typed has a part in it.

Earlier versions drew in blocks of 2, 4 or 6 for each lot and instrument by itself. What they drew stands, and is
checked by `way_in_blocks`.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import count, islice
from typing import NamedTuple

from reedkin.domain.facts import Facts

DRAW = 2
"""Which draw this is, as an assignment notes it. One that notes none was drawn in blocks."""
FURTHEST = 4
"""How many reeds one way may be ahead of the other."""
_BLOCK_LENGTHS = (2, 4, 6)


def sequence(trial: str) -> Iterator[int]:
    """The ways, 0 or 1, of all places of the trial with this uid. Never ends."""
    ahead = 0  # of the reeds with way 1, less those with way 0
    for place in count(1):
        coin = _digest(trial, str(place))[0] & 1
        way = coin if abs(ahead) < FURTHEST else int(ahead < 0)
        ahead += 1 if way else -1
        yield way


def way_at(trial: str, place: int) -> int:
    """The way, 0 or 1, of a place, counted from 1."""
    return next(islice(sequence(trial), place - 1, None))


def _digest(*said: str) -> bytes:
    from hashlib import sha256

    return sha256("\n".join(said).encode("utf-8", "surrogatepass")).digest()


class Stratum(NamedTuple):
    """Reeds of one instrument, tied from one lot of cane ("" where it was not noted)."""

    instrument: str
    lot: str

    @classmethod
    def of(cls, facts: Facts) -> Stratum:
        """The stratum of a reed tied with these facts; one lot is one whatever its capitals and spaces."""
        return cls(*(" ".join(str(facts.get(name, "")).casefold().split()) for name in ("instrument", "lot")))


# As earlier versions drew


def way_in_blocks(trial: str, stratum: Stratum, place: int) -> int:
    """The way of a place of a stratum, counted from 1, as earlier versions drew it."""
    ways = (way for number in count(1) for way in _block(trial, stratum, number))
    return next(islice(ways, place - 1, None))


def _block(trial: str, stratum: Stratum, number: int) -> list[int]:
    """The ways of one block, numbered from 1: as many 0 as 1."""

    def digest(what: int | str) -> bytes:
        return _digest(trial, stratum.instrument, stratum.lot, str(number), str(what))

    length = _BLOCK_LENGTHS[int.from_bytes(digest("length"), "big") % len(_BLOCK_LENGTHS)]
    return [slot % 2 for slot in sorted(range(length), key=digest)]
