"""How fast a maker goes: how much she plays in a season, and what becomes of her blanks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from reedkin.domain.reeds import Reed
from reedkin.study.follow_up import DAY, minute
from reedkin.study.lives import Life

SEASON_DAYS = 365
"""A season goes from one summer to the next."""
FEWEST_DAYS = 28
FEWEST_GONE = 10


@dataclass(frozen=True, slots=True)
class Pace:
    """
    What the latest season of a log shows, or all of it while it is younger; None where it is too young to tell.

    hours   played in a season. worn_a_week: reeds retired for wear.
    serves  of the blanks tied whose fate is known, the part that came to serve. wears: that was worn out.
    """

    hours: float | None = None
    worn_a_week: float | None = None
    serves: float | None = None
    wears: float | None = None


def pace_of(reeds: Sequence[Reed], lives: Sequence[Life], now: datetime | None) -> Pace:
    """The pace of a whole log: all its reeds, and the lives of those that served."""
    served = {life.reed.id for life in lives}
    worn = {life.reed.id for life in lives if life.worn_out}
    tied = [reed for reed in reeds if not reed.void and not reed.joined]
    settled = sum(reed.id in served or not reed.at_work for reed in tied)
    gone = [reed.id for reed in tied if not reed.at_work]
    serves = sum(reed.id in served for reed in tied) / settled if settled >= FEWEST_GONE else None
    wears = len(worn.intersection(gone)) / len(gone) if len(gone) >= FEWEST_GONE else None
    ends = [played.stop for life in lives for played in life.played]
    if not ends:
        return Pace(serves=serves, wears=wears)
    until = minute(now) if now is not None else max(ends)
    since = max(min(minute(reed.steps[0].at) for reed in reeds if not reed.void), until - SEASON_DAYS * DAY)
    days = (until - since) / DAY
    if days < FEWEST_DAYS:
        return Pace(serves=serves, wears=wears)
    minutes = sum(played.minutes for life in lives for played in life.played if since < played.stop <= until)
    retired = sum(
        since < minute(life.reed.retirement.at) <= until
        for life in lives
        if life.worn_out and life.reed.retirement is not None
    )
    return Pace(minutes / 60 * SEASON_DAYS / days, retired / days * 7, serves, wears)
