"""The playings of the days until then."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from reedkin.answers.ready.past import Past, Playing
from reedkin.survival.arrays import FloatArray, IntArray

SHORTEST_LOG, FEWEST_PLAYINGS = 14, 5
"""Days of playing, and playings, that a log must hold before weeks are drawn from it."""
MOST_PLAYINGS = 96
"""More playings than these are joined to fewer and longer ones. With 48 of them forecasts for 60 days and more were far
too hopeful (64% in place of 33% for three reeds in the longest demo log)."""
MOST_A_DAY = 24
"""More playings of a day than these are joined, too: an import may hold hundreds."""
LATELY, BEFORE = 7, 28
"""A day of the past is like today if she played as much in the week before it, and in the four weeks before that."""
FOLLOWED = 14
"""A day of the past is begun at only if at least so many follow it, or half of the log: the latest are like today
because they are nearly today, and tell nothing of how such a time ends."""
HALF_AFTER, YEAR = 91, 365.25
"""A day counts half when it was so many days ago, or so many from this time of another year, and less for every year
(common practice, no source): a summer long past tells little of now."""
AGAIN, NEAR = 4.0, 14.0
"""A day at this time of an earlier year counts so many times more, to a fortnight or so before and after: a quiet
summer comes again (common practice, no source)."""
UNLIKE = 0.01
"""What a day counts at least beside one that is altogether like today: where none is, every day does."""
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
    Draw the playings of `days` days on every path: a run of so many days of the maker's own past, begun on a day that
    was like today (a bootstrap of nearest neighbours: Lall and Sharma 1996, Water Resources Research 32:679-693), so
    that a busy time that has come upon a quiet one goes on as such times did. Where a run reaches today it goes on with
    another. With `rehearsal_hours`, her rehearsals in it give way to so many hours, spread evenly. Where there are very
    many playings they are `joined` to fewer.
    """
    length = max((past.last_day - past.first_day).days, 1)
    kept = [
        p for p in past.playings if p.day > past.first_day and (rehearsal_hours is None or p.setting != "rehearsal")
    ]
    on = np.array([(p.day - past.first_day).days - 1 for p in kept], dtype=np.intp)
    on, long = _few_a_day(on, np.array([p.minutes / 60 for p in kept]))
    daily = np.asarray(np.bincount(on, long, length), dtype=np.float64)
    runs = _runs(starting_at(daily), days, paths, rng)
    factors = _unsteadiness(daily, runs, rng)
    count = np.bincount(on, minlength=length)
    each = count[runs].ravel()
    rows, at = np.divmod(np.repeat(np.arange(runs.size), each), max(days, 1))
    nth = np.arange(len(rows)) - np.repeat(np.cumsum(each) - each, each)
    hours = long[(np.cumsum(count) - count)[runs.ravel()].repeat(each) + nth] * factors[rows]
    extra = _rehearsals(past.playings, rehearsal_hours or 0.0, days)
    rows = np.concatenate((rows, np.repeat(np.arange(paths), len(extra))))
    at = np.concatenate((at, np.tile(np.array([day for day, _ in extra], dtype=np.intp), paths)))
    hours = np.concatenate((hours, np.tile([one for _, one in extra], paths)))
    found = _as_table(rows, at, hours, paths)
    return _joined(found) if joined else found


def _few_a_day(on: IntArray, hours: FloatArray) -> tuple[IntArray, FloatArray]:
    """The playings (n,) on these days, ascending, neighbours joined where a day has more than MOST_A_DAY."""
    count = np.bincount(on)
    if count.max(initial=0) <= MOST_A_DAY:
        return on, hours
    nth = np.arange(len(on)) - (np.cumsum(count) - count)[on]
    places, which = np.unique(
        on * MOST_A_DAY + nth * MOST_A_DAY // np.maximum(count[on], MOST_A_DAY), return_inverse=True
    )
    return places // MOST_A_DAY, np.asarray(np.bincount(which, hours), dtype=np.float64)


