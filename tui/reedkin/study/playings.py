"""All playings of many lives as columns, for what habits in use are reckoned from."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from statistics import median

import numpy as np
from numpy.typing import NDArray

from reedkin.study.lives import Life
from reedkin.study.ticks import Tick, no_tick

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]

EARLY_HOURS = 3.0
"""The first hours of a reed: up to so many of playing."""

LAG_HOURS = 8.0
"""What was done to a reed in so many playing hours before its end may follow from that. By simulation, where failing
reeds are rested, spared and touched up, and no habit has any effect: without it, 95 to 98 logs in a hundred raise an
alarm at 5%; with it, 4 or 5. Where reeds last 40 hours, 9 of 12 do with eight and 2 with half of a life."""
_FEWEST = 5
"""So many worn-out reeds say how long a usual life is."""

_FAR = 1 << 40
"""More minutes than any log spans: keeps the reeds apart where all are searched at once."""


@dataclass(frozen=True, eq=False)
class Playings:
    """
    The n playings of some lives, each life's together and in order. All arrays are (n,).

    life              the place of its life. first: the place of its life's first playing.
    start, stop       minutes since the epoch; before, minutes: minutes of playing before it and in it.
    setting           its word, or '' if it was not noted.
    first_score       the first score the reed was given (nan if none was), after first_score_at minutes of playing.
    early_score       the mean of the scores that it was given in its first hours; nan if none was.
    touched, cleaned  whether the reed was, since the playing before.
    entry             minutes the reed had been played when observation began.
    until, back, following  as for `Played`; back is -1 for None.
    lag               so many minutes of playing the reed may have been failing before its end (`_lags`).
    """

    life: IntArray
    first: IntArray
    start: IntArray
    stop: IntArray
    before: IntArray
    minutes: IntArray
    setting: NDArray[np.str_]
    first_score: FloatArray
    first_score_at: IntArray
    early_score: FloatArray
    touched: BoolArray
    cleaned: BoolArray
    entry: IntArray
    until: IntArray
    back: IntArray
    following: IntArray
    lag: IntArray

    @classmethod
    def of(cls, lives: Sequence[Life], tick: Tick = no_tick) -> Playings:
        """The playings of these lives."""
        counts = np.fromiter((len(life.played) for life in lives), dtype=np.int64, count=len(lives))
        begin = np.cumsum(counts) - counts
        every = [played for life in lives for played in life.played]

        def whole(values: Iterable[int]) -> IntArray:
            tick(0.5)
            return np.fromiter(values, dtype=np.int64, count=len(every))

        return cls(
            life=np.repeat(np.arange(len(lives)), counts),
            first=np.repeat(begin, counts),
            start=whole(one.start for one in every),
            stop=whole(one.stop for one in every),
            before=whole(one.before for one in every),
            minutes=whole(one.minutes for one in every),
            setting=np.array([one.setting or "" for one in every], dtype=np.str_),
            first_score=np.repeat([life.scores[0].score if life.scores else np.nan for life in lives], counts),
            first_score_at=np.repeat([life.scores[0].minutes if life.scores else 0 for life in lives], counts),
            early_score=np.repeat([_early_score(life) for life in lives], counts),
            touched=np.array([one.touched for one in every], dtype=np.bool_),
            cleaned=np.array([one.cleaned for one in every], dtype=np.bool_),
            entry=np.repeat(np.array([life.entry for life in lives], dtype=np.int64), counts),
            until=whole(one.until for one in every),
            back=whole(-1 if one.back is None else one.back for one in every),
            following=whole(one.following for one in every),
            lag=np.repeat(np.array(_lags(lives), dtype=np.int64), counts),
        )

    def __len__(self) -> int:
        return len(self.life)

    @cached_property
    def number(self) -> IntArray:
        """Playings of the same reed before it, those before the log not counted."""
        return np.arange(len(self)) - self.first

    @cached_property
    def last(self) -> IntArray:
        """The place of its life's last playing."""
        return self.first + np.bincount(self.life)[self.life] - 1

    @property
    def after(self) -> IntArray:
        """Minutes of playing after it."""
        return self.before + self.minutes

    @property
    def from_new(self) -> BoolArray:
        """Whether all that the reed has been through is known."""
        return np.equal(self.entry, 0)

    def so_far(self, values: FloatArray) -> FloatArray:
        """For each playing the sum of `values` over the reed's playings before it."""
        running = np.concatenate(([0.0], np.cumsum(values)))
        return running[:-1] - running[self.first]

    def largest_so_far(self, values: IntArray) -> FloatArray:
        """For each playing the largest of `values` (0 or more) of the reed's playings before it; nan for the first."""
        raised = self.life * _FAR + values
        largest = np.concatenate(([0], np.maximum.accumulate(raised)[:-1])) - self.life * _FAR
        return np.where(self.number == 0, np.nan, largest)

    def counted_until(self, values: FloatArray, minutes_played: IntArray) -> FloatArray:
        """For each playing the sum of `values` over those of the reed's playings, itself among them, that began with at
        most `minutes_played` minutes of playing behind them."""
        place = np.searchsorted(self.life * _FAR + self.before, self.life * _FAR + minutes_played, side="right")
        running = np.concatenate(([0.0], np.cumsum(values)))
        return running[np.maximum(place, self.first)] - running[self.first]

    def as_it_stood(self, values: FloatArray, minutes_ago: IntArray) -> FloatArray:
        """For each playing the value that was known before the latest of the reed's playings that began at least so
        many (n,) minutes of playing earlier; nan where there is none. So what was done since does not count."""
        sought = self.life * _FAR + np.maximum(self.before - minutes_ago, -1)
        place = np.searchsorted(self.life * _FAR + self.before, sought, side="right") - 1
        return np.where(place >= self.first, values[np.maximum(place, 0)], np.nan)

    def mean_so_far(self, values: FloatArray) -> FloatArray:
        """For each playing the mean of the values known before it and before the reed's earlier ones; nan where none
        was known."""
        known = ~np.isnan(values)
        counts = self._up_to(known.astype(np.float64))
        return np.where(counts > 0, self._up_to(np.where(known, values, 0.0)) / np.maximum(counts, 1), np.nan)

    def _up_to(self, values: FloatArray) -> FloatArray:
        """For each playing the sum of `values` over it and the reed's playings before it."""
        return self.so_far(values) + values

    def within(self, values: FloatArray, window: int) -> FloatArray:
        """For each playing the sum of `values` over the reed's playings before it that ended in the `window` minutes
        before it began."""
        # Stops do not always ascend: a playing may be entered with the wrong time.
        ends = np.maximum.accumulate(self.life * _FAR + self.stop)
        place = np.searchsorted(ends, self.life * _FAR + self.start - window, side="left")
        running = np.concatenate(([0.0], np.cumsum(values)))
        here = np.arange(len(self))
        return running[here] - running[np.clip(place, self.first, here)]


def _lags(lives: Sequence[Life]) -> list[int]:
    """For each life LAG_HOURS in minutes, or half of a usual life on its instrument, if that is longer: a reed that
    lasts long fails for long."""
    worn: dict[str, list[int]] = {}
    for life in lives:
        if life.worn_out:
            worn.setdefault(life.instrument, []).append(life.minutes)
    usual = {kind: median(minutes) for kind, minutes in worn.items() if len(minutes) >= _FEWEST}
    return [max(round(LAG_HOURS * 60), round(usual.get(life.instrument, 0) / 2)) for life in lives]


def _early_score(life: Life) -> float:
    """The mean of the scores of a reed's first hours: one score is as good as the day, and hers go up and down."""
    early = [one.score for one in life.scores if one.minutes <= EARLY_HOURS * 60]
    return sum(early) / len(early) if early else float("nan")
