"""Reeds that the log still has at work, though nothing has been written of them for so long that they must be gone.

The end of a reed is what is forgotten first: it goes into the bin, and the notebook lies elsewhere. The log then has it
in the case for ever, ready for the next concert. So a reed of which nothing was written for longer than nearly any that
was taken up again is not counted on, and is asked about.

How long is counted not in days but in days on which the others went on: a reed in service by days on which any of its
instrument was played, a blank by days on which blanks were worked on. So a summer without playing, or an instrument
that is wanted twice a year, makes no reed unseen. The maker's own reeds say what is long; before there are enough of
them, common practice does. A reed that is saved for something is meant to lie. Writing anything of a reed, were it a
note, shows that it is there.

Of invented logs in which four ends in ten were never written down, it finds 588 of 811 such reeds and blanks, and takes
2 for gone that were played again later.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right, insort
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from itertools import pairwise
from math import inf
from typing import NamedTuple

from reedkin.bench.bench import Bench
from reedkin.domain.clock import day_beside
from reedkin.domain.facts import BENCH_WORK
from reedkin.domain.reeds import IN_SERVICE, Reed
from reedkin.domain.words import NOT_KNOWN
from reedkin.study.latest import latest_reeds

_THERE, _KEEPS = timedelta(days=60), timedelta(days=180)
"""A reed in service, or a blank, of which something was written since is there: blanks are kept in store (common
practice, no source)."""
_FEWEST, _USUAL = 20, 40
"""The fewest such days that are long; and what is long for a maker with few reeds (common practice, no source)."""
_NEARLY_ALL, _TIMES = 0.95, 1.5
"""Longer than the longest rest of so many of her reeds that were taken up again, and that by so much."""
_FEW, _ENOUGH = 10, 20
"""Fewer reeds than these tell nothing of what is long; so many rests of good reeds tell how long these lie."""
_LATEST = 100
"""So many reeds of an instrument are looked at, the latest."""
_GONE_ON = frozenset(("tied", "played", *BENCH_WORK))
"""What shows that others were gone on with."""

_Kind = tuple[str, bool]
"""An instrument, and whether of its reeds in service or of its blanks."""


class _Rest(NamedTuple):
    """The days on which something was written of a reed before a rest and after it, and how it had scored before."""

    first: date
    last: date
    score: float | None

    def length(self, days: Sequence[date]) -> int:
        """On how many of these days the others went on meanwhile."""
        return _between(days, self.first, self.last)


@dataclass(slots=True)
class _Custom:
    """How an instrument's blanks, or its reeds in service, are gone on with: the days on which any was, and the rests
    of each."""

    active: set[date] = field(default_factory=set)
    rests: list[list[_Rest]] = field(default_factory=list)

    def as_long(self, days: Sequence[date], asked: Sequence[tuple[int, float | None]]) -> list[int]:
        """For each of those that have lain for so long and had such a score: how many rests were as long, of reeds that
        had scored at least as well; of all where these are few. The rests are gone through once, from the best."""
        told = [(rest.length(days), rest.score) for rests in self.rests for rest in rests]
        every = sorted(length for length, _ in told)
        best = sorted(((score, length) for length, score in told if score is not None), reverse=True)
        found, as_good, place = [0] * len(asked), list[int](), 0
        for n in sorted(range(len(asked)), key=lambda n: _or_least(asked[n][1]), reverse=True):
            lain, score = asked[n]
            while score is not None and place < len(best) and best[place][0] >= score:
                insort(as_good, best[place][1])
                place += 1
            among = as_good if score is not None and len(as_good) >= _ENOUGH else every
            found[n] = len(among) - bisect_left(among, lain)
        return found

    def limit(self, days: Sequence[date]) -> float:
        """More days on which the others went on than this are too long; `days` are those days, ascending."""
        longest = sorted(max(rest.length(days) for rest in rests) for rests in self.rests)
        if len(longest) < _FEW:
            return _USUAL
        return max(_TIMES * longest[int(_NEARLY_ALL * len(longest))], _FEWEST)


@dataclass(frozen=True, slots=True)
class Sight:
    """
    unseen  the reeds at work that must be gone, though nobody wrote it down, oldest first.
    doubt   by id, how likely any other reed in service is gone; one that is not named is there.
    """

    unseen: tuple[Reed, ...] = ()
    doubt: Mapping[str, float] = field(default_factory=dict)


def sight_of(bench: Bench) -> Sight:
    """What is still there. Reads the lineages of what is at work, and of the latest reeds that were played."""
    now = bench.clock.now()
    at_work = bench.at_work()
    silent = [reed for reed in at_work if _may_be_gone(reed, now)]
    if not silent and not any(reed.stage == IN_SERVICE for reed in at_work):
        return Sight()
    ways: dict[_Kind, _Custom] = defaultdict(_Custom)
    latest = latest_reeds(bench, _LATEST, lambda heading: heading.played or heading.handed)
    for reed in {reed.id: reed for reed in (*at_work, *latest)}.values():
        _learn(reed, ways, now)
    days = {kind: sorted(found.active) for kind, found in ways.items()}
    limits = {kind: found.limit(days[kind]) for kind, found in ways.items()}

    def lain(reed: Reed) -> int:
        return _between(days.get(_kind(reed), ()), day_beside(reed.last.at, now), now.date())

    unseen = tuple(reed for reed in silent if lain(reed) > limits.get(_kind(reed), _USUAL))
    gone, doubt = {reed.id for reed in unseen}, dict[str, float]()
    untold = Counter(reed.instrument for reed in latest if reed.id in gone or reed.now.cause == NOT_KNOWN)
    doubted: dict[_Kind, list[Reed]] = defaultdict(list)
    for reed in at_work:
        if reed.stage == IN_SERVICE and untold[reed.instrument] and reed.id not in gone and not _is_saved(reed, now):
            doubted[_kind(reed)].append(reed)
    for kind, reeds in doubted.items():
        as_long = ways[kind].as_long(days[kind], [(lain(reed), reed.now.score) for reed in reeds])
        for reed, rests in zip(reeds, as_long, strict=True):
            doubt[reed.id] = _doubt(rests, untold[reed.instrument])
    return Sight(unseen, doubt)


def _or_least(score: float | None) -> float:
    return -inf if score is None else score


def _kind(reed: Reed) -> _Kind:
    return reed.instrument, reed.stage == IN_SERVICE


def _doubt(as_long: int, untold: int) -> float:
    """
    The chance that a reed is gone which has lain for some time. By Bayes' rule its odds are those of a playing that was
    the last (`untold` of them, which nobody told, or only when nobody knew any more how it ended) to one that was
    followed by another after a rest `as_long`; half a rest stands for those that were never seen.
    """
    return untold / (untold + as_long + 0.5)


def _may_be_gone(reed: Reed, now: datetime) -> bool:
    return not _is_saved(reed, now) and now - reed.last.at > (_THERE if reed.stage == IN_SERVICE else _KEEPS)


def _is_saved(reed: Reed, now: datetime) -> bool:
    return reed.now.saved_on(now.date()) is not None


def _learn(reed: Reed, ways: dict[_Kind, _Custom], now: datetime) -> None:
    """Take in when a reed was gone on with. That it was retired, or came back from somebody, tells nothing of rests;
    that it was sold shows that it was there."""
    rests: dict[bool, list[_Rest]] = {False: [], True: []}
    days = [day_beside(step.at, now) for step in reed.standing]
    for (before, after), (first, last) in zip(pairwise(reed.standing), pairwise(days), strict=True):
        if after.kind not in ("retired", "returned"):
            rests[before.after.stage == IN_SERVICE].append(_Rest(first, last, before.after.score))
    for step, day in zip(reed.standing, days, strict=True):
        if step.kind in _GONE_ON and step.at <= now:
            ways[reed.instrument, step.kind == "played"].active.add(day)
    for serving, own in rests.items():
        if own:
            ways[reed.instrument, serving].rests.append(own)


def _between(days: Sequence[date], first: date, last: date) -> int:
    """How many of these days, ascending, lie after one and before another."""
    return max(bisect_left(days, last) - bisect_right(days, first), 0)
