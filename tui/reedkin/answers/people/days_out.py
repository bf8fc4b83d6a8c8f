"""How long a reed that is with somebody else is likely to serve, in days.

Its days are counted from when it went out, or from its first playing where it served here before. The law is that of
the maker's own lives by days and of those with others (see `survival.life_law`), blended with what is believed of them
in general: a month, as players say (common practice, no source). Each person's reeds say most of that person's next
one, and less of others': some play two hours a day and some twenty minutes. Lives of reeds that are out go on to the
last news of them: an end that was reported, or a day on which they were said to serve. What nobody reported of is not
known to serve, so its end is reckoned on from the last news.

Those who have a reed report its end more readily than that it goes on; and a reed that was replaced before its end is
never heard of again. If only what is heard counted, lives would look the shorter the sooner reeds are replaced, and
reeds would be replaced the sooner the shorter lives look. So silence counts, too (see `silence`).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property
from itertools import chain
from math import log
from typing import NamedTuple

import numpy as np

from reedkin.answers.people.news import Hearsay, news_of
from reedkin.answers.people.silence import silences_of
from reedkin.bench.bench import Bench
from reedkin.bench.deliveries import Delivery, order_key
from reedkin.domain.reeds import Reed, end_is_wear
from reedkin.study.follow_up import DAY, minute
from reedkin.study.lives import Life, lives_of
from reedkin.survival.life_law import MEDIAN, LifeLaw, Seen, laws_among

USUAL_DAYS, SPREAD = 30.0, 0.6
"""The believed median life in days, and the standard deviation of its logarithm (common practice, no source)."""
APART = 0.35
"""How far lives with one and with another lie apart: the standard deviation of the logarithm of their medians, since
some play two hours a day and some twenty minutes (common practice, no source)."""
LATEST = 120
"""So many of the latest reeds tell how long lives are, beside those that were handed over."""
HELD = 0.8
"""How often the range is meant to hold."""
_UNIT = USUAL_DAYS / MEDIAN
_HERS = " "
"""Who has what was never handed over: the maker herself, beside the names of others."""
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
        self._laws: dict[str, _LawsWithEach] = {}
        self._left: dict[tuple[str, str, float], tuple[float, float, float]] = {}
        """The days that reeds of an instrument and an age have left: the middle, and the range."""

    def likely_end(self, one: Delivery) -> LikelyEnd:
        """When a reed that is out is likely to end, going by the last news of it."""
        known = self._known(one.reed.instrument)
        who = _who(one)
        since = self._news[one.reed.id].served
        which = one.reed.instrument, who if who in known.laws else "", _rounded(self._age(one, since))
        if which not in self._left:
            law = known.laws.get(who, known.shared)
            gone = np.concatenate(([0.0], np.cumsum(law.remaining(which[2] / _UNIT, _EDGES))))
            days = np.interp((0.5, 0.5 - HELD / 2, 0.5 + HELD / 2), gone, _EDGES * _UNIT).tolist()
            self._left[which] = (days[0], days[1], days[2])
        middle, first, last = (since + timedelta(days=days) for days in self._left[which])
        return LikelyEnd(middle, first, last, known.worn)

    def _begun(self, one: Delivery) -> int:
        life = self._lives.get(one.reed.id)
        return minute(one.at) if life is None else life.played[0].start

    def _known(self, instrument: str) -> _LawsWithEach:
        if instrument not in self._laws:
            by: dict[str, list[tuple[float, ...]]] = defaultdict(list)
            for one in self._spans:
                if one.instrument == instrument:
                    by[one.who].append((0.0, one.stop / _UNIT, one.ended, one.weight))
            each = [Seen(*np.array(spans, dtype=np.float64).T) for spans in by.values()]
            laws, shared = laws_among(each, MEDIAN, SPREAD, APART)
            worn = sum(int(seen.ended.sum()) for seen in each)
            self._laws[instrument] = _LawsWithEach(dict(zip(by, laws, strict=True)), shared, worn)
        return self._laws[instrument]

    @cached_property
    def _spans(self) -> list[_InView]:
        """What was seen of every life that is known from its beginning."""
        found = []
        for reed, life in self._lives.items():
            if life.entry == 0 and reed not in self._out:
                found.append(_InView(life.instrument, _HERS, _days(life), life.worn_out, 1.0))
        silences = silences_of(self._out.values(), self._news)
        for one in self._out.values():
            if one.reed.joined and one.reed.id in self._lives:
                continue
            kind, who, news = one.reed.instrument, _who(one), self._news[one.reed.id]
            if news.ended is not None:
                found.append(_InView(kind, who, self._age(one, news.ended), end_is_wear(news.cause), 1.0))
            elif (silence := silences.get(one.reed.id)) is not None:
                until = max(news.served, silence.until)
                found.append(_InView(kind, who, self._age(one, until), False, silence.weight))
        return [one for one in found if one.stop > 0.0]

    def _age(self, one: Delivery, at: datetime) -> float:
        return max((minute(at) - self._begun(one)) / DAY, 0.0)


@dataclass(frozen=True, slots=True)
class _LawsWithEach:
    """What is known of lives on an instrument: the law with each person, that with anybody else, and how many ends are
    behind all of them."""

    laws: Mapping[str, LifeLaw]
    shared: LifeLaw
    worn: int


class _InView(NamedTuple):
    """With whom a reed for an instrument was, the days of its life that were in view, whether it ended then, and for
    how much it counts."""

    instrument: str
    who: str
    stop: float
    ended: bool
    weight: float


def _who(one: Delivery) -> str:
    """Who has a reed; of one that went nobody knows where, nobody who has another."""
    return order_key(one.to) or one.reed.id


def _rounded(age: float) -> float:
    """An age in days, to half a day and a twentieth of it: so few are told apart that a thousand reeds take no longer
    than a hundred."""
    return round(age * 2) / 2 if age < _ROUGH else float(_ROUGH * 1.05 ** round(log(age / _ROUGH, 1.05)))


def _days(life: Life) -> float:
    last = life.played[-1]
    end = last.following if life.worn_out else last.until
    return (end - life.played[0].start) / DAY


def still_out(found: Iterable[Delivery]) -> list[Delivery]:
    """The reeds that are with somebody else now."""
    return [one for one in found if one.came_back is None]


def news_by_reed(out: Sequence[Delivery]) -> dict[str, Hearsay]:
    return {one.reed.id: news_of(one) for one in out}


def hours_before(reed: Reed, at: datetime) -> float:
    """Hours that a reed had been played when it went out."""
    return reed.was(at).hours
