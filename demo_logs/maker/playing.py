"""The playing: her weeks of practice, lessons, rehearsals and performances, and the reeds that she takes by turns.

Which reed she takes never depends on how worn it is, so that rest, pacing and setting have no effect on life
other than a planted one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from random import Random
from typing import Any

from demo_logs.maker.hazard import log_rate_of_use, note_playing, wear_by_playing
from demo_logs.maker.manner import BAD, GOOD, MOVES_AFTER
from demo_logs.maker.reed import AWAY, LIFE_SHAPE, READY, SERVICE, SimReed
from demo_logs.maker.town import DAY, holiday, warmth_of
from demo_logs.maker.trade import (
    ACCIDENT_WEIGHTS,
    ACCIDENTS,
    BASS,
    BORROWERS,
    CUSTOMERS,
    DAMORE,
    EH,
    OBOE,
    WEAR_CAUSES,
    WEAR_WEIGHTS,
)
from demo_logs.maker.workshop import Workshop, half_points

ACCIDENTS_AN_HOUR = 0.007
LATEST = 23 * 60 + 20


@dataclass(frozen=True)
class Slot:
    """One stretch of playing; `start` is the minute of the day."""

    start: int
    minutes: int
    setting: str
    instrument: str


def week_of(day: int) -> tuple[str, str, bool]:
    """The instrument of a day's week, the other one, and whether there is a project: rehearsals, then concerts on
    Friday and Saturday evening."""
    week = (day - 1) // 7  # Monday is 0
    first, second = (EH, OBOE) if week % 2 else (OBOE, EH)
    return first, second, not holiday(day) and week % 5 not in (0, 3)


def slots(day: int, rng: Random) -> list[Slot]:
    """What she plays on this day, in order of time."""
    kind = holiday(day)
    if kind == "away":
        return []
    weekday = (day - 1) % 7
    first, second, project = week_of(day)
    found = []

    def add(start: int, shortest: int, longest: int, setting: str, instrument: str) -> None:
        found.append(Slot(start + rng.randrange(0, 40), rng.randrange(shortest, longest + 1), setting, instrument))

    if rng.random() < (0.45 if kind else 0.95 if weekday < 6 else 0.75):
        add(8 * 60 + 30, 30, 75, "practice", rng.choice((first, second)))
        if rng.random() < 0.8:
            add(16 * 60 + 30, 20, 60, "practice", rng.choice((first, second)))
    if not kind and weekday in (0, 3):
        add(14 * 60 + 30, 20, 50, "lesson", rng.choice((EH, OBOE, OBOE)))
    if project and weekday in (1, 2, 3, 4):
        start = 18 * 60 if weekday == 1 else 10 * 60 + 40
        add(start, 50, 90, "rehearsal", first if rng.random() < 0.75 else second)
        if weekday == 2:
            add(13 * 60 + 30, 40, 80, "rehearsal", first if rng.random() < 0.75 else second)
    if project and weekday in (4, 5):
        add(19 * 60 + 20, 45, 90, "performance", first)
    return sorted(found, key=lambda slot: slot.start)


def choose(shop: Workshop, instrument: str, setting: str, now: int, out: list[SimReed]) -> SimReed | None:
    """The reed she takes next: often the one of last time, otherwise by turns, the longest rested the likeliest."""
    rng = shop.rng
    case = [
        reed
        for reed in shop.living
        if reed.profile.instrument == instrument
        and (reed.state == SERVICE or (reed.state == READY and not reed.order))
        and reed not in out
    ]
    if setting in ("rehearsal", "performance"):
        case = [reed for reed in case if reed.minutes >= 60] or case
    if not case:
        return None
    if rng.random() < 0.3 and not shop.manner.reserves:
        latest = max(case, key=lambda reed: reed.last_playing or 0)
        if latest.last_playing is not None:
            return latest
    weights = [min(now - reed.rested_since, 6 * DAY) + DAY / 4 for reed in case]
    if setting == "performance":
        weights = [weight * (reed.quality - 4) for weight, reed in zip(weights, case, strict=True)]
    if shop.manner.prefers_good:
        weights = [one * math.exp((reed.of_late or reed.quality) - 7) for one, reed in zip(weights, case, strict=True)]
    if shop.manner.puts_down:
        weights = [one * (0.3 if _bad(reed) else 1.0) for one, reed in zip(weights, case, strict=True)]
    if shop.manner.reserves:
        kept = [len(reed.scores) >= 3 and sum(reed.scores) / len(reed.scores) >= 7.8 for reed in case]
        far = [1.0 if one == (setting == "performance") else 0.03 for one in kept]
        weights = [one * by for one, by in zip(weights, far, strict=True)]
    return rng.choices(case, weights)[0]


def _bad(reed: SimReed) -> bool:
    return reed.of_late is not None and reed.of_late < BAD


def play_slot(shop: Workshop, slot: Slot, day: int) -> None:
    """Play for the minutes of a slot, on one reed or on several after each other."""
    diary = shop.diary
    start = day * DAY + slot.start
    instrument = _rare_instead(shop, slot)
    diary.wait_until(start)
    left, out = slot.minutes, list[SimReed]()
    while left >= 5 and diary.minute + left < LATEST:
        reed = choose(shop, instrument, slot.setting, diary.now, out)
        if reed is None:
            return
        out.append(reed)
        left -= play(shop, reed, left, slot.setting) + 2


def _rare_instead(shop: Workshop, slot: Slot) -> str:
    if slot.setting == "practice":
        for instrument in (DAMORE, BASS):
            if shop.rng.random() < 0.05 and shop.in_state(SERVICE, instrument) + shop.in_state(READY, instrument):
                return instrument
    return slot.instrument


def play(shop: Workshop, reed: SimReed, minutes: int, setting: str) -> int:
    """Play one reed for up to `minutes`; how many it was played."""
    rng, diary = shop.rng, shop.diary
    if reed.state == SERVICE:
        _before_playing(shop, reed)
    reed.state = SERVICE
    if reed.minutes < 180:
        longer = 8 * shop.seasons_gone(reed.begun) if shop.manner.drifts else 0
        minutes = min(minutes, max(5, reed.pace + longer + rng.randrange(-5, 6)))
    if shop.manner.puts_down and _bad(reed):
        minutes = min(minutes, rng.randrange(8, 20))
    start = diary.now + 1
    log_rate = reed.log_rate + log_rate_of_use(reed, start, shop.effects) + _of_manner(shop, reed, start // DAY)
    minutes, done = wear_by_playing(reed, minutes, log_rate)
    note_playing(reed, start, minutes, setting == "performance")
    score = reed.quality - 0.04 * reed.minutes / 60 - 3.4 * reed.worn_share**2 + rng.gauss(0, 0.55)
    reed.scores.append(half_points(score))
    diary.write(
        reed, "played", minutes + 1, remarks="played well" if score > 6.5 else "played badly",
        minutes=minutes, setting=diary.unless_forgotten(setting), score=diary.unless_forgotten(half_points(score), 2),
    )  # fmt: skip
    manner = shop.manner
    if manner.retires_by_score and len(reed.scores) > 2 and max(reed.scores[-2:]) < BAD:
        done = True
    if done:
        shop.retire(reed, rng.choices(WEAR_CAUSES, WEAR_WEIGHTS)[0], rng.randrange(1, 6))
    elif rng.random() < ACCIDENTS_AN_HOUR * minutes / 60:
        shop.retire(reed, rng.choices(ACCIDENTS, ACCIDENT_WEIGHTS)[0], rng.randrange(1, 10))
    elif manner.sells_good and reed.minutes > 120 and len(reed.scores) < 7 and _good(reed) and rng.random() < 0.12:
        shop.hand_over(reed, "sold", rng.choice(CUSTOMERS))
    else:
        if rng.random() < 0.07:
            _score_in_full(shop, reed, score)
        if setting == "lesson" and rng.random() < 0.03:
            shop.hand_over(reed, "given", rng.choice(("a pupil", "a pupil", "the youngest pupil")))
        elif setting == "rehearsal" and rng.random() < 0.012:
            lend(shop, reed)
    return minutes


def _good(reed: SimReed) -> bool:
    return reed.of_late is not None and reed.of_late >= GOOD


def _of_manner(shop: Workshop, reed: SimReed, day: int) -> float:
    """The log hazard ratio of a reed's lot, where lots drive, of the years gone by, where lives shorten, and of the
    time of year, where it matters."""
    lot = shop.lot_wear.get(reed.lot, 0.0) if shop.manner.lots_drive else 0.0
    # To six tenths of the life in two years: the hazard of a Weibull grows by that to the power of its shape.
    years = (
        -LIFE_SHAPE * math.log(0.6) / 2 * (day - shop.began) / 365
        if shop.manner.shortens or shop.manner.drifts
        else 0.0
    )
    winter = -0.5 * warmth_of(day) if shop.manner.seasons else 0.0
    moved = 0.6 if shop.manner.moves and day >= shop.began + MOVES_AFTER else 0.0
    return lot + years + winter + moved


def _before_playing(shop: Workshop, reed: SimReed) -> None:
    chance = shop.rng.random()
    if chance < (0.6 if shop.manner.cleans_failing and _bad(reed) else 0.03):
        shop.clean(reed)
    elif chance < 0.05:
        shop.diary.write(reed, "soaked", 3, minutes=shop.rng.randrange(2, 5))
    if shop.wants_touch_up(reed, 0.06, 0.40):
        shop.touch_up(reed)


def _score_in_full(shop: Workshop, reed: SimReed, score: float) -> None:
    parts: dict[str, Any] = {
        name: min(10, max(0, round(score + shop.rng.gauss(0, 0.9))))
        for name in ("response", "pitch", "stability", "tone", "ease")
    }
    shop.diary.write(reed, "scored", 1, **parts)


def lend(shop: Workshop, reed: SimReed) -> None:
    """Lend a reed as a spare; it comes back unplayed, or does not come back."""
    rng = shop.rng
    shop.hand_over(reed, "lent", rng.choice(BORROWERS))
    if rng.random() < 0.8:
        reed.state, reed.back = AWAY, shop.diary.day + rng.randrange(3, 21)
        shop.away.append(reed)


def take_back(shop: Workshop, day: int) -> None:
    """Write the return of the lent reeds that are due, first thing in the morning."""
    for reed in [reed for reed in shop.away if reed.back <= day]:
        shop.diary.wait_until(day * DAY + 8 * 60)
        shop.diary.write(reed, "returned", 1)
        shop.away.remove(reed)
        shop.living.append(reed)
        reed.state = SERVICE


def note_something(shop: Workshop) -> None:
    """Now and then, late in the day, a remark about a reed she played today."""
    today = shop.diary.day * DAY
    played = [reed for reed in shop.living if reed.state == SERVICE and (reed.last_playing or 0) >= today]
    if played and shop.rng.random() < 0.04 and shop.diary.minute < LATEST:
        shop.diary.remark(shop.rng.choice(played))
