"""What stands in for the maker's own log where it is thin: common practice without a source, or from memory.

Each is worth a few reeds of the maker's own and fades as hers come in.
"""

from __future__ import annotations

from datetime import date, timedelta

from reedkin.answers.ready.past import Blank, Playing

WORTH = 3.0
"""How many of the maker's own reeds common practice counts for."""

WORTH_OF_CIRCLE = 6.0
"""How many of them other makers' blanks do."""
YIELD = 2 / 3
"""The share of blanks that comes good (from memory)."""

LIFE_WORDS = "a life of 10 to 15 hours, 20 to 25 for a good one (what players quote, no source)"
YIELD_WORDS = "two blanks of three come good (from memory)"
DAYS_WORDS = "6 to 16 days from tying to playing (common practice, no source)"
SCORE_WORDS = "a new reed scoring about 7.5 and falling by 2.5 over its life (from memory)"
HOURS_WORDS = "five times 45 minutes a week on each instrument (from memory)"

_PLAYED_DAYS = 28
_GOOD_DAYS = (6, 8, 9, 11, 13, 16)
_LOST_DAYS = (5, 8, 12)
FIRST_HOURS = 0.75
"""Hours of a new reed's first playing (from memory)."""


def common_blanks(share: float = YIELD, worth: float = WORTH) -> tuple[Blank, ...]:
    """Blanks as they usually fare: this share served, after 6 to 16 days with a sitting every third, of which the last
    let their share of a first playing pass them by, so that a surplus waits longer; `worth` blanks of the maker's
    own."""
    good, lost = worth * share / len(_GOOD_DAYS), worth * (1.0 - share) / len(_LOST_DAYS)
    served = [Blank(days, tuple(range(2, days, 3)), "served", good, (0.0, FIRST_HOURS)) for days in _GOOD_DAYS]
    return (*served, *(Blank(days, tuple(range(2, days, 3)), "gone", lost) for days in _LOST_DAYS))


def common_playings(last: date) -> tuple[Playing, ...]:
    """The playings of the four weeks before a day: 45 minutes of practice on five days of seven."""
    first = last - timedelta(days=_PLAYED_DAYS)
    return tuple(Playing(first + timedelta(days=n), 45, "practice") for n in range(_PLAYED_DAYS) if n % 7 < 5)
