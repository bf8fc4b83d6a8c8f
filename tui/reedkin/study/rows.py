"""Lives as rows (start, stop] on a clock, ready for curves and regressions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from reedkin.study.follow_up import minute
from reedkin.study.lives import MINUTES_IN, Clock, Life
from reedkin.study.playings import BoolArray, FloatArray, IntArray, Playings
from reedkin.survival import RiskSets

_APART = 360
"""Minutes between what is begun on one evening and on another: midnight does not part them."""


@dataclass(frozen=True, eq=False)
class Rows:
    """
    n spells under observation. Times are in the unit of the clock: whole minutes divided, so equal ones stay equal.

    start, stop (n,)   a row is at risk at t when start < t <= stop.
    event (n,)         whether the reed was retired for wear at stop.
    cause (n,)         what ended it at stop; '' where nothing did.
    life, playing (n,) the life it belongs to, and the playing before which what holds in this row was known.
    stratum (n,)       the instrument, as a number.
    evening (n,)       what it was begun with: reeds of one evening share cane, weather and hand.
    """

    start: FloatArray
    stop: FloatArray
    event: BoolArray
    cause: NDArray[np.str_]
    life: IntArray
    playing: IntArray
    stratum: IntArray
    evening: IntArray

    @cached_property
    def risk(self) -> RiskSets:
        """The risk sets, reeds being compared with those of the same instrument only."""
        return RiskSets.of(self.stop, self.event, self.start, self.stratum)

    def reeds(self, mask: BoolArray) -> int:
        """How many reeds the rows chosen by the mask (n,) are of."""
        return len(np.unique(self.life[mask]))


@dataclass(frozen=True, eq=False)
class Stretch:
    """Spells start, stop (m,) with `ended` (m,), where: (m,) the rows that they are cut from."""

    start: FloatArray
    stop: FloatArray
    ended: BoolArray
    where: IntArray


def best_watched(start: FloatArray, stop: FloatArray, ended: BoolArray) -> Stretch:
    """
    The spells cut to the stretch of life that tells most.

    A curve falls to nothing for good where all reeds in view ended, whatever others do that come into view later: two
    that joined the log early and ended before any other was so old, or all but one that joined it older than any. Of
    the stretches between such moments, the one with the most ends is kept.
    """
    risk = RiskSets.of(stop, ended, start)
    emptied = risk.time[(risk.deaths == risk.at_risk) & (risk.time < stop.max(initial=0.0))]
    edges = np.concatenate(([-np.inf], emptied, [np.inf]))
    counts = np.diff(np.searchsorted(np.sort(stop[ended]), edges, side="right"))
    most = int(counts.argmax())
    lo, hi = edges[most], edges[most + 1]
    where = np.flatnonzero((stop > lo) & (start < hi))
    return Stretch(np.maximum(start[where], lo), np.minimum(stop[where], hi), ended[where] & (stop[where] <= hi), where)


def split_rows(lives: Sequence[Life], playings: Playings, clock: Clock) -> Rows:
    """
    One row for each playing. On the clock of hours it is the playing itself; on that of days it runs from the beginning
    of one playing to that of the next, less the time that the reed was out of view.
    """
    order = np.arange(len(playings))
    if clock == "hours":
        start, stop, playing, end = playings.before, playings.after, order, playings.after
    else:
        new = playings.from_new
        returned = new & (playings.back >= 0)
        service = playings.start[playings.first]
        playing = np.concatenate((order[new], order[returned]))
        start = np.concatenate((playings.start[new], playings.back[returned])) - service[playing]
        stop = np.concatenate((playings.until[new], playings.following[returned])) - service[playing]
        chosen = np.flatnonzero(stop > start)
        chosen = chosen[np.lexsort((start[chosen], playings.life[playing[chosen]]))]
        start, stop, playing = start[chosen], stop[chosen], playing[chosen]
        end = playings.following - service
    return _rows(lives, playings, start, stop, playing, end[playings.last], MINUTES_IN[clock])


def whole_rows(split: Rows) -> Rows:
    """The same lives in as few rows as can be: one for each stretch under observation without a gap."""
    if not len(split.life):
        return split
    joins = (split.life[1:] == split.life[:-1]) & (split.start[1:] == split.stop[:-1])
    begins = np.flatnonzero(np.concatenate(([True], ~joins)))
    ends = np.concatenate((begins[1:], [len(split.life)])) - 1
    return Rows(
        split.start[begins], split.stop[ends], split.event[ends], split.cause[ends],
        split.life[begins], split.playing[begins], split.stratum[begins], split.evening[begins],
    )  # fmt: skip


def _rows(
    lives: Sequence[Life],
    playings: Playings,
    start: IntArray,
    stop: IntArray,
    playing: IntArray,
    end: IntArray,
    unit: int,
) -> Rows:
    """Rows from minutes. `end` is, for each playing, when its life ended."""
    life = playings.life[playing]
    # A life may end a moment after its last row does: retired in the minute in which it came back, for one.
    ends = stop == end[playing]
    ends[:-1] &= life[1:] != life[:-1]
    worn = np.array([one.worn_out for one in lives], dtype=bool)
    causes = np.array([one.cause or "" for one in lives], dtype=np.str_)
    instruments = {name: code for code, name in enumerate(dict.fromkeys(one.instrument for one in lives))}
    stratum = np.array([instruments[one.instrument] for one in lives], dtype=np.int64)
    return Rows(
        start=start / unit,
        stop=stop / unit,
        event=ends & worn[life],
        cause=np.where(ends, causes[life], ""),
        life=life,
        playing=playing,
        stratum=stratum[life],
        evening=_evenings(lives)[life],
    )


def _evenings(lives: Sequence[Life]) -> IntArray:
    """For each life, the evening on which its reed was begun, as a number: what begins six hours or more after the one
    before is of another. A reed that joined the log was made nobody knows when, and has one for itself."""
    begun = np.array([minute(life.reed.begun) for life in lives], dtype=np.int64)
    joined = np.array([life.reed.joined for life in lives], dtype=bool)
    order = np.lexsort((begun, joined))
    another = np.concatenate(([True], (np.diff(begun[order]) >= _APART) | joined[order][1:]))
    evenings = np.empty(len(lives), dtype=np.int64)
    evenings[order] = np.cumsum(another[: len(lives)])
    return evenings
