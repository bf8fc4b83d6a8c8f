"""The days until then: which playings there will be, and which reeds they fall to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

import numpy as np

from reedkin.answers.ready.past import Past, Playing
from reedkin.study.ticks import Tick, no_tick
from reedkin.survival.arrays import BoolArray, FloatArray, IntArray

LOOK_BACK = timedelta(days=91)
"""How far back the maker's weeks are drawn from: a quarter of a year, since a summer long past tells nothing of now."""
SHORTEST_LOG = 14
"""Days of playing that a log must hold before weeks are drawn from it."""
_REHEARSAL_HOURS = 1.25
"""Length of a rehearsal where none is noted (from memory)."""


@dataclass(frozen=True, slots=True)
class Ahead:
    """The playings until the day on every path: (paths, p) days from now, ascending, and hours; 0 hours for none."""

    day: IntArray
    hours: FloatArray

    @property
    def totals(self) -> FloatArray:
        """(paths,) hours in all."""
        return np.asarray(self.hours.sum(axis=1))


def ahead(past: Past, days: int, rehearsal_hours: float | None, paths: int, rng: np.random.Generator) -> Ahead:
    """
    Draw the playings of `days` days on every path: a run of so many days of the maker's own last quarter of a year,
    begun on a day drawn at random (a moving block: Künsch 1989, Annals of Statistics 17:1217-1241) and going round
    where the end is reached. With `rehearsal_hours`, her rehearsals in it give way to so many hours, spread evenly.
    """
    first = max(past.first_day, past.last_day - LOOK_BACK)
    length = max((past.last_day - first).days, 1)
    kept = [p for p in past.playings if p.day > first and (rehearsal_hours is None or p.setting != "rehearsal")]
    by_day: dict[int, list[float]] = {}
    for playing in kept:
        by_day.setdefault((playing.day - first).days - 1, []).append(playing.minutes / 60)
    rehearsals = _rehearsals(past.playings, rehearsal_hours or 0.0, days)
    daily = np.array([sum(by_day.get(n, ())) for n in range(length)])
    starts, factors = rng.integers(0, length, paths), _unsteadiness(daily, days, paths, rng)
    runs = [
        sorted(
            [(n, hours * factor) for n in range(days) for hours in by_day.get((start + n) % length, ())] + rehearsals
        )
        for start, factor in zip(starts.tolist(), factors.tolist(), strict=True)
    ]
    most = max((len(run) for run in runs), default=0)
    day = np.zeros((paths, most), dtype=np.intp)
    hours = np.zeros((paths, most))
    for row, run in enumerate(runs):
        if run:
            day[row, : len(run)], hours[row, : len(run)] = zip(*run, strict=True)
    return Ahead(day, hours)


def _unsteadiness(daily: FloatArray, days: int, paths: int, rng: np.random.Generator) -> FloatArray:
    """
    (paths,) factors around 1 for what runs drawn from few days hide. With a daily variance s^2 seen on n days, the
    total of d days to come, reckoned from their mean, has variance d s^2 (1 + d/n); runs drawn from those same days
    have d s^2 (1 - d/n), or none if d >= n. The factors add the rest.
    """
    share = days / len(daily)
    mean = float(daily.mean()) * days
    if not mean:
        return np.ones(paths)
    missing = days * float(daily.var()) * min(2.0 * share, 1.0 + share)
    return np.asarray(np.clip(1.0 + rng.standard_normal(paths) * np.sqrt(missing) / mean, 0.2, 3.0))


def _rehearsals(playings: Sequence[Playing], hours: float, days: int) -> list[tuple[int, float]]:
    """So many hours of rehearsals on days spread evenly, each as long as the maker's usually are."""
    if hours <= 0.0 or days < 1:
        return []
    lengths = sorted(p.minutes / 60 for p in playings if p.setting == "rehearsal")
    usual = lengths[len(lengths) // 2] if lengths else _REHEARSAL_HOURS
    count = max(round(hours / usual), 1)
    return [(int((n + 0.5) * days / count), hours / count) for n in range(count)]


@dataclass(frozen=True, slots=True)
class Reeds:
    """
    The reeds that take turns, each array (paths, n).

    from_day  the day on which each comes into service; infinite for never.
    death     hours of further playing at which it goes; infinite for not before the day.
    first     hours of the playing that its service begins with; 0 for one that is in service.
    pace      the longest that it is played at a time while it is new, that is for `new` further hours.
    saved     (n,) whether it is saved for an occasion, and played only where there is no other.
    """

    from_day: FloatArray
    death: FloatArray
    first: FloatArray
    pace: FloatArray
    new: FloatArray
    saved: BoolArray


def rotate(ahead: Ahead, reeds: Reeds, rng: np.random.Generator, tick: Tick = no_tick) -> FloatArray:
    """
    Play the days through: each playing falls to one of the reeds in the case, all with the same chance. What is left of
    it when a reed goes, or has had enough for a new one, is added to the next.

    Returns (paths, n) hours that each was played further; one that went has as many as its death.
    """
    played = np.where(np.isfinite(reeds.from_day), reeds.first, 0.0)
    rows = np.arange(len(played))
    owed = np.zeros(len(played))
    for place in range(ahead.day.shape[1]):
        tick(place / ahead.day.shape[1])
        there: BoolArray = (reeds.from_day <= ahead.day[:, place, None]) & (played < reeds.death)
        if reeds.saved.any():
            free: BoolArray = there & ~reeds.saved
            there = np.where(np.logical_or.reduce(free, axis=1)[:, None], free, there)
        counted = there.cumsum(axis=1, dtype=np.int16)
        count = counted[:, -1]
        nth = np.floor(rng.random(len(played)) * count).astype(np.int16)
        chosen = (counted > nth[:, None]).argmax(axis=1)
        hours = np.where(count > 0, ahead.hours[:, place] + owed, 0.0)
        so_far = played[rows, chosen]
        most = np.where(so_far < reeds.new[rows, chosen], reeds.pace[rows, chosen], np.inf)
        lasted = np.where(count > 0, np.minimum(np.minimum(hours, most), reeds.death[rows, chosen] - so_far), 0.0)
        played[rows, chosen] += lasted
        owed = hours - lasted
    return np.asarray(np.minimum(played, reeds.death))
