"""What the two ways of a trial are in facts of a tying, so that it can be seen whether a reed is made as it was drawn.

A way is read as the words behind `tie` are: "72", "gouge .58", "lot 7", "shape wide". Where it is a bare value, the
name of the trial may say of what: "trial start gouge .58 or .60", or the first way: "tube 27" or "28". If both ways
are values of the same facts, usual ones, they are those facts. Else a way may still be the name of a lot, a shape, a
tube or a thread.

A tying that states a number is made as drawn where it is nearer to the drawn one than half way to the other; one that
states a word, where it is that word. One that states nothing of it says nothing against it.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple

from reedkin.bench.trials import Trial
from reedkin.domain.clock import Clock
from reedkin.domain.facts import FACTS, Facts, Value
from reedkin.domain.known import as_number
from reedkin.grammar.clause.facts import read_facts
from reedkin.grammar.words.tokens import tokens
from reedkin.grammar.words.verbs import BY_WORD

_TIE = BY_WORD["tie"]
_NAMED = ("lot", "shape", "tube", "thread")
"""Facts whose value may be the whole of a way."""


class Departure(NamedTuple):
    """The fact of a tying that is not as drawn, and its value."""

    fact: str
    value: Value

    @property
    def words(self) -> str:
        return FACTS[self.fact].told(self.value)


def departure(trial: Trial, way: int, tying: Facts) -> Departure | None:
    """What a reed assigned the `way` of a trial and tied so is made otherwise in; None if nothing says that it is."""
    read = _as_facts(trial.name, trial.ways)
    if read is None:
        other = _folded(trial.ways[1 - way])
        return next((Departure(fact, tying[fact]) for fact in _NAMED if _folded(tying.get(fact, "")) == other), None)
    drawn, other_way = read[way], read[1 - way]
    for fact, wanted in drawn.items():
        said = tying.get(fact)
        if said is not None and wanted != other_way[fact] and not _as_drawn(said, wanted, other_way[fact]):
            return Departure(fact, said)
    return None


def _as_drawn(said: Value, wanted: Value, other: Value) -> bool:
    value, mine, others = as_number(said), as_number(wanted), as_number(other)
    if value is None or mine is None or others is None:
        return _folded(said) == _folded(wanted)
    return abs(value - mine) < abs(others - mine) / 2


def same_measure(one: Trial, other: Trial) -> str | None:
    """What two trials that can take the same reed both draw, in words; None if they are about different things."""
    if one.instrument and other.instrument and one.instrument != other.instrument:
        return None
    facts = [_differing(trial) for trial in (one, other)]
    shared = next((fact for fact in facts[0] if fact in facts[1]), None)
    if shared is not None:
        return FACTS[shared].words
    ways = {_folded(way) for way in other.ways}
    return next((way for way in one.ways if _folded(way) in ways), None)


def _differing(trial: Trial) -> list[str]:
    """The facts in which the ways of a trial differ."""
    read = _as_facts(trial.name, trial.ways)
    return [] if read is None else [fact for fact in read[0] if read[0][fact] != read[1][fact]]


@lru_cache(maxsize=64)
def _as_facts(name: str, ways: tuple[str, str]) -> tuple[Facts, Facts] | None:
    for one, other in _spelt(name, *ways):
        first, second = _read(one), _read(other)
        if first and second and first.keys() == second.keys() and first != second:
            return first, second
    return None


def _spelt(name: str, one: str, other: str) -> Iterator[tuple[str, str]]:
    """The ways with what they may be short of."""
    yield f"{name} {one}", f"{name} {other}"
    yield one, other
    yield one, f"{one.partition(' ')[0]} {other}"


def _read(text: str) -> Facts:
    """The facts that words behind `tie` state; none if any of the words is not understood, or any value is unusual."""
    read = read_facts(_TIE, tokens(text), Clock())  # none of them is a day, so any clock will do
    unusual = any(FACTS[name].impossible(value) or FACTS[name].odd(value) for name, value in read.facts.items())
    return {} if read.problems or read.note or read.tubes or unusual else read.facts


def _folded(value: Value) -> str:
    return " ".join(str(value).casefold().split())
