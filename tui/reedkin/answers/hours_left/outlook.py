"""What a reed in service still has before it: a middle and a range that holds it four times in five.

It goes by the law of the maker's lives, blended with what is believed of lives in general, and by the reed's own
scores, as her worn-out reeds faded. Reeds begun long ago count less, since a hand, a cane and a taste change.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import log2
from pathlib import Path
from typing import NamedTuple

import numpy as np

from reedkin.answers.circle.beginnings import Beginnings, LivesBefore
from reedkin.answers.question import Asked
from reedkin.bench.bench import Bench
from reedkin.domain.figures import plural
from reedkin.domain.reeds import IN_SERVICE, Reed
from reedkin.study.form import marks
from reedkin.study.lives import Life
from reedkin.study.study import Study
from reedkin.survival.arrays import FloatArray
from reedkin.survival.fading import Fading, Scored, ScoreSums, fading_of
from reedkin.survival.life_law import MEDIAN, MEDIAN_SD, LifeLaw, Seen, believed, law_of
from reedkin.survival.makers import UNLIKE

HALF_AFTER = 40
"""A reed counts half when so many that served were begun after it on its instrument (common practice, no source)."""
_LEAST = 0.03
"""A reed that would count less is left out."""
COUNTED = 1 + int(HALF_AFTER * log2(1 / _LEAST))
"""So many reeds of an instrument are not left out."""
OTHERS = 0.3
"""What the scores of another instrument's reed count beside one of the instrument's own."""
_USUALLY_WORN, _ENDS = 0.8, 5
"""The share of ends in service that is wear, and for how many ends of the maker's own that counts (common practice, no
source)."""
HELD = 0.8
"""How often the range is meant to hold."""
_EDGES = np.concatenate(([0.0], np.geomspace(0.1, 150.0, 56)))
_YEAR = 365.25 * 1440
_MIDDLES = 0.5 * (_EDGES[1:] + _EDGES[:-1])


@dataclass(frozen=True, slots=True)
class HoursLeft:
    """
    Hours of playing that a reed still has before it.

    middle   as likely less as more.
    lo, hi   it lies between these four times in five.
    worn     how many worn-out reeds of the instrument it goes by.
    scores   how many scores of this reed.
    before   what other makers' reeds say, where it began with that and not with common practice.
    """

    middle: float
    lo: float
    hi: float
    worn: int
    scores: int
    before: LivesBefore | None = None

    @property
    def usual(self) -> bool:
        """Whether it goes by what reeds usually last and no worn-out reed of the maker's own."""
        return not self.worn


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of the reeds of one instrument: the law of their lives, how they fade, how many were worn out,
    whether lives of other instruments helped out, and what other makers' reeds said before, if not common practice."""

    law: LifeLaw
    fading: Fading
    worn: int
    helped: bool
    before: LivesBefore | None = None


class _KindSeen(NamedTuple):
    """What was seen of an instrument's reeds, which the other instruments go by as well: their lives, the scores of
    those that were worn out, and how many these are."""

    lives: Seen
    scores: ScoreSums
    worn: int


