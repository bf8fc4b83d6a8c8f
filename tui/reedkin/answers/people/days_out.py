"""How long a reed that is with somebody else is likely to serve, in days.

Its days are counted from when it went out, or from its first playing where it served here before. The law is that of
the maker's own lives by days (see `survival.life_law`), blended with what is believed of them in general: a month, as
players say (common practice, no source). Lives of reeds that are out go on to the last news of them: an end that was
reported, or a day on which they were said to serve. What nobody reported of is not known to serve, so it is reckoned on
from the last news. Those who have a reed report its end more readily than that it goes on, which makes lives look
shorter than they are: a reason to have the next one ready rather early.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property
from itertools import chain
from math import log

import numpy as np

from reedkin.answers.people.news import Hearsay, news_of
from reedkin.bench.bench import Bench
from reedkin.bench.deliveries import Delivery
from reedkin.domain.reeds import Reed, end_is_wear
from reedkin.study.follow_up import minute
from reedkin.study.lives import Life, lives_of
from reedkin.survival.life_law import MEDIAN, LifeLaw, Seen, law_of

USUAL_DAYS, SPREAD = 30.0, 0.6
"""The believed median life in days, and the standard deviation of its logarithm (common practice, no source)."""
LATEST = 120
"""So many of the latest reeds tell how long lives are, beside those that were handed over."""
HELD = 0.8
"""How often the range is meant to hold."""
_UNIT = USUAL_DAYS / MEDIAN
_DAY = 1440
_ROUGH = 20.0
"""From such an age in days on half a day matters no more."""
_EDGES = np.concatenate(([0.0], np.geomspace(0.05, 400.0, 160)))


@dataclass(frozen=True, slots=True)
class LikelyEnd:
    """When a reed's life is likely to end: as likely before `middle` as after; between `lo` and `hi` four times in
    five. `worn` lives that ended are behind it."""

    middle: datetime
    lo: datetime
    hi: datetime
    worn: int


class DaysOut:
    """What a log tells of lives in days. Reads the latest reeds and those that were ever handed over."""

    def __init__(self, bench: Bench, out: Sequence[Delivery]) -> None:
        self._news = {one.reed.id: news_of(one) for one in out}
        latest = (bench.reed(one.reed) for one in bench.headings.latest(LATEST))
        reeds = {reed.id: reed for reed in chain(latest, (one.reed for one in out))}
        self._out = {one.reed.id: one for one in out}
        self._lives = {life.reed.id: life for life in lives_of(reeds.values(), bench.clock.now())}
        self._laws: dict[str, tuple[LifeLaw, int]] = {}
        self._left: dict[tuple[str, float], tuple[float, float, float]] = {}
        """The days that reeds of an instrument and an age have left: the middle, and the range."""

    def likely_end(self, one: Delivery) -> LikelyEnd:
        """When a reed that is out is likely to end, going by the last news of it."""
        law, worn = self._law(one.reed.instrument)
        since = self._news[one.reed.id].served
        age = max((minute(since) - self._begun(one)) / _DAY, 0.0)
        which = one.reed.instrument, _rounded(age)
        if which not in self._left:
            gone = np.concatenate(([0.0], np.cumsum(law.remaining(which[1] / _UNIT, _EDGES))))
            days = np.interp((0.5, 0.5 - HELD / 2, 0.5 + HELD / 2), gone, _EDGES * _UNIT).tolist()
            self._left[which] = (days[0], days[1], days[2])
        middle, first, last = (since + timedelta(days=days) for days in self._left[which])
        return LikelyEnd(middle, first, last, worn)

    def _begun(self, one: Delivery) -> int:
        life = self._lives.get(one.reed.id)
        return minute(one.at) if life is None else life.played[0].start

    def _law(self, instrument: str) -> tuple[LifeLaw, int]:
        if instrument not in self._laws:
            days = [pair for pair in self._spans if pair[0] == instrument]
            stop = np.array([stop for _, stop, _ in days], dtype=np.float64) / _UNIT
            ended = np.array([ended for _, _, ended in days], dtype=np.float64)
            seen = Seen(np.zeros(len(days)), stop, ended, np.ones(len(days)))
            self._laws[instrument] = law_of(seen, MEDIAN, SPREAD), int(ended.sum())
        return self._laws[instrument]

    @cached_property
    def _spans(self) -> list[tuple[str, float, bool]]:
        """Instrument, days of service, and whether the life ended, of every life that is known from its beginning."""
        found = []
        for reed, life in self._lives.items():
            if life.entry == 0 and reed not in self._out:
                found.append((life.instrument, _days(life), life.worn_out))
        for one in self._out.values():
            news = self._news[one.reed.id]
            stop = (minute(news.ended or news.served) - self._begun(one)) / _DAY
            unknown = one.reed.joined and one.reed.id in self._lives
            if stop > 0 and not unknown:
                found.append((one.reed.instrument, stop, news.ended is not None and end_is_wear(news.cause)))
        return [one for one in found if one[1] > 0]


def _rounded(age: float) -> float:
    """An age in days, to half a day and a twentieth of it: so few are told apart that a thousand reeds take no longer
    than a hundred."""
    return round(age * 2) / 2 if age < _ROUGH else float(_ROUGH * 1.05 ** round(log(age / _ROUGH, 1.05)))


def _days(life: Life) -> float:
    last = life.played[-1]
    end = last.following if life.worn_out else last.until
    return (end - life.played[0].start) / _DAY


def still_out(found: Iterable[Delivery]) -> list[Delivery]:
    """The reeds that are with somebody else now."""
    return [one for one in found if one.came_back is None]


def news_by_reed(out: Sequence[Delivery]) -> dict[str, Hearsay]:
    return {one.reed.id: news_of(one) for one in out}


def hours_before(reed: Reed, at: datetime) -> float:
    """Hours that a reed had been played when it went out."""
    return reed.was(at).hours
