"""The habits in use. A new one is one more entry in `USE_HABITS`.

Each is the value that was known when a playing began, and holds until the next begins. None is a total over a life:
that would be large only for reeds that lasted, and so would seem to make them last.
"""

from __future__ import annotations

import numpy as np

from reedkin.study.habits.habit import Habit
from reedkin.study.playings import BoolArray, FloatArray, Playings

LAG_HOURS = 8.0
"""A failing reed gets touched up and cleaned more. What was done lately may so be a sign of the end that is near, and
only what was done at least so many playing hours ago counts."""

EARLY_HOURS = 3.0
"""The first hours of a reed: playings begun before it had so many hours."""

_DAY = 1440
_LONGEST_REST_DAYS = 7


def _rest(playings: Playings) -> FloatArray:
    """Minutes from the end of the last playing to the beginning of this one; nan for the first and in an overlap."""
    rest = np.full(len(playings), np.nan)
    rest[1:] = playings.start[1:] - playings.stop[:-1]
    rest[(playings.number == 0) | (rest < 0)] = np.nan
    return rest


def _rest_days(playings: Playings) -> FloatArray:
    return np.minimum(_rest(playings) / _DAY, _LONGEST_REST_DAYS)


def _within_a_day(playings: Playings) -> FloatArray:
    rest = _rest(playings)
    return np.where(np.isnan(rest), np.nan, rest < _DAY)


def _longest(playings: Playings) -> FloatArray:
    return _from_new(playings, playings.largest_so_far(playings.minutes))


def _longest_early(playings: Playings) -> FloatArray:
    early = np.where(playings.before < EARLY_HOURS * 60, playings.minutes, 0)
    return _from_new(playings, playings.largest_so_far(early))


def _last_two_days(playings: Playings) -> FloatArray:
    """Minutes; not known while the two days reach back to before the log."""
    known = playings.from_new | (playings.start - playings.start[playings.first] >= 2 * _DAY)
    return np.where(known, playings.within(playings.minutes.astype(np.float64), 2 * _DAY), np.nan)


def _lagged(playings: Playings, done: BoolArray) -> FloatArray:
    lag = int(LAG_HOURS * 60)
    return _from_new(playings, playings.counted_until(done.astype(np.float64), playings.before - lag))


def _performances(playings: Playings) -> FloatArray:
    """Per cent of the playings so far whose setting is known."""
    known = playings.so_far((playings.setting != "").astype(np.float64))
    performed = playings.so_far((playings.setting == "performance").astype(np.float64))
    return _from_new(playings, np.where(known > 0, 100 * performed / np.maximum(known, 1), np.nan))


def _from_new(playings: Playings, values: FloatArray) -> FloatArray:
    """The values where all of the reed's playing is known; nan where it joined the log in use."""
    return np.where(playings.from_new, values, np.nan)


USE_HABITS = (
    Habit(
        "rest_days", "Rest before a playing", "each extra day of rest", "shorter rest", "longer rest", "use",
        unit="days", hours_only=True, of_playings=_rest_days,
        about="Days since it was last played; more than a week counts as a week.",
    ),
    Habit(
        "rest_under_day", "Played again within a day", "played again within a day rather than later",
        "rested a day or more", "rested less than a day", "use", "yes", hours_only=True,
        of_playings=_within_a_day,
    ),
    Habit(
        "longest_playing", "Longest playing so far", "each half hour more in its longest playing so far",
        "shorter playings so far", "a longer playing so far", "use", unit="min", scale=30, of_playings=_longest,
    ),
    Habit(
        "early_longest", "Pace of the first hours", "each half hour more in the longest playing of its first hours",
        "first hours in short playings", "a long playing in its first hours", "use", unit="min", scale=30,
        of_playings=_longest_early, about="Playings begun before the reed had three hours.",
    ),
    Habit(
        "last_two_days", "Playing in the last two days", "each hour more in the two days before",
        "played less in the two days before", "played more in the two days before", "use", unit="min", scale=60,
        hours_only=True, of_playings=_last_two_days,
    ),
    Habit(
        "touch_ups", "Touch-ups so far", "each touch-up", "fewer touch-ups", "more touch-ups", "use",
        unit="touch-ups", lag_hours=LAG_HOURS, of_playings=lambda playings: _lagged(playings, playings.touched),
        about="Scraping and clipping between two playings count as one touch-up.",
    ),
    Habit(
        "cleanings", "Cleanings so far", "each cleaning", "fewer cleanings", "more cleanings", "use",
        unit="cleanings", lag_hours=LAG_HOURS, of_playings=lambda playings: _lagged(playings, playings.cleaned),
    ),
    Habit(
        "performances", "Share of performances", "each tenth more of its playings a performance",
        "fewer performances", "more performances", "use", unit="%", scale=10,
        of_playings=_performances,
    ),
)  # fmt: skip
