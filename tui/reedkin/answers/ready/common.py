"""What stands in for the maker's own log where it is thin: common practice without a source, or from memory.

Each is worth a few reeds of the maker's own and fades as hers come in.
"""

from __future__ import annotations

import math
from datetime import date, timedelta

from reedkin.answers.ready.past import Blank, Playing, Service

WORTH = 3.0
"""How many of the maker's own reeds common practice counts for."""

LIFE_WORDS = "a life of 10 to 15 hours, 20 to 25 for a good one (what players quote, no source)"
YIELD_WORDS = "two blanks of three come good (from memory)"
DAYS_WORDS = "6 to 16 days from tying to playing (common practice, no source)"
SCORE_WORDS = "a new reed scores about 7.5 and falls by 2 over its life (from memory)"
HOURS_WORDS = "five times 45 minutes a week on each instrument (from memory)"

LIFE_SHAPE, LIFE_MEDIAN = 2.5, 12.5
"""A Weibull life with this shape and median has a third of reeds between 10 and 15 hours and 6% beyond 22."""

_GOOD_DAYS = (6, 8, 9, 11, 13, 16)
_LOST_DAYS = (5, 8, 12)
_FIRST_SCORES = (7.5, 6.5, 8.5)
_LIVES = 9
_PLAYING_HOURS = 0.75


def life_hours(share: float) -> float:
    """Hours that a share (between 0 and 1) of reeds do not outlast, by common practice."""
    scale = LIFE_MEDIAN / math.log(2.0) ** (1.0 / LIFE_SHAPE)
    return float(scale * (-math.log(1.0 - share)) ** (1.0 / LIFE_SHAPE))


def common_blanks() -> tuple[Blank, ...]:
    """Blanks as they usually fare: two of three served, after 6 to 16 days with a sitting every third."""
    weight = WORTH / (len(_GOOD_DAYS) + len(_LOST_DAYS))
    good = [Blank(days, tuple(range(2, days, 3)), "served", weight) for days in _GOOD_DAYS]
    return (*good, *(Blank(days, tuple(range(2, days, 3)), "gone", weight) for days in _LOST_DAYS))


def common_services() -> tuple[Service, ...]:
    """Reeds in service as they usually fare: lives spread as `life_hours`, played 45 minutes at a time, with a score
    that falls by 2 points over the life, slowly at first."""
    found = []
    for number in range(_LIVES):
        life = life_hours((number + 0.5) / _LIVES)
        count = max(round(life / _PLAYING_HOURS), 2)
        hours = tuple(life * (n + 1) / count for n in range(count))
        first = _FIRST_SCORES[number % len(_FIRST_SCORES)]
        form = tuple(round(2.0 * first - 4.0 * (h / life) ** 2) / 2.0 for h in hours)
        found.append(Service(hours, form, 0.0, ended=True, prompt=True, weight=WORTH / _LIVES))
    return tuple(found)


def common_playings(last: date, days: int = 28) -> tuple[Playing, ...]:
    """The playings of some weeks before a day: 45 minutes of practice on five days of seven."""
    first = last - timedelta(days=days)
    return tuple(Playing(first + timedelta(days=n), 45, "practice") for n in range(days) if n % 7 < 5)
