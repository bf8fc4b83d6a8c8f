"""Playing the days through: which reed each playing falls to, how it scores, and which are there and good then."""

from __future__ import annotations

from copy import copy
from dataclasses import dataclass, replace

import numpy as np

from reedkin.answers.ready.ahead import Ahead
from reedkin.answers.ready.ways import Ways
from reedkin.study.form import FORM_OF
from reedkin.survival.arrays import BoolArray, FloatArray, IntArray

NEW_HOURS = 3.0
"""Hours for which many makers play a new reed only a little at a time (common practice, no source)."""
_HAIR = 1e-9
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

    def tiled(self, times: int, from_day: FloatArray) -> Reeds:
        """The same on so many times the paths, which come into service on these days."""
        hours, left, age, level, fall, odds, recent = (
            np.concatenate([one] * times)
            for one in (self.hours, self.left, self.age, self.level, self.fall, self.odds, self.recent)
        )
        return Reeds(
            from_day, hours, left, age, level, fall, odds, recent, self.saved, np.tile(self.bend, times),
            np.tile(self.noise, times),
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


_OF_REEDS = (
    "_from_day", "_left", "_first", "_new", "_age", "_top", "_odds", "_falls", "_recent", "_form", "_rare", "_played",
    "_spent", "_gone", "_weight", "_liked", "_waiting",
)  # fmt: skip
"""What a rotation keeps of every reed on every path."""
_OF_PATHS = ("_bend", "_noise", "_again", "_owed", "_last", "_comes")
"""What it keeps of every path."""


class Rotation:
    """Reeds on all paths, while they are played: who is there, with which form, and how readily each is taken. Tables
    of (paths, n) are kept flat, for one index a reed."""

    def __init__(self, reeds: Reeds, ways: Ways, level: float | None) -> None:
        paths, self._size = reeds.left.shape
        self._level = -np.inf if level is None else level
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
        """Play what falls to the days ahead. At the end those reeds are there that come into service `until` then; it
        can go on from there."""
        first_off = by.first_off[:, : self._size].ravel()
        for place in range(ahead.day.shape[1]):
            self.play_one(ahead.day[:, place], ahead.hours[:, place], by.taken[:, place], by.off[:, place], first_off)
        self.come(np.full(len(self._last), until), first_off)

    def play_one(
        self, day: FloatArray | IntArray, hours: FloatArray, taken: FloatArray, off: FloatArray, first_off: FloatArray
    ) -> None:
        """A playing (paths,) on every path falls to one of the reeds in the case. What is left of it when a new reed
        has had enough is added to the next; what is left when a reed goes is not, for the playings drawn from ended so
        as well. Before it come those into service that do so by then."""
        if not self._size:
            self._owed += hours
            return
        self.come(day, first_off)
        passed = self._weight.reshape(len(taken), self._size).cumsum(axis=1)
        reed = (passed <= (taken * passed[:, -1])[:, None]).sum(axis=1)
        self._owed += hours
        able = np.flatnonzero((passed[:, -1] > 0.0) & (hours > 0.0))
        self._owed[able] = self._sound(able, able * self._size + reed[able], self._owed[able], off[able])

    # The same on more paths, with more reeds, or with fewer

    def tiled(self, times: int) -> Rotation:
        """So many times the same, one after the other: the paths of each can go their own way."""
        found = copy(self)
        for name in (*_OF_REEDS, *_OF_PATHS):
            setattr(found, name, np.concatenate([getattr(self, name)] * times))
        found._last = self._moved(found._last, np.arange(self._size), self._size)
        ways = self._ways
        found._ways = replace(
            ways, liking=np.tile(ways.liking, times), again=np.tile(ways.again, times),
            lost=np.tile(ways.lost, (times, 1)),
        )  # fmt: skip
        return found

    def joined(self, reeds: Reeds, first: FloatArray) -> Rotation:
        """With these reeds, none of them played yet, behind those that are there; `first` (paths, n) as in the ways."""
        fresh, found = Rotation(reeds, replace(self._ways, first=first), self._level), copy(self)
        for name in _OF_REEDS:
            parts = [one._by_path(name) for one in (self, fresh)]
            setattr(found, name, _flat(np.concatenate(parts, axis=1)))
        found._size = self._size + fresh._size
        found._last = self._moved(self._last, np.arange(self._size), found._size)
        found._comes = np.minimum(self._comes, fresh._comes)
        found._owed = self._owed.copy()
        return found

    def still(self) -> IntArray:
        """(n,) the reeds that are in service on some path, or come into it."""
        alive = self._waiting | (np.isfinite(self._from_day) & ~self._gone)
        return np.flatnonzero(alive.reshape(len(self._last), self._size).any(axis=0))

    def only(self, which: IntArray) -> Rotation:
        """With these reeds alone, (n,) ascending; the others must be gone on all paths."""
        found = copy(self)
        for name in _OF_REEDS:
            setattr(found, name, _flat(self._by_path(name)[:, which]))
        found._size = len(which)
        places = np.full(self._size, -1)
        places[which] = np.arange(len(which))
        found._last = self._moved(self._last, places, len(which))
        found._owed = self._owed.copy()
        found._comes = self._comes.copy()
        return found

    def _by_path(self, name: str) -> FloatArray:
        """What it keeps of every reed as a table (paths, n, ...)."""
        kept = getattr(self, name)
        return np.asarray(kept.reshape(len(self._last), self._size, *kept.shape[1:]))

    def _moved(self, last: IntArray, places: IntArray, size: int) -> IntArray:
        """The reeds played last, now at these places (-1: it is no more) of so many."""
        rows = np.arange(len(last))
        place = np.where(last >= 0, np.append(places, -1)[last % max(self._size, 1)], -1)
        return np.where(place >= 0, rows * size + place, -1)

    @property
    def hours(self) -> FloatArray:
        """(paths, n): hours that each was played further."""
        return self._played.reshape(len(self._last), self._size)

    def there(self) -> BoolArray:
        """(paths, n): whether a reed is in service."""
        return (np.isfinite(self._from_day) & ~self._waiting & ~self._gone).reshape(len(self._last), self._size)

    def good(self) -> BoolArray:
        """(paths, n): whether a reed is in service, with a form of at least the level."""
        there = self.there().ravel()
        if np.isfinite(self._level):
            there &= self._form >= self._level - _HAIR
        return there.reshape(len(self._last), self._size)

    def _next_of(self, rows: IntArray) -> FloatArray:
        """The day on which the next reed comes into service on each of these paths; infinite where none does."""
        if not self._size:
            return np.full(len(rows), np.inf)
        waits = np.where(self._waiting, self._from_day, np.inf).reshape(-1, self._size)
        return np.asarray(waits[rows].min(axis=1))

    def come(self, day: FloatArray | IntArray, first_off: FloatArray) -> None:
        """Reeds come into service that do so by this day (paths,), each with its first playing."""
        rows = np.flatnonzero((self._comes <= day) & np.isfinite(self._comes))
        if not len(rows):
            return
        waits = np.where(self._by_path("_waiting")[rows], self._by_path("_from_day")[rows], np.inf)
        due = (waits <= day[rows, None]) & np.isfinite(waits)
        self._comes[rows] = np.where(due, np.inf, waits).min(axis=1)
        nth, place = np.nonzero(due)
        at = rows[nth] * self._size + place
        self._waiting[at] = False
        self._sound(rows[nth], at, self._first[at], first_off[at])

    def _sound(self, rows: IntArray, at: IntArray, hours: FloatArray, off: FloatArray) -> FloatArray:
        """Play these reeds, each on one of these paths (of those on the same one the last is played last), for so long
        at the most. Returns what is left for another."""
        before, left = self._played[at], self._left[at]
        enough = np.minimum(hours, np.where(before < self._new[at], self._first[at], np.inf))
        lasted = np.minimum(enough, left - before)
        after = before + lasted
        self._played[at] = after
        good = self._form[at] >= self._level - _HAIR
        spent = self._spent[at] + lasted * np.where(good, self._ways.lost[rows, 1], self._ways.lost[rows, 0])
        self._spent[at] = spent
        over = (after >= left) | (spent >= self._odds[at])
        self._gone[at] = over
        self._note(rows, at, after, off)
        last = self._last[rows]
        last = last[(last >= 0) & (last != at)]
        self._weight[last] = np.where(self._gone[last], 0.0, self._liked[last])
        self._last[rows] = at
        again = np.where(self._last[rows] == at, self._again[rows], 1.0)
        self._weight[at] = np.where(over, 0.0, self._liked[at] * again)
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


def _flat(table: FloatArray) -> FloatArray:
    """A table (paths, n, ...) with one index a reed."""
    return table.reshape(-1, *table.shape[2:])


def form_of(recent: FloatArray) -> FloatArray:
    """The form (...,) by the last three scores (..., 3), nan where there were fewer: their median, nan without any."""
    oldest, older, last = (recent[..., n] for n in range(FORM_OF))
    middle = np.maximum(np.minimum(oldest, older), np.minimum(np.maximum(oldest, older), last))
    two = np.where(np.isnan(older), last, 0.5 * (older + last))
    return np.asarray(np.where(np.isnan(oldest), two, middle))
