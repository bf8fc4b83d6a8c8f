"""Playing the days through: which reed each playing falls to, how it scores, and which are there and good then."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from reedkin.answers.ready.ahead import Ahead
from reedkin.answers.ready.ways import Ways
from reedkin.study.form import FORM_OF
from reedkin.survival.arrays import BoolArray, FloatArray, IntArray

NEW_HOURS = 3.0
"""Hours for which many makers play a new reed only a little at a time (common practice, no source)."""
_SAVED = 1e-9
"""What a reed that is saved for an occasion counts beside another: it is played only where there is no other."""


@dataclass(frozen=True, slots=True)
class Reeds:
    """
    The reeds that are played, each array (paths, n) but for the last three.

    from_day  the day on which each comes into service; infinite for never, 0 for one that is in service.
    hours     that it has been played; left: that it has before it; age: hours that are over of its own life.
    level     the score that it begins its life with; fall: what is lost of that over its life.
    odds      how long it escapes being lost, as a unit exponential.
    recent    (paths, n, 3) its last three scores, the latest last; nan where there were fewer.
    saved     (n,) whether it is saved for an occasion.
    bend, noise  (paths,) how scores fall over a life, and the standard deviation of one about that.
    """

    from_day: FloatArray
    hours: FloatArray
    left: FloatArray
    age: FloatArray
    level: FloatArray
    fall: FloatArray
    odds: FloatArray
    recent: FloatArray
    saved: BoolArray
    bend: FloatArray
    noise: FloatArray

    def first(self, size: int, tied_in: int, stock: int) -> Reeds:
        """The first so many of them, those after the stock tied in so many days."""
        from_day = self.from_day[:, :size].copy()
        from_day[:, stock:] += tied_in
        return self.chosen(slice(size), from_day)

    def chosen(self, which: slice | IntArray, from_day: FloatArray) -> Reeds:
        """Some of them, which come into service on these days."""
        return Reeds(
            from_day, self.hours[:, which], self.left[:, which], self.age[:, which], self.level[:, which],
            self.fall[:, which], self.odds[:, which], self.recent[:, which], self.saved[which], self.bend, self.noise,
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Chances:
    """What chance brings with each playing (paths, p) and with the first playing of each reed (paths, n): which reed is
    taken, and how far off its score is, nan where none is noted."""

    taken: FloatArray
    off: FloatArray
    first_off: FloatArray


def chances(playings: int, reeds: int, paths: int, scored_share: float, rng: np.random.Generator) -> Chances:
    """Drawn once for every question, so that answers differ by what is asked and not by chance."""
    off, first = rng.standard_normal((paths, playings)), rng.standard_normal((paths, reeds))
    off[rng.random(off.shape) >= scored_share] = np.nan
    first[rng.random(first.shape) >= scored_share] = np.nan
    return Chances(rng.random((paths, playings)), off, first)


class Rotation:
    """Reeds on all paths, while they are played: who is there, with which form, and how readily each is taken. Tables
    of (paths, n) are kept flat, for one index a reed."""

    def __init__(self, reeds: Reeds, ways: Ways, level: float | None) -> None:
        paths, self._size = reeds.left.shape
        self._level = -np.inf if level is None else level - 1e-9
        self._ways, self._from_day, self._left = ways, reeds.from_day.ravel(), reeds.left.ravel()
        self._first, self._bend, self._noise = ways.first[:, : self._size].ravel(), reeds.bend, reeds.noise
        self._new = (NEW_HOURS - reeds.hours).ravel()
        self._age, self._top, self._odds = reeds.age.ravel(), reeds.level.ravel(), reeds.odds.ravel()
        life = np.maximum(reeds.age + reeds.left, 1e-9)
        self._falls = (reeds.fall / life ** reeds.bend[:, None]).ravel()
        self._recent = reeds.recent.reshape(-1, FORM_OF).copy()
        self._form = form_of(self._recent)
        known = self._form[np.isfinite(self._form)]
        self._usual = float(known.mean()) if len(known) else 0.0
        self._again = np.exp(ways.again)
        self._rare = np.tile(np.where(reeds.saved, _SAVED, 1.0), paths)
        self._played, self._spent = np.zeros(len(self._left)), np.zeros(len(self._left))
        self._gone = np.zeros(len(self._left), dtype=bool)
        self._weight, self._last = np.zeros(len(self._left)), np.full(paths, -1)
        self._liked = self._rare * self._liking(self._form, np.repeat(ways.liking, self._size))
        self._owed = np.zeros(paths)
        self._waiting = np.isfinite(self._from_day)
        there = np.flatnonzero(self._from_day <= 0.0)
        self._waiting[there] = False
        self._weight[there] = self._liked[there]
        self._comes = self._next_of(np.arange(paths))

    def play(self, ahead: Ahead, by: Chances, until: float = np.inf) -> None:
        """Each playing falls to one of the reeds in the case. What is left of it when a new reed has had enough is
        added to the next; what is left when a reed goes is not, for the playings drawn from ended so as well. At the
        end those reeds are there that come into service `until` then; it can go on from there."""
        rows, count = np.arange(len(self._last)), ahead.day.shape[1]
        owed, first_off = self._owed, by.first_off[:, : self._size].ravel()
        weight = self._weight.reshape(len(rows), self._size)
        for place in range(count):
            self._come(ahead.day[:, place], first_off)
            passed = weight.cumsum(axis=1)
            reed = (passed <= (by.taken[:, place] * passed[:, -1])[:, None]).sum(axis=1)
            owed += ahead.hours[:, place]
            able = np.flatnonzero((passed[:, -1] > 0.0) & (ahead.hours[:, place] > 0.0))
            owed[able] = self._sound(able, able * self._size + reed[able], owed[able], by.off[able, place])
        self.come(until, by)

    def come(self, until: float, by: Chances) -> None:
        """The reeds come into service that do so until a day, each with its first playing."""
        self._come(np.full(len(self._last), until), by.first_off[:, : self._size].ravel())

    @property
    def hours(self) -> FloatArray:
        """(paths, n): hours that each was played further."""
        return self._played.reshape(-1, self._size)

    def there(self) -> BoolArray:
        """(paths, n): whether a reed is in service."""
        return (np.isfinite(self._from_day) & ~self._waiting & ~self._gone).reshape(-1, self._size)

    def good(self) -> BoolArray:
        """(paths, n): whether a reed is in service, with a form of at least the level."""
        there = self.there().ravel()
        if np.isfinite(self._level):
            there &= self._form >= self._level
        return there.reshape(-1, self._size)

    def _next_of(self, rows: IntArray) -> FloatArray:
        """The day on which the next reed comes into service on each of these paths; infinite where none does."""
        if not self._size:
            return np.full(len(rows), np.inf)
        waits = np.where(self._waiting, self._from_day, np.inf).reshape(-1, self._size)
        return np.asarray(waits[rows].min(axis=1))

    def _come(self, day: FloatArray | IntArray, first_off: FloatArray) -> None:
        """Reeds that come into service on this day or before, with their first playing; one a path at a time."""
        rows = np.flatnonzero((self._comes <= day) & np.isfinite(self._comes))
        while len(rows):
            waits = self._from_day.reshape(-1, self._size)[rows]
            waits[~self._waiting.reshape(-1, self._size)[rows]] = np.inf
            at = rows * self._size + waits.argmin(axis=1)
            self._waiting[at] = False
            self._weight[at] = self._liked[at]
            self._sound(rows, at, self._first[at], first_off[at])
            waits[np.arange(len(rows)), at % self._size] = np.inf
            self._comes[rows] = waits.min(axis=1)
            rows = rows[(self._comes[rows] <= day[rows]) & np.isfinite(self._comes[rows])]

    def _sound(self, rows: IntArray, at: IntArray, hours: FloatArray, off: FloatArray) -> FloatArray:
        """Play these reeds, one on each of these paths, for so long at the most. Returns what is left for another."""
        before, left = self._played[at], self._left[at]
        enough = np.minimum(hours, np.where(before < self._new[at], self._first[at], np.inf))
        lasted = np.minimum(enough, left - before)
        after = before + lasted
        self._played[at] = after
        good = self._form[at] >= self._level
        spent = self._spent[at] + lasted * np.where(good, self._ways.lost[rows, 1], self._ways.lost[rows, 0])
        self._spent[at] = spent
        over = (after >= left) | (spent >= self._odds[at])
        self._gone[at] = over
        self._note(rows, at, after, off)
        last = self._last[rows]
        last = last[(last >= 0) & (last != at)]
        self._weight[last] = np.where(self._gone[last], 0.0, self._liked[last])
        self._last[rows] = at
        self._weight[at] = np.where(over, 0.0, self._liked[at] * self._again[rows])
        return np.asarray(hours - enough)

    def _note(self, rows: IntArray, at: IntArray, after: FloatArray, off: FloatArray) -> None:
        """The score after a playing, in half points, where one is noted."""
        noted = np.flatnonzero(np.isfinite(off))
        rows, at, after, off = rows[noted], at[noted], after[noted], off[noted]
        true = self._top[at] - self._falls[at] * (self._age[at] + after) ** self._bend[rows]
        score = np.rint(2.0 * np.minimum(np.maximum(true + self._noise[rows] * off, 0.0), 10.0)) / 2.0
        recent = self._recent[at]
        recent[:, :-1] = recent[:, 1:]
        recent[:, -1] = score
        self._recent[at] = recent
        form = form_of(recent)
        self._form[at] = form
        self._liked[at] = self._liking(form, self._ways.liking[rows]) * self._rare[at]

    def _liking(self, form: FloatArray, liking: FloatArray) -> FloatArray:
        """How readily a reed is taken beside one of the usual form; one without a score is taken as that is."""
        return np.asarray(np.exp(np.where(np.isnan(form), 0.0, (form - self._usual) * liking)))


def form_of(recent: FloatArray) -> FloatArray:
    """The form (...,) by the last three scores (..., 3), nan where there were fewer: their median, nan without any."""
    oldest, older, last = (recent[..., n] for n in range(FORM_OF))
    middle = np.maximum(np.minimum(oldest, older), np.minimum(np.maximum(oldest, older), last))
    two = np.where(np.isnan(older), last, 0.5 * (older + last))
    return np.asarray(np.where(np.isnan(oldest), two, middle))
