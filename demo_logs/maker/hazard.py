"""How habits and hours wear a reed: the proportional hazards on the clock of hours played, minute by minute."""

from __future__ import annotations

import math
from random import Random

from demo_logs.maker.effects import EARLY_HOURS, RECENT_HOURS, Effects
from demo_logs.maker.reed import LIFE_SHAPE, SimReed
from demo_logs.maker.town import utc_minutes


def log_rate_of_making(reed: SimReed, effects: Effects) -> float:
    """The log hazard ratio of how a reed was made, against a usual one; 0 for one whose making is not known."""
    if reed.tied_overall is None:
        return 0.0
    profile = reed.profile
    return (
        effects.overall_mm * (reed.tied_overall - profile.tied_mm)
        + effects.gouge_hundredth * (reed.gouge - profile.gouge_mm) * 100
        + effects.bad_lot * reed.bad_lot
        + effects.wired_before_crow * reed.wired_before_crow
        + effects.sink_minute * (reed.sink - 6)
        + effects.first_rest_day * (reed.first_rest - 2)
        + effects.clipped_mm * (reed.clipped - 2.2)
        + effects.tube_use * reed.tube_use
        + effects.humidity_ten * (reed.humidity - 45) / 10
    )


def log_rate_of_use(reed: SimReed, start: int, effects: Effects) -> float:
    """The log hazard ratio of how a reed has been used up to `start`, the local time a playing begins."""
    now = utc_minutes(start)
    if reed.recent and now - reed.recent[0][0] > RECENT_HOURS * 60:
        reed.recent = [playing for playing in reed.recent if now - playing[0] <= RECENT_HOURS * 60]
    recent = sum(minutes for _, minutes in reed.recent)
    return (
        effects.rest_under_day * rested_under_day(reed, start)
        + effects.early_longest_half_hour * ((reed.early_longest or 40) - 40) / 30
        + effects.longest_half_hour * ((reed.longest or 50) - 50) / 30
        + effects.recent_hour * recent / 60
        + effects.touch_up * reed.touch_ups
        + effects.cleaning * reed.cleanings
        + effects.performance_share * (reed.performances / reed.playings if reed.playings else 0.0)
    )


def rested_under_day(reed: SimReed, start: int) -> bool:
    """Whether fewer than 24 hours lie between the last playing that the log knows and `start`."""
    if reed.last_playing is None:
        return False
    return utc_minutes(start) - utc_minutes(reed.last_playing) < 24 * 60


def draw_life(rng: Random) -> float:
    """The wear that a reed bears: exponential with mean 1."""
    return rng.expovariate(1.0)


def baseline(minutes: int, scale: float) -> float:
    """Cumulative baseline hazard after `minutes` of playing: Weibull with `scale` in hours."""
    return float((minutes / (60 * scale)) ** LIFE_SHAPE)


def wear_by_playing(reed: SimReed, minutes: int, log_rate: float) -> tuple[int, bool]:
    """Play for `minutes`: how many the reed lasted (at least 1), and whether it was done with then.

    Within a playing P(end) = 1 - exp(-integral of the hazard), as `wear_at_end` is exponential.
    """
    rate, scale = math.exp(log_rate), reed.profile.life_scale
    before = baseline(reed.minutes, scale)
    step = rate * (baseline(reed.minutes + minutes, scale) - before)
    if reed.wear + step < reed.wear_at_end:
        reed.wear += step
        return minutes, False
    end = before + (reed.wear_at_end - reed.wear) / rate
    lasted = math.ceil(60 * scale * end ** (1 / LIFE_SHAPE)) - reed.minutes
    reed.wear = reed.wear_at_end
    return min(minutes, max(1, lasted)), True


def note_playing(reed: SimReed, start: int, minutes: int, performed: bool) -> None:
    """Add a playing to what the reed has been through, for the habits of later ones."""
    if reed.minutes < EARLY_HOURS * 60:
        reed.early_longest = max(reed.early_longest, minutes)
    reed.longest = max(reed.longest, minutes)
    reed.minutes += minutes
    reed.playings += 1
    reed.performances += performed
    reed.last_playing = reed.rested_since = start + minutes
    reed.recent.append((utc_minutes(start + minutes), minutes))