class Outlook:
    """What a log tells of the hours that its reeds have left. What it tells of an instrument is reckoned once."""

    def __init__(self, study: Study, circle: Path | None = None) -> None:
        """`circle`: the folder of other makers' files, None where there is none."""
        self._lives: dict[str, list[Life]] = {}
        for life in sorted(study.lives, key=lambda life: (life.reed.begun, life.reed.id)):
            self._lives.setdefault(life.instrument, []).append(life)
        self._known: dict[str, Known] = {}
        self._by_hours: dict[tuple[str, float, bool], FloatArray] = {}
        self._circle = circle
        self.sight = study.sight
        """Which reeds at work are still there."""
        self._gone = {reed.id for reed in study.sight.unseen}
        self._worn = _share_of_wear(study.lives)

    @classmethod
    def of_bench(cls, bench: Bench) -> Outlook:
        """Reads no more of the log than counts."""
        return cls(Study.of_latest(bench, COUNTED), bench.circle)

    @classmethod
    def of(cls, asked: Asked) -> Outlook:
        """By the study where that was read already; the figures are the same as by what counts alone."""
        return cls(asked.study, asked.bench.circle) if asked.studied else cls.of_bench(asked.bench)

    def known(self, instrument: str) -> Known:
        """What is known of an instrument's reeds, those of the maker's other instruments helping out."""
        if instrument not in self._known:
            own = self._seen.get(instrument, self._of_pairs([]))
            others = [seen for other, seen in self._seen.items() if other != instrument]
            before = self.beginnings.lives(instrument)
            usual = (MEDIAN, MEDIAN_SD) if before is None else (before.half, before.spread)
            unlike = 0.0 if before is None else UNLIKE
            law = law_of(own.lives, *believed([seen.lives for seen in others], *usual), unlike)
            fading = fading_of(sum((seen.scores * OTHERS for seen in others), own.scores))
            self._known[instrument] = Known(law, fading, own.worn, bool(others), before)
        return self._known[instrument]

    def unseen(self, reed: Reed) -> bool:
        """Whether a reed at work must be gone, though nobody wrote it down."""
        return reed.id in self._gone

    def left(self, reed: Reed) -> HoursLeft | None:
        """The hours that a reed in service has left; None for any other."""
        return self.shares(reed)[0] if reed.stage == IN_SERVICE else None

    def shares(self, reed: Reed) -> tuple[HoursLeft, FloatArray]:
        """The hours that a reed has left, and how likely it is that it ends between each two of EDGES."""
        known, given = self.known(reed.instrument), None if reed.of_unknown_age else scored(reed)
        share = self._unscored(reed)
        if given is not None:
            share = share * known.fading.fits(given, reed.now.hours + _MIDDLES)
            share = share / share.sum()
        lo, middle, hi = _quantiles(share, (0.5 - HELD / 2, 0.5, 0.5 + HELD / 2))
        scores = 0 if given is None else len(given.scores)
        return HoursLeft(middle, lo, hi, known.worn, scores, known.before), share

    def _unscored(self, reed: Reed) -> FloatArray:
        """How likely it is that a reed ends between each two of EDGES, its scores left out: the same for all that were
        played as long, of which a seller has many."""
        hours, unknown = reed.now.hours, reed.of_unknown_age
        kind = reed.instrument, hours, unknown
        if kind not in self._by_hours:
            law = self.known(reed.instrument).law
            self._by_hours[kind] = (law.remaining_of_unknown if unknown else law.remaining)(hours, _EDGES)
        return self._by_hours[kind]

    def drawn(
        self, reeds: Sequence[Reed], new: int, instrument: str, paths: int, rng: np.random.Generator
    ) -> FloatArray:
        """(paths, n): the hours that these reeds of an instrument, and so many new ones, have left on each path.

        Each is spread as `shares` says. They are not apart from one another: whether lives are long or short is drawn
        once a path, and a reed has the place among its `shares` that its draw has among all without its scores.
        """
        known = self.known(instrument)
        law = rng.choice(len(known.law.weight), paths, p=known.law.weight)
        columns = []
        for reed in reeds:
            if reed.of_unknown_age:
                place = rng.random(paths)
            else:
                drawn = known.law.drawn(law, reed.now.hours, rng)
                place = np.interp(drawn, _EDGES, _gone(self._unscored(reed)))
            columns.append(np.interp(place, _gone(self.shares(reed)[1]), _EDGES))
        columns += [known.law.drawn(law, 0.0, rng) for _ in range(new)]
        return np.stack(columns, axis=1) if columns else np.zeros((paths, 0))

    def sentence(self, reed: Reed) -> str:
        """The same in words; empty for a reed that is not in service."""
        left = self.left(reed)
        if left is None:
            return ""
        next_one = "now" if left.lo < 1 else f"within {_hours(left.lo)} h of playing"
        span = f"{_hours(left.lo)} to {_hours(left.hi)}"
        return (
            f"about {_hours(left.middle)} h left (four times in five {span}), going by {_basis(left)}. "
            f"Have the next one ready {next_one}."
        )

    def _of_pairs(self, pairs: Sequence[tuple[Life, float]]) -> _KindSeen:
        lives = [life for life, _ in pairs]
        begun = np.array([life.played[0].start for life in lives], dtype=np.float64)
        seen = Seen(
            np.array([life.entry / 60 for life in lives]),
            np.array([life.minutes / 60 for life in lives]),
            np.array([self._worn_out(life) for life in lives], dtype=np.float64),
            np.array([weight for _, weight in pairs]),
            (begun.max(initial=0.0) - begun) / _YEAR,
        )
        return _KindSeen(seen, ScoreSums.of(_scored(pairs)), sum(life.worn_out for life in lives))

    def _worn_out(self, life: Life) -> float:
        """Whether a life ended by wear, 0 or 1; in between where it ended and nobody said by what. To take such for
        reeds that still serve would make lives the longer the more ends are forgotten."""
        return self._worn if life.untold else float(life.worn_out)

    @cached_property
    def beginnings(self) -> Beginnings:
        """What other makers' files say, before any of her own reeds."""
        return Beginnings(self._circle, [life for pairs in self._weighed.values() for life, _ in pairs])

    @cached_property
    def _seen(self) -> dict[str, _KindSeen]:
        return {instrument: self._of_pairs(pairs) for instrument, pairs in self._weighed.items()}

    @cached_property
    def _weighed(self) -> dict[str, list[tuple[Life, float]]]:
        """The lives of each instrument with what each counts."""
        found = {}
        for instrument, lives in self._lives.items():
            pairs = zip(lives, recent(len(lives)), strict=True)
            found[instrument] = [pair for pair in pairs if pair[1] > _LEAST]
        return found


