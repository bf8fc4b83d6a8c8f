"""Playability: how good a reed is to play, 0 to 10."""

from __future__ import annotations

from reedkin.domain.facts import Facts
from reedkin.domain.words import SCORES


def overall_score(facts: Facts) -> float | None:
    """The overall score in an event's facts: the one given, else the mean of the parts given, else None."""
    given = facts.get("score")
    if isinstance(given, (int, float)):
        return float(given)
    parts = [float(v) for name in SCORES if isinstance(v := facts.get(name), (int, float))]
    return sum(parts) / len(parts) if parts else None
