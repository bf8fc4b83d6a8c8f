"""Playing the days through: which reed each playing falls to, how it scores, and which are there and good then."""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass, replace

import numpy as np

from reedkin.answers.ready.ahead import Ahead
from reedkin.answers.ready.blanks import Prospect
from reedkin.answers.ready.past import Past
from reedkin.answers.ready.ways import NEW_HOURS, Ways
from reedkin.study.form import FORM_OF
from reedkin.survival.arrays import BoolArray, FloatArray, IntArray

IN_USE = -1.0
"""The day of a reed that is in service already."""
_HAIR = 1e-9
_NONE = 1e-8
"""Reeds that weigh no more together are none."""
_SAVED = 1e-5
"""What a reed that is saved for an occasion counts beside another: it is played only where there is no other."""


@dataclass(frozen=True, slots=True)
class Reeds:
    """
    The reeds that are played, each array (paths, n) but for the last three.

    from_day  the day from which each may be played; infinite for never, IN_USE for one that was played.
    rests     for how many days before it was among those that wait already.
    passes    the share of the playing that it lets pass from then on before it is played (see `shares`).
    hours     that it has been played; left: that it has before it; age: hours that are over of its own life.
    level     the score that it begins its life with; fall: what is lost of that over its life.
    odds      how long it escapes being lost, as a unit exponential.
    recent    (paths, n, 3) its last three scores, the latest last; nan where there were fewer.
    saved     (n,) whether it is saved for an occasion.
    bend, noise  (paths,) how scores fall over a life, and the standard deviation of one about that.
    """

    from_day: FloatArray
    rests: FloatArray
    passes: FloatArray
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

    def follow(self, prospects: Sequence[Prospect]) -> None:
        """The last of them are blanks, of which that becomes."""
        for place, one in enumerate(prospects, self.from_day.shape[1] - len(prospects)):
            self.from_day[:, place], self.rests[:, place], self.passes[:, place] = one

    def first(self, size: int, tied_in: int, stock: int) -> Reeds:
        """The first so many of them, those after the stock tied in so many days."""
        from_day = self.from_day[:, :size].copy()
        from_day[:, stock:] += tied_in
        return self.chosen(slice(size), from_day)

    def chosen(self, which: slice | IntArray, from_day: FloatArray) -> Reeds:
        """Some of them, which come into service on these days."""
        return Reeds(
            from_day, self.rests[:, which], self.passes[:, which], self.hours[:, which], self.left[:, which],
            self.age[:, which], self.level[:, which], self.fall[:, which], self.odds[:, which], self.recent[:, which],
            self.saved[which], self.bend, self.noise,
        )  # fmt: skip

    def tiled(self, times: int, from_day: FloatArray) -> Reeds:
        """The same on so many times the paths, which come into service on these days."""
        every = (
            self.rests, self.passes, self.hours, self.left, self.age, self.level, self.fall, self.odds, self.recent,
        )  # fmt: skip
        rests, passes, hours, left, age, level, fall, odds, recent = (np.concatenate([one] * times) for one in every)
        return Reeds(
            from_day, rests, passes, hours, left, age, level, fall, odds, recent, self.saved, np.tile(self.bend, times),
            np.tile(self.noise, times),
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Chances:
    """What chance brings with each playing (paths, p): which reed is taken, and how far off its score is, nan where
    none is noted."""

    taken: FloatArray
    off: FloatArray


def chances(playings: int, paths: int, past: Past, rng: np.random.Generator) -> Chances:
    """Drawn once for every question, so that answers differ by what is asked and not by chance."""
    off = past.scoring.drawn((paths, playings), rng)
    off[rng.random(off.shape) >= past.scored_share] = np.nan
    return Chances(rng.random((paths, playings)), off)


_OF_REEDS = (
    "_from_day", "_left", "_new", "_age", "_top", "_odds", "_falls", "_recent", "_form", "_rare", "_played",
    "_spent", "_gone", "_weight", "_liked", "_lies", "_ready", "_passes", "_turn",
)  # fmt: skip
"""What a rotation keeps of every reed on every path."""
_OF_PATHS = ("_bend", "_noise", "_again", "_on", "_owed", "_last", "_comes", "_new_ones", "_passed", "_due")
"""What it keeps of every path."""


class Rotation:
    """Reeds on all paths, while they are played: who is there, with which form, and how readily each is taken. Tables
    of (paths, n) are kept flat, for one index a reed."""

    def __init__(self, reeds: Reeds, ways: Ways, level: float | None) -> None:
        paths, self._size = reeds.left.shape
        self._level = -np.inf if level is None else level
        self._ways, self._from_day, self._left = ways, reeds.from_day.ravel(), reeds.left.ravel()
        self._bend, self._noise = reeds.bend, reeds.noise
        self._new = (NEW_HOURS - reeds.hours).ravel()
        self._age, self._top, self._odds = reeds.age.ravel(), reeds.level.ravel(), reeds.odds.ravel()
        life = np.maximum(reeds.age + reeds.left, 1e-9)
        self._falls = (reeds.fall / life ** reeds.bend[:, None]).ravel()
        self._recent = reeds.recent.reshape(-1, FORM_OF).copy()
        self._form = form_of(self._recent)
        self._again, self._on = ways.again, ways.on
        self._rare = np.tile(np.where(reeds.saved, _SAVED, 1.0), paths)
        self._played, self._spent = np.zeros(len(self._left)), np.zeros(len(self._left))
        self._gone = np.zeros(len(self._left), dtype=bool)
        self._weight, self._last = np.zeros(len(self._left)), np.full(paths, -1)
        self._liked = self._rare * self._liking(self._form, np.repeat(ways.liking, self._size))
        self._owed = np.zeros(paths)
        there = np.flatnonzero(self._from_day == IN_USE)
        self._ready = np.where(self._from_day == IN_USE, np.inf, self._from_day)
        self._weight[there] = self._liked[there]
        self._lies = self._ready - reeds.rests.ravel()
        self._comes = self._by_path("_lies").min(axis=1, initial=np.inf)
        # Of those not played yet: how many lie finished, the share of one so far, and by what share each is taken.
        self._new_ones, self._passed, self._passes = np.zeros(paths), np.zeros(paths), reeds.passes.ravel()
        self._turn, self._due = np.full(len(self._left), np.inf), np.full(paths, np.inf)

    def play(self, ahead: Ahead, by: Chances) -> None:
        """Play what falls to the days ahead; it can go on from there."""
        for place in range(ahead.day.shape[1]):
            self.play_one(ahead.day[:, place], ahead.hours[:, place], by.taken[:, place], by.off[:, place])

    def play_one(self, day: FloatArray | IntArray, hours: FloatArray, taken: FloatArray, off: FloatArray) -> None:
        """A playing (paths,) on every path falls to one of the reeds in the case: to one not played yet whose turn has
        come, or where no other is there, else to one of the others. What is left of it when a new reed has had enough
        or a reed goes is added to the next: the playings drawn from were cut short so already. Where there is no reed
        at all, nothing is played. Before it come those that are finished by then."""
        self._owed += hours
        if not self._size:
            return
        self.come(day)
        every = self._weight.cumsum()
        until = every[self._size - 1 :: self._size]
        before = np.concatenate(([0.0], until[:-1]))
        weight = until - before
        on = np.where((self._last >= 0) & ~self._gone[self._last], self._on, 0.0)
        other = (taken - on) / (1.0 - on)
        drawn = np.minimum(every.searchsorted(before + other * weight, side="right"), len(every) - 1)
        at = np.where(other < 0.0, self._last, drawn)
        none = weight <= _NONE
        new = ((self._due <= self._passed + _HAIR) | none) & np.isfinite(self._due) & (hours > 0.0)
        rows = np.flatnonzero(new)
        at[rows] = self._taken_up(rows)
        self._owed[none & ~new] = 0.0
        able = np.flatnonzero((new | ~none) & (hours > 0.0))
        self._passed += hours * (1.0 - on) / np.maximum(weight + self._new_ones, 1.0)
        self._new_ones[rows] -= 1.0
        self._owed[able] = self._sound(able, at[able], self._owed[able], off[able])

    def _taken_up(self, rows: IntArray) -> IntArray:
        """On each of these paths the reed not played yet whose turn it is, by its one index."""
        turns = self._turn.reshape(-1, self._size)[rows]
        found = turns.argmin(axis=1)
        turns[np.arange(len(rows)), found] = np.inf
        at = rows * self._size + found
        self._turn[at] = np.inf
        self._due[rows] = turns.min(axis=1)
        return np.asarray(at)

    # The same on more paths, with more reeds, or with fewer

    def tiled(self, times: int) -> Rotation:
        """So many times the same, one after the other: the paths of each can go their own way."""
        found = copy(self)
        for name in (*_OF_REEDS, *_OF_PATHS):
            setattr(found, name, np.concatenate([getattr(self, name)] * times))
        found._last = self._moved(found._last, np.arange(self._size), self._size)
        ways = self._ways
        found._ways = replace(
            ways, liking=np.tile(ways.liking, times), again=np.tile(ways.again, times), on=np.tile(ways.on, times),
            lost=np.tile(ways.lost, (times, 1)),
        )  # fmt: skip
        return found

    def joined(self, reeds: Reeds) -> Rotation:
        """With these reeds, none of them played yet, behind those that are there."""
        fresh, found = Rotation(reeds, self._ways, self._level), copy(self)
        for name in _OF_REEDS:
            parts = [one._by_path(name) for one in (self, fresh)]
            setattr(found, name, _flat(np.concatenate(parts, axis=1)))
        found._size = self._size + fresh._size
        found._last = self._moved(self._last, np.arange(self._size), found._size)
        found._comes = np.minimum(self._comes, fresh._comes)
        found._copy_what_changes()
        return found

    def still(self) -> Rotation:
        """Without those that are gone: on each path the others alone, in their order, as many columns as it takes."""
        alive = self._by_path("_alive")
        size = int(alive.sum(axis=1).max(initial=0))
        kept = np.argsort(np.logical_not(alive), axis=1, kind="stable")[:, :size]
        at = (np.arange(len(kept))[:, None] * self._size + kept).ravel()
        found = copy(self)
        for name in _OF_REEDS:
            setattr(found, name, getattr(self, name)[at])
        found._size = size
        # Where the one played last is now: at the first place that is it, if any.
        same = kept == np.where(self._last >= 0, self._last % max(self._size, 1), -1)[:, None]
        there = same.any(axis=1)
        found._last = np.where(there, np.arange(len(kept)) * size + (same.argmax(axis=1) if size else 0), -1)
        found._comes = self._comes.copy()
        found._copy_what_changes()
        return found

    @property
    def _alive(self) -> BoolArray:
        """Flat: the reeds that are in the case, or come into it."""
        return np.asarray(np.isfinite(self._from_day) & ~self._gone)

    def _copy_what_changes(self) -> None:
        """What of every path is written over as it goes on is its own."""
        for name in ("_owed", "_new_ones", "_passed", "_due"):
            setattr(self, name, getattr(self, name).copy())

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
        """(paths, n): whether a reed is in service: it has been played, and is not gone."""
        to_come = np.isfinite(self._ready) | np.isfinite(self._turn)
        return np.asarray(np.isfinite(self._from_day) & ~to_come & ~self._gone).reshape(len(self._last), self._size)

    def good(self) -> BoolArray:
        """(paths, n): whether a reed is in service, with a form of at least the level."""
        there = self.there().ravel()
        if np.isfinite(self._level):
            there &= self._form >= self._level - _HAIR
        return there.reshape(len(self._last), self._size)

    def untried(self) -> BoolArray:
        """(paths, n): whether a reed lies finished in the case and has not been played yet."""
        return np.asarray(np.isfinite(self._turn)).reshape(len(self._last), self._size)

    def unfinished(self) -> BoolArray:
        """(paths, n): whether a blank that will come good is not finished yet."""
        return np.asarray(np.isfinite(self._ready)).reshape(len(self._last), self._size)

    def gone(self) -> BoolArray:
        """(paths, n): whether a reed that was in service is worn out or lost."""
        return self._gone.reshape(len(self._last), self._size)

    def come(self, day: FloatArray | IntArray) -> None:
        """By this day (paths,) blanks are finished and count among those that wait, as in the past, where nobody saw
        how long they rested; and those that have rested come into the case, and wait for their turn."""
        rows = np.flatnonzero((self._comes <= day) & np.isfinite(self._comes))
        if not len(rows):
            return
        lies, ready = self._lies.reshape(-1, self._size), self._ready.reshape(-1, self._size)
        nth, place = np.nonzero(lies[rows] <= day[rows, None])
        self._lies[rows[nth] * self._size + place] = np.inf
        self._new_ones += np.bincount(rows[nth], minlength=len(self._new_ones))
        nth, place = np.nonzero(ready[rows] <= day[rows, None])
        at = rows[nth] * self._size + place
        self._ready[at] = np.inf
        self._comes[rows] = np.minimum(lies[rows].min(axis=1), ready[rows].min(axis=1))
        self._turn[at] = self._passed[rows[nth]] + self._passes[at]
        self._due[rows] = self._turn.reshape(-1, self._size)[rows].min(axis=1)

    def _sound(self, rows: IntArray, at: IntArray, hours: FloatArray, off: FloatArray) -> FloatArray:
        """Play these reeds, each on another of these paths, for so long at the most. Returns what is left for
        another."""
        before, left = self._played[at], self._left[at]
        lasted = np.minimum(hours * np.where(before < self._new[at], self._ways.part, 1.0), left - before)
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
        self._weight[at] = np.where(over, 0.0, self._liked[at] * self._again[rows])
        return np.asarray(hours - lasted)

    def _note(self, rows: IntArray, at: IntArray, after: FloatArray, off: FloatArray) -> None:
        """The score after a playing, in half points, where one is noted."""
        noted = np.flatnonzero(np.isfinite(off))
        rows, at, after, off = rows[noted], at[noted], after[noted], off[noted]
        true = self._top[at] - self._falls[at] * (self._age[at] + after) ** self._bend[rows]
        step = self._ways.step
        score = np.rint(np.minimum(np.maximum(true + self._noise[rows] * off, 0.0), 10.0) / step) * step
        recent = self._recent[at]
        recent[:, :-1] = recent[:, 1:]
        recent[:, -1] = score
        self._recent[at] = recent
        form = form_of(recent)
        self._form[at] = form
        self._liked[at] = self._liking(form, self._ways.liking[rows]) * self._rare[at]

    def _liking(self, form: FloatArray, liking: FloatArray) -> FloatArray:
        """How readily a reed is taken beside a new one; one without a score is taken as that is."""
        return np.asarray(np.exp(np.where(np.isnan(form), 0.0, (form - self._ways.fresh) * liking)))


def _flat(table: FloatArray) -> FloatArray:
    """A table (paths, n, ...) with one index a reed."""
    return table.reshape(-1, *table.shape[2:])


def form_of(recent: FloatArray) -> FloatArray:
    """The form (...,) by the last three scores (..., 3), nan where there were fewer: their median, nan without any."""
    oldest, older, last = (recent[..., n] for n in range(FORM_OF))
    middle = np.maximum(np.minimum(oldest, older), np.minimum(np.maximum(oldest, older), last))
    two = np.where(np.isnan(older), last, 0.5 * (older + last))
    return np.asarray(np.where(np.isnan(oldest), two, middle))
