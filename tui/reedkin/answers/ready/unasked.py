"""What is asked of the days ahead where nothing, or not all, was said."""

from __future__ import annotations

from datetime import date, timedelta

from reedkin.answers.ready.forecast import Wish
from reedkin.bench.bench import Bench
from reedkin.bench.engagements import next_in_public
from reedkin.domain.words import INSTRUMENTS

MOST_REEDS = 20
"""So many reeds at most are asked for unasked."""
_REEDS, _DAYS = 2, 14
"""Where nothing is to come: so many reeds in so many days."""
_FURTHEST = 90
"""A concert in so many days is asked about."""


def wish_unasked(bench: Bench, instrument: str | None = None, on: date | None = None) -> Wish:
    """The reeds of the concert that comes next, as far as it is of the instrument and on the day that were named; where
    there is none, a few of the instrument begun last in two weeks."""
    today = bench.clock.now().date()
    concert = next_in_public(bench, _FURTHEST if on is None else (on - today).days, instrument, on)
    if concert is not None and concert.instrument in INSTRUMENTS:
        return Wish(concert.instrument, min(concert.reeds, MOST_REEDS), concert.day)
    latest = bench.headings.latest_instrument() or INSTRUMENTS[0]
    return Wish(instrument or latest, _REEDS, on or today + timedelta(days=_DAYS))
