"""How good a reed is now, and which way it goes: from its last scores, so that one odd evening decides nothing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from statistics import median

from reedkin.domain.playability import overall_score
from reedkin.domain.reeds import Reed

FORM_OF = 3
"""Scores that make up the form: their median outvotes one evening that was unlike the others."""
TREND_OF, TREND_NEEDS = 6, 4
"""Scores that the trend looks back on, and the fewest that show one."""


@dataclass(frozen=True, slots=True)
class Mark:
    """A score, given when the reed had been played for so many hours."""

    hours: float
    score: float


@dataclass(frozen=True, slots=True)
class Trend:
    """Points an hour that scores rise or fall by, over so many hours: the median of the slopes between all pairs of
    them (Theil 1950; Sen 1968, JASA 63:1379-1389), which a single odd score hardly moves."""

    per_hour: float
    hours: float

    @property
    def change(self) -> float:
        """Points that the scores went up or down in all."""
        return self.per_hour * self.hours


def marks(reed: Reed) -> list[Mark]:
    """The scores of a reed in order."""
    return list(_marks(reed))


def _marks(reed: Reed) -> Iterator[Mark]:
    for step in reed.standing:
        score = overall_score(step.facts)
        if score is not None:
            yield Mark(step.after.hours, score)


def form(scores: Sequence[float]) -> float | None:
    """The median of the last three scores; None without any."""
    return median(scores[-FORM_OF:]) if scores else None


def trend(given: Sequence[Mark]) -> Trend | None:
    """Where the last six scores go; None for fewer than four, or if all were given at the same hours."""
    last = given[-TREND_OF:]
    slopes = [(b.score - a.score) / (b.hours - a.hours) for a, b in combinations(last, 2) if b.hours > a.hours]
    if len(last) < TREND_NEEDS or not slopes:
        return None
    return Trend(median(slopes), last[-1].hours - last[0].hours)