def _as_table(rows: IntArray, day: IntArray, hours: FloatArray, paths: int) -> Ahead:
    """The playings of every path in a row of their own, in the order of their days."""
    order = np.lexsort((day, rows))
    rows, each = rows[order], np.bincount(rows, minlength=paths)
    places = np.arange(len(rows)) - np.repeat(np.cumsum(each) - each, each)
    table = Ahead(np.zeros((paths, each.max(initial=0)), dtype=np.intp), np.zeros((paths, each.max(initial=0))))
    table.day[rows, places], table.hours[rows, places] = day[order], hours[order]
    return table


def starting_at(daily: FloatArray) -> FloatArray:
    """(n,) how likely a run begins on each of the days (n,) with so many hours, the last of which is today's."""
    length = len(daily)
    until = np.concatenate(([0.0], np.cumsum(daily)))
    at = np.arange(length + 1)
    week, month = np.maximum(at - LATELY, 0), np.maximum(at - LATELY - BEFORE, 0)
    lately = (until[at] - until[week]) / np.maximum(at - week, 1)
    before = np.where(week > month, (until[week] - until[month]) / np.maximum(week - month, 1), lately)
    unit = max(float(daily.std()) / np.sqrt(LATELY), 1e-9)
    apart = ((lately[:-1] - lately[-1]) / unit) ** 2 + ((before[:-1] - before[-1]) / unit) ** 2
    years, season = np.divmod(length - at[:-1] + YEAR / 2, YEAR)
    off = np.abs(season - YEAR / 2)
    weight = (np.exp(-0.5 * apart) + UNLIKE) * 0.5 ** (off / HALF_AFTER + years / 2)
    weight *= 1.0 + AGAIN * (years > 0) * np.exp(-0.5 * (off / NEAR) ** 2)
    weight[: min(LATELY, length // 2)] = 0.0
    weight[max(length - FOLLOWED, (length + 1) // 2) :] = 0.0
    return np.asarray(weight / weight.sum()) if weight.any() else np.full(length, 1.0 / length)


def _runs(begun: FloatArray, days: int, paths: int, rng: np.random.Generator) -> IntArray:
    """(paths, days) days of the past, each run begun as likely as that (n,); one that reaches today begins again."""
    runs, now = np.empty((paths, days), dtype=np.intp), np.full(paths, len(begun))
    for day in range(days):
        over = np.flatnonzero(now >= len(begun))
        if len(over):
            now[over] = rng.choice(len(begun), len(over), p=begun)
        runs[:, day] = now
        now += 1
    return runs


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


def _unsteadiness(daily: FloatArray, runs: IntArray, rng: np.random.Generator) -> FloatArray:
    """
    (paths,) factors around 1 for what runs (paths, d) drawn from few days hide. With a daily variance s^2 seen on n
    days, the total of d days to come, reckoned from their mean, has variance d s^2 (1 + d/n); runs drawn from those
    same days have d s^2 (1 - d/n), or none if d >= n. The factors add the rest. Days that are drawn more often than
    others stand for fewer than they are.
    """
    paths, days = runs.shape
    if not days:
        return np.ones(paths)
    share = np.bincount(runs.ravel(), minlength=len(daily)) / runs.size
    mean = float(share @ daily)
    if not mean:
        return np.ones(paths)
    part = days * float(share @ share)
    missing = days * float(share @ (daily - mean) ** 2) * min(2.0 * part, 1.0 + part)
    return np.asarray(np.clip(1.0 + rng.standard_normal(paths) * np.sqrt(missing) / (mean * days), 0.2, 3.0))


def _rehearsals(playings: Sequence[Playing], hours: float, days: int) -> list[tuple[int, float]]:
    """So many hours of rehearsals on days spread evenly, each as long as the maker's usually are."""
    if hours <= 0.0 or days < 1:
        return []
    lengths = sorted(p.minutes / 60 for p in playings if p.setting == "rehearsal")
    usual = lengths[len(lengths) // 2] if lengths else _REHEARSAL_HOURS
    count = max(round(hours / usual), 1)
    return [(int((n + 0.5) * days / count), hours / count) for n in range(count)]
