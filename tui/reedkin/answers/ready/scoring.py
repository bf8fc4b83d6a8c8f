"""How a maker writes scores: how far one lies from those about it, and in which steps."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import chain
from statistics import median

import numpy as np

from reedkin.domain.reeds import Reed
from reedkin.study.form import marks
from reedkin.survival.arrays import FloatArray

_AS_USUAL = 20
"""For so many scores of hers it counts that they scatter by a normal law (common practice, no source)."""
_BESIDE = 2
"""A score is looked at beside so many before it and after it."""
_FEWEST = 10
"""Of so many scores, if not one is half a point, she gives whole points."""


@dataclass(frozen=True, slots=True)
class Scoring:
    """
    off   (n,) how far her scores lay from those about them: their mean is 0, and of their squares 1.
    step  the steps in which she gives them, in points.
    """

    off: tuple[float, ...] = ()
    step: float = 0.5

    def drawn(self, shape: tuple[int, int], rng: np.random.Generator) -> FloatArray:
        """How far scores will lie off, in standard deviations: as hers did, or by a normal law where these are few.
        One who writes 7 nine times in ten is rarely off, and then by much."""
        found = rng.standard_normal(shape)
        if self.off:
            own = rng.random(shape) * (len(self.off) + _AS_USUAL) >= _AS_USUAL
            found[own] = rng.choice(np.array(self.off), int(own.sum()))
        return found


USUAL_SCORING = Scoring()
"""By a normal law, in half points."""


def scoring_of(reeds: Iterable[Reed]) -> Scoring:
    """How the scores of these reeds were given."""
    courses = [[mark.score for mark in marks(reed)] for reed in reeds]
    every = list(chain(*courses))
    step = 1.0 if len(every) >= _FEWEST and all(score.is_integer() for score in every) else 0.5
    off = np.array([one for course in courses for one in _off(course)])
    spread = float(off.std()) if len(off) else 0.0
    return Scoring(tuple(((off - off.mean()) / spread).tolist()) if spread else (), step)


def _off(course: Sequence[float]) -> list[float]:
    """How far each score of a reed lies from the median of the two before it and the two after it."""
    return [
        score - median((*course[at - _BESIDE : at], *course[at + 1 : at + 1 + _BESIDE]))
        for at, score in enumerate(course)
        if _BESIDE <= at < len(course) - _BESIDE
    ]
