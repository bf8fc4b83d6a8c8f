"""How many blanks a maker can tie in a week: as many as she has in a good week of the last year."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from datetime import datetime, timedelta

from reedkin.domain.reeds import Reed

USUAL = 6
"""Blanks in a week where her log tells of few (common practice, no source)."""
_LEAST_WEEKS = 4
_LOOK_BACK = timedelta(days=365)
_SHARE = 0.9
"""In so many of the weeks in which she tied, she tied no more."""


def most_in_a_week(reeds: Iterable[Reed], now: datetime) -> int | None:
    """The blanks of a good week, of all instruments together; None where too few weeks tell of it."""
    weeks = Counter(
        int((now - reed.begun) / timedelta(days=7))
        for reed in reeds
        if not reed.joined and not reed.void and timedelta(0) <= now - reed.begun <= _LOOK_BACK
    )
    counts = sorted(weeks.values())
    return counts[int(_SHARE * (len(counts) - 1))] if len(counts) >= _LEAST_WEEKS else None
