"""The playings of the days until then."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from reedkin.answers.ready.past import LOOK_BACK, Past, Playing
from reedkin.survival.arrays import FloatArray, IntArray

SHORTEST_LOG = 14
"""Days of playing that a log must hold before weeks are drawn from it."""
MOST_PLAYINGS = 96
"""More playings than these are joined to fewer and longer ones. With 48 of them forecasts for 60 days and more were far
too hopeful (64% in place of 33% for three reeds in the longest demo log): long playings end with the reed that is
played, and what is left of them is lost."""
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


def ahead(
    past: Past, days: int, rehearsal_hours: float | None, paths: int, rng: np.random.Generator,
    joined: bool = True,
) -> Ahead:  # fmt: skip
    """
    Draw the playings of `days` days on every path: a run of so many days of the maker's own last quarter of a year,
    begun on a day drawn at random (a moving block: Künsch 1989, Annals of Statistics 17:1217-1241) and going round
    where the end is reached. With `rehearsal_hours`, her rehearsals in it give way to so many hours, spread evenly.
    Where there are very many they are `joined` to fewer.
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
    return _joined(Ahead(day, hours)) if joined else Ahead(day, hours)


def _joined(ahead: Ahead) -> Ahead:
    """The same with the earlier of very many playings joined to longer ones: what fell to which reed months before
    makes little difference, and takes as long to reckon as the last weeks."""
    count = ahead.day.shape[1]
    if count <= MOST_PLAYINGS:
        return ahead
    early = count - MOST_PLAYINGS // 2
    starts = np.unique(np.linspace(0, early, MOST_PLAYINGS // 2 + 1).astype(int))[:-1]
    return Ahead(
        np.concatenate((ahead.day[:, starts], ahead.day[:, early:]), axis=1),
        np.concatenate((np.add.reduceat(ahead.hours[:, :early], starts, axis=1), ahead.hours[:, early:]), axis=1),
    )


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
