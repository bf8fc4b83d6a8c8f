"""Playability: how good a reed is to play, 0 to 10."""

from __future__ import annotations

from reedkin.domain.facts import Facts
from reedkin.domain.known import number
from reedkin.domain.words import SCORES


def overall_score(facts: Facts) -> float | None:
    """The overall score in an event's facts: the one given, else the mean of the parts given, else None."""
    given = number(facts, "score")
    if given is not None:
        return given
    parts = [part for name in SCORES if name in facts and (part := number(facts, name)) is not None]
    return sum(parts) / len(parts) if parts else None