def recent(count: int) -> list[float]:
    """What each of so many reeds in the order of time counts."""
    return [0.5 ** ((count - 1 - place) / HALF_AFTER) for place in range(count)]


def usual_words(lefts: Iterable[HoursLeft | None]) -> list[str]:
    """What the starred figures among these go by, in a line for each kind."""
    starred = [left for left in lefts if left is not None and left.usual]
    said = [f"by {before_words(left.before)}" for left in starred if left.before is not None]
    if any(left.before is None for left in starred):
        said.append("by common practice, lives of 10 to 15 h")
    return [f"* none of yours is worn out yet: {one}" for one in dict.fromkeys(said)]


def before_words(before: LivesBefore) -> str:
    """What other makers' reeds say: "your circle of 7 makers, where half last 12 h"."""
    return f"your circle of {before.makers} makers, where half last {before.half:.0f} h"


def left_words(left: HoursLeft) -> str:
    """Hours left in a sentence: "about 5 h left (2 to 9)"."""
    middle, span = span_words(left).split(" ", 1)
    return f"about {middle} h left {span}"


def span_words(left: HoursLeft) -> str:
    """Hours left in a table: "5 (2 to 9)", with a star where no worn-out reed is behind it."""
    return f"{_hours(left.middle)} ({_hours(left.lo)} to {_hours(left.hi)}){'*' if left.usual else ''}"


def _hours(hours: float) -> str:
    """Hours as near as they can be told: "0.3", "2", "12"."""
    return f"{hours:.1f}" if hours < 0.95 else f"{hours:.0f}"


def _basis(left: HoursLeft) -> str:
    known = f"your {plural(left.worn, 'worn-out reed')}"
    if left.usual:
        known = "what reeds usually last" if left.before is None else before_words(left.before)
    return f"{known} and its {plural(left.scores, 'score')}" if left.scores else known


def _share_of_wear(lives: Iterable[Life]) -> float:
    """Of the ends of which somebody said by what, the share that was wear; beside what is usual."""
    said = [life.worn_out for life in lives if life.cause is not None and not life.untold]
    return (_USUALLY_WORN * _ENDS + sum(said)) / (_ENDS + len(said))


def scored(reed: Reed) -> Scored | None:
    """The scores of a reed, None without any."""
    given = marks(reed)
    return Scored(np.array([one.hours for one in given]), np.array([one.score for one in given])) if given else None


def _gone(share: FloatArray) -> FloatArray:
    """The share that ends before each of EDGES."""
    return np.concatenate(([0.0], np.cumsum(share)))


def _scored(pairs: Iterable[tuple[Life, float]]) -> list[tuple[float, Scored]]:
    """The worn-out reeds with scores: their lives in hours, and the scores."""
    return [
        (
            life.minutes / 60,
            Scored(
                np.array([one.minutes / 60 for one in life.scores]),
                np.array([one.score for one in life.scores]),
                weight,
            ),
        )
        for life, weight in pairs
        if life.worn_out and life.scores
    ]


def _quantiles(share: FloatArray, wanted: Sequence[float]) -> list[float]:
    """The hours that these shares of reeds do not outlast."""
    return [float(hours) for hours in np.interp(wanted, _gone(share), _EDGES)]
