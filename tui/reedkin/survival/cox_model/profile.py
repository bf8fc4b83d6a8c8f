"""
Intervals and tests from the profile of the (penalised) likelihood, which stay honest where the curve is lopsided.

The profile of one coefficient is the greatest likelihood with that coefficient held. Its 95% interval is where the
profile lies within half the chi-square quantile of the maximum, and twice the drop at zero is a chi-square on one
degree of freedom: Heinze & Schemper 2001, Biometrics 57:114-119; Venzon & Moolgavkar 1988, Applied Statistics 37:87-94.
The penalty is that of the whole model in both.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from reedkin.survival.cox_model.maximise import ManyPeaksError, Maximum, UnsettledError, maximise
from reedkin.survival.cox_model.partial_likelihood import PartialLikelihood
from reedkin.survival.distributions import ChiSquareTest, Z

_CLOSE = 1e-5
"""Settled when the root of the drop is this near its goal; the step then made squares the error."""
_FOLLOWED = 1e-4
"""How near the others are brought to their best, in standard errors: their drop is then out by half the square."""
_NARROW = 1e-9
"""A bracket so narrow, beside its distance, holds a jump: the profile passes there from peak to peak of the others."""
_MOST_TRIES = 80


@dataclass(frozen=True, eq=False)
class Profile:
    """The profiles of the p coefficients about the maximum found."""

    likelihood: PartialLikelihood
    maximum: Maximum

    def interval(self, which: int) -> tuple[float, float]:
        """The 95% limits of a coefficient; raises StatisticsError where none is found."""
        return self._limit(which, -1.0), self._limit(which, 1.0)

    def test(self, which: int) -> ChiSquareTest:
        """The (penalised) likelihood-ratio test that a coefficient is zero."""
        held = self._held(self.maximum, which, 0.0)
        if held is None:
            raise UnsettledError
        return ChiSquareTest.of(2.0 * (self.maximum.point.value - held.point.value), 1)

    def _held(self, near: Maximum, which: int, value: float) -> Maximum | None:
        """The maximum with one coefficient held at a value, from a maximum near it; None beyond what floats hold."""
        # The others start where they would be if the likelihood were a parabola.
        others = np.arange(self.likelihood.size) != which
        follow = -np.linalg.lstsq(near.curvature[np.ix_(others, others)], near.curvature[others, which], rcond=None)[0]
        beta = near.point.beta.copy()
        beta[others] += (value - beta[which]) * follow
        beta[which] = value
        start = self.likelihood.at(beta)
        return maximise(self.likelihood, start, which, _FOLLOWED) if math.isfinite(start.value) else None

    def _limit(self, which: int, side: float) -> float:
        """
        The limit on one side, by Newton's method on the root of twice the drop, which is nearly a straight line.

        The slope of the profile is that of the likelihood itself where the others are at their best. A bracket catches
        steps that leave it.
        """
        best = near = self.maximum
        distance = Z * math.sqrt(np.linalg.inv(best.point.information)[which, which])
        inside, outside, beyond_floats = 0.0, math.inf, False
        for _ in range(_MOST_TRIES):
            step = math.inf
            at = self._held(near, which, best.point.beta[which] + side * distance)
            if at is None:
                outside, beyond_floats = distance, True
            else:
                near = at
                drop = best.point.value - at.point.value
                if drop < -_CLOSE:
                    raise ManyPeaksError
                root = math.sqrt(max(2.0 * drop, 0.0))
                fall = -side * float(at.point.gradient[which])
                if fall > 0.0:
                    step = (Z - root) * root / fall
                    if abs(root - Z) < _CLOSE:
                        return float(best.point.beta[which] + side * (distance + step))
                if root < Z:
                    inside = distance
                else:
                    outside, beyond_floats = distance, False
            moved = min(distance + step, 3.0 * distance)
            if not inside < moved < outside:
                moved = (inside + outside) / 2.0 if math.isfinite(outside) else 3.0 * distance
            if outside - inside < _NARROW * moved and not beyond_floats:
                return float(best.point.beta[which] + side * moved)
            distance = moved
        raise UnsettledError
