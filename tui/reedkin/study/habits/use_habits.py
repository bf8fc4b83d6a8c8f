"""The habits in use. A new one is one more entry in `USE_HABITS`.

Each is the value that was known when a playing began, and holds until the next begins. None is a total over a life:
that would be large only for reeds that lasted, and so would seem to make them last. And each counts only what was done
at least eight playing hours before, or half of a usual life, if that is longer (`Playings.lag`): a reed that goes bad
is left in the case, put down sooner and touched up more, so that what was done to it lately follows its end and does
not bring it about.
"""

from __future__ import annotations

import numpy as np

from reedkin.study.follow_up import DAY
from reedkin.study.habits.habit import Habit
from reedkin.study.playings import EARLY_HOURS, LAG_HOURS, BoolArray, FloatArray, Playings

_LONGEST_REST_DAYS = 7
_LANDMARK = int(LAG_HOURS * 60)


def _rest(playings: Playings) -> FloatArray:
    """Minutes from the end of the last playing to the beginning of this one; nan for the first and in an overlap."""
    rest = np.full(len(playings), np.nan)
    rest[1:] = playings.start[1:] - playings.stop[:-1]
    rest[(playings.number == 0) | (rest < 0)] = np.nan
    return rest


def _rest_days(playings: Playings) -> FloatArray:
    return _usual(playings, np.minimum(_rest(playings) / DAY, _LONGEST_REST_DAYS))


def _within_a_day(playings: Playings) -> FloatArray:
    """Per cent of its playings."""
    rest = _rest(playings)
    return _usual(playings, np.where(np.isnan(rest), np.nan, 100.0 * (rest < DAY)))


def _usual(playings: Playings, values: FloatArray) -> FloatArray:
    """The mean of what was known before each playing, as it stood before the last hours."""
    return playings.as_it_stood(playings.mean_so_far(values), playings.lag)


def _longest(playings: Playings) -> FloatArray:
    return _from_new(playings, playings.as_it_stood(playings.largest_so_far(playings.minutes), playings.lag))


def _longest_early(playings: Playings) -> FloatArray:
    """Known from the landmark on: reeds that ended before it are compared with none."""
    early = playings.largest_so_far(np.where(playings.before < EARLY_HOURS * 60, playings.minutes, 0))
    return _from_new(playings, np.where(playings.before >= _LANDMARK, early, np.nan))


def _two_days(playings: Playings) -> FloatArray:
    """Minutes; not known while the two days reach back to before the log."""
    known = playings.from_new | (playings.start - playings.start[playings.first] >= 2 * DAY)
    return _usual(playings, np.where(known, playings.within(playings.minutes.astype(np.float64), 2 * DAY), np.nan))


def _counted(playings: Playings, done: BoolArray) -> FloatArray:
    return _from_new(playings, playings.counted_until(done.astype(np.float64), playings.before - playings.lag))


def _performances(playings: Playings) -> FloatArray:
    """Per cent of the playings whose setting is known."""
    known = playings.so_far((playings.setting != "").astype(np.float64))
    performed = playings.so_far((playings.setting == "performance").astype(np.float64))
    share = np.where(known > 0, 100 * performed / np.maximum(known, 1), np.nan)
    return _from_new(playings, playings.as_it_stood(share, playings.lag))


def _from_new(playings: Playings, values: FloatArray) -> FloatArray:
    """The values where all of the reed's playing is known; nan where it joined the log in use."""
    return np.where(playings.from_new, values, np.nan)


USE_HABITS = (
    Habit(
        "rest_days", "Rest between playings", "each extra day of rest between playings", "shorter rests",
        "longer rests", "use", unit="days", hours_only=True, lag_hours=LAG_HOURS, choice=True,
        of_playings=_rest_days, about="The mean of its rests; more than a week counts as a week.",
    ),
    Habit(
        "rest_under_day", "Played again within a day", "each tenth more of its playings within a day of the last",
        "seldom played again within a day", "often played again within a day", "use", unit="%", scale=10,
        hours_only=True, lag_hours=LAG_HOURS, choice=True, of_playings=_within_a_day,
    ),
    Habit(
        "longest_playing", "Longest playing so far", "each half hour more in its longest playing so far",
        "shorter playings so far", "a longer playing so far", "use", unit="min", scale=30, lag_hours=LAG_HOURS,
        choice=True, of_playings=_longest,
    ),
    Habit(
        "early_longest", "Pace of the first hours", "each half hour more in the longest playing of its first hours",
        "first hours in short playings", "a long playing in its first hours", "use", unit="min", scale=30,
        from_hours=LAG_HOURS, choice=True, of_playings=_longest_early,
        about="Playings of its first three hours; reeds are compared from their eighth hour on.",
    ),
    Habit(
        "last_two_days", "Playing in two days", "each hour more in the two days before a playing",
        "played less in two days", "played more in two days", "use", unit="min", scale=60, hours_only=True,
        lag_hours=LAG_HOURS, choice=True, of_playings=_two_days, about="The mean over its playings.",
    ),
    Habit(
        "touch_ups", "Touch-ups so far", "each touch-up", "fewer touch-ups", "more touch-ups", "use",
        unit="touch-ups", lag_hours=LAG_HOURS, of_playings=lambda playings: _counted(playings, playings.touched),
        about="Scraping and clipping between two playings count as one touch-up.",
    ),
    Habit(
        "cleanings", "Cleanings so far", "each cleaning", "fewer cleanings", "more cleanings", "use",
        unit="cleanings", lag_hours=LAG_HOURS, choice=True,
        of_playings=lambda playings: _counted(playings, playings.cleaned),
    ),
    Habit(
        "performances", "Share of performances", "each tenth more of its playings a performance",
        "fewer performances", "more performances", "use", unit="%", scale=10, lag_hours=LAG_HOURS,
        of_playings=_performances,
    ),
)  # fmt: skip
