"""How much of the playing falls to a reed that lies finished in the case and has not been played yet.

How soon it is taken up goes by how much is played, and by how many others there are and how readily they are taken:
where one reed is played four times in five, a surplus of blanks has to wait. So its wait is told in hours of its share:
of each playing that passes it by, the part that fell to it if it were taken as readily as another of the form that new
ones have. Where a maker does so, by this clock new reeds are taken up at a steady rate (the time change of a point
process: Papangelou 1972, Transactions of the American Mathematical Society 165:483-506).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from itertools import groupby
from math import exp
from typing import NamedTuple

import numpy as np

from reedkin.answers.ready.taking import LOOK_BACK, Look, Taking, goes_on, likings, looks
from reedkin.domain.facts import BENCH_WORK
from reedkin.domain.known import minutes_played
from reedkin.domain.reeds import AT_WORK, Reed


class Shares:
    """The playing on some `reeds` of one instrument in order of their beginning, as shares of those in the case, taken
    up as they were in that quarter of a year, counted back from `now`; `fresh` is the form that a new one has."""

    def __init__(self, reeds: Sequence[Reed], now: datetime, fresh: float | None) -> None:
        waiting = [span for reed in reeds for span in _waited(reed, now)]
        begins, ends = (np.sort([one[place].timestamp() for one in waiting]) for place in (0, 1))
        passed = [_Passed.of(one) for one in (looks(reeds, reeds[0].begun) if reeds else ())]
        quarters = groupby(passed, lambda one: (now - one.at) // LOOK_BACK)
        found = [row for _, some in quarters for row in _rows(tuple(some), fresh or 0.0)]
        self._at, hours, others = np.array(found, dtype=np.float64).reshape(-1, 3).T
        new = np.searchsorted(begins, self._at, side="right") - np.searchsorted(ends, self._at, side="left")
        self._passed = np.concatenate(([0.0], np.cumsum(hours / np.maximum(others + new, 1.0))))

    def let_pass(self, since: datetime, until: datetime, days: int) -> tuple[float, ...]:
        """(days + 1,): the share that a reed which was finished lets pass: at once, after a day, after two, ..., and at
        last until a moment, the playing at which is not among it."""
        moments = [*(since + timedelta(days=day) for day in range(days)), until]
        found = self._passed[np.searchsorted(self._at, [one.timestamp() for one in moments], side="left")]
        return tuple((found - found[0]).tolist())


class _Passed(NamedTuple):
    """A playing: when, for how many hours, and which reed was taken from the case, at place -1 if it was not in it."""

    at: datetime
    hours: float
    taking: Taking

    @classmethod
    def of(cls, one: Look) -> _Passed:
        place = [*one.there].index(one.number) if one.number in one.there else -1
        taking = Taking(tuple(one.there.values()), tuple(n == one.last for n in one.there), place)
        return cls(one.step.at, (minutes_played(one.step.facts) or 0) / 60, taking)


def _rows(some: Sequence[_Passed], fresh: float) -> Iterator[tuple[float, float, float]]:
    """Of playings through which she had the same ways: the moment, the hours, as likely as it was open on which reed
    they were played, and how readily one of those in the case was taken, all together, beside a new one."""
    chosen = [one.taking for one in some if one.taking.taken >= 0 and len(one.taking.form) > 1]
    (liking, likes_last), _ = likings(chosen)
    (on,), (again,) = goes_on(np.array([likes_last]), chosen)
    for at, hours, taking in some:
        readiness = sum(
            (1.0 if form is None else exp((form - fresh) * liking)) * (again if last else 1.0)
            for form, last in zip(taking.form, taking.again, strict=True)
        )
        yield at.timestamp(), hours * (1.0 - on) if any(taking.again) else hours, readiness


def finished(reed: Reed, now: datetime) -> datetime | None:
    """When a blank was last worked on before its first playing, or so far; None where no work on it is noted."""
    found = None
    for step in reed.standing:
        if step.kind == "played" or step.at > now:
            break
        if step.kind in BENCH_WORK and step.after.stage in AT_WORK:
            found = step.at
    return found


def _waited(reed: Reed, now: datetime) -> Iterator[tuple[datetime, datetime]]:
    """From when until when a reed lay finished and not played yet, if it was: one that never came good was not among
    those to choose from."""
    first = reed.first("played")
    until = first.at if first else now
    since = finished(reed, until) if first or reed.at_work else None
    if since is not None and since < until:
        yield since, until
