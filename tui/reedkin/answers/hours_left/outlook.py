"""What a reed in service still has before it: a middle and a range that holds it four times in five.

It goes by the law of the maker's lives, blended with what is believed of lives in general, and by the reed's own
scores, as her worn-out reeds faded. Reeds begun long ago count less, since a hand, a cane and a taste change.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import log2

import numpy as np

from reedkin.answers.question import Asked
from reedkin.bench.bench import Bench
from reedkin.domain.describe import plural
from reedkin.domain.reeds import IN_SERVICE, Reed
from reedkin.study.form import marks
from reedkin.study.lives import Life, latest_lives
from reedkin.study.study import Study
from reedkin.survival.arrays import FloatArray
from reedkin.survival.fading import Fading, Scored, fading_of
from reedkin.survival.life_law import LifeLaw, Seen, believed, law_of

HALF_AFTER = 25
"""A reed counts half when so many that served were begun after it on its instrument (common practice, no source)."""
_LEAST = 0.03
"""A reed that would count less is left out."""
_COUNTED = 1 + int(HALF_AFTER * log2(1 / _LEAST))
"""So many reeds of an instrument are not left out."""
OTHERS = 0.3
"""What the scores of another instrument's reed count beside one of the instrument's own."""
HELD = 0.8
"""How often the range is meant to hold."""
_EDGES = np.concatenate(([0.0], np.geomspace(0.1, 150.0, 56)))
_MIDDLES = 0.5 * (_EDGES[1:] + _EDGES[:-1])


@dataclass(frozen=True, slots=True)
class HoursLeft:
    """
    Hours of playing that a reed still has before it.

    middle   as likely less as more.
    lo, hi   it lies between these four times in five.
    worn     how many worn-out reeds of the instrument it goes by.
    scores   how many scores of this reed.
    """

    middle: float
    lo: float
    hi: float
    worn: int
    scores: int

    @property
    def usual(self) -> bool:
        """Whether it goes by what reeds usually last and no worn-out reed of the maker's own."""
        return not self.worn


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of the reeds of one instrument: the law of their lives, how they fade, how many were worn out, and
    whether lives of other instruments helped out."""

    law: LifeLaw
    fading: Fading
    worn: int
    helped: bool


class Outlook:
    """What a log tells of the hours that its reeds have left. What it tells of an instrument is reckoned once."""

    def __init__(self, study: Study) -> None:
        self._lives: dict[str, list[Life]] = {}
        for life in sorted(study.lives, key=lambda life: (life.reed.begun, life.reed.id)):
            self._lives.setdefault(life.instrument, []).append(life)
        self._known: dict[str, Known] = {}

    @classmethod
    def of_bench(cls, bench: Bench) -> Outlook:
        """Reads no more of the log than counts."""
        return cls(Study(latest_lives(bench, _COUNTED), ()))

    @classmethod
    def of(cls, asked: Asked) -> Outlook:
        """By the study where that was read already; the figures are the same as by what counts alone."""
        return cls(asked.study) if asked.studied else cls.of_bench(asked.bench)

    def known(self, instrument: str) -> Known:
        """What is known of an instrument's reeds, those of the maker's other instruments helping out."""
        if instrument not in self._known:
            own = self._weighed.get(instrument, [])
            others = [pairs for other, pairs in self._weighed.items() if other != instrument]
            scored = [*_scored(own), *_scored((pair for pairs in others for pair in pairs), OTHERS)]
            law = law_of(_seen(own), *believed([_seen(pairs) for pairs in others]))
            self._known[instrument] = Known(law, fading_of(scored), sum(life.worn_out for life, _ in own), bool(others))
        return self._known[instrument]

    def left(self, reed: Reed) -> HoursLeft | None:
        """The hours that a reed in service has left; None for any other."""
        return self.shares(reed)[0] if reed.stage == IN_SERVICE else None

    def shares(self, reed: Reed) -> tuple[HoursLeft, FloatArray]:
        """The hours that a reed has left, and how likely it is that it ends between each two of EDGES."""
        known, given = self.known(reed.instrument), None if of_unknown_age(reed) else scored(reed)
        share = _unscored(known, reed)
        if given is not None:
            share = share * known.fading.fits(given, reed.now.hours + _MIDDLES)
            share = share / share.sum()
        lo, middle, hi = _quantiles(share, (0.5 - HELD / 2, 0.5, 0.5 + HELD / 2))
        return HoursLeft(middle, lo, hi, known.worn, 0 if given is None else len(given.scores)), share

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
            if of_unknown_age(reed):
                place = rng.random(paths)
            else:
                drawn = known.law.drawn(law, reed.now.hours, rng)
                place = np.interp(drawn, _EDGES, _gone(_unscored(known, reed)))
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


USUAL = "none of yours is worn out yet: by common practice, lives of 10 to 15 h"
"""What a starred figure goes by."""


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
    known = "what reeds usually last" if left.usual else f"your {plural(left.worn, 'worn-out reed')}"
    return f"{known} and its {plural(left.scores, 'score')}" if left.scores else known


def _seen(pairs: Sequence[tuple[Life, float]]) -> Seen:
    lives = [life for life, _ in pairs]
    return Seen(
        np.array([life.entry / 60 for life in lives]),
        np.array([life.minutes / 60 for life in lives]),
        np.array([life.worn_out for life in lives], dtype=np.float64),
        np.array([weight for _, weight in pairs]),
    )


def scored(reed: Reed) -> Scored | None:
    """The scores of a reed, None without any."""
    given = marks(reed)
    return Scored(np.array([one.hours for one in given]), np.array([one.score for one in given])) if given else None


def of_unknown_age(reed: Reed) -> bool:
    """Whether it joined the log when it had been played for nobody knows how long."""
    return reed.joined and "hours_before" not in reed.steps[0].facts


def _unscored(known: Known, reed: Reed) -> FloatArray:
    """How likely it is that a reed ends between each two of EDGES, its scores left out."""
    law = known.law.remaining_of_unknown if of_unknown_age(reed) else known.law.remaining
    return law(reed.now.hours, _EDGES)


def _gone(share: FloatArray) -> FloatArray:
    """The share that ends before each of EDGES."""
    return np.concatenate(([0.0], np.cumsum(share)))


def _scored(pairs: Iterable[tuple[Life, float]], share: float = 1.0) -> list[tuple[float, Scored]]:
    """The worn-out reeds with scores: their lives in hours, and the scores."""
    return [
        (
            life.minutes / 60,
            Scored(
                np.array([one.minutes / 60 for one in life.scores]),
                np.array([one.score for one in life.scores]),
                weight * share,
            ),
        )
        for life, weight in pairs
        if life.worn_out and life.scores
    ]


def _quantiles(share: FloatArray, wanted: Sequence[float]) -> list[float]:
    """The hours that these shares of reeds do not outlast."""
    return [float(hours) for hours in np.interp(wanted, _gone(share), _EDGES)]
