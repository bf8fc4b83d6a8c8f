"""A smooth law of lives, for the mean life that a habit goes with: Weibull's, fitted to a log that is not over."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from reedkin.survival.arrays import FloatArray, along
from reedkin.survival.errors import StatisticsError
from reedkin.survival.risk_sets import spells

USUAL_SHAPE = 2.3
USUAL_SPREAD = 0.3
"""What is believed of the shape before there are lives: a log-normal of this middle and log standard deviation. Common
practice, no source: reeds wear, so they end the sooner the older they are."""

_SHAPES = np.exp(np.linspace(math.log(0.7), math.log(7.0), 120))
_STRIDE = 8
_STEPS = 400


@dataclass(frozen=True, slots=True)
class Weibull:
    """Lives of which (t / scale)^shape have been spent, in all, at t."""

    shape: float
    scale: float

    def mean(self, ratio: float = 1.0, after: float = 0.0) -> float:
        """The mean life where ends come `ratio` times as fast from `after` on."""
        if ratio <= 0.0:
            return math.inf
        # Where so much has been spent that one in a million is left.
        end = max(self.scale * (14.0 * max(1.0, 1.0 / ratio)) ** (1.0 / self.shape), 1.2 * after)
        t = np.linspace(0.0, end, _STEPS + 1)
        spent, at_first = (t / self.scale) ** self.shape, (min(after, end) / self.scale) ** self.shape
        left = np.exp(-np.where(t < after, spent, at_first + ratio * (spent - at_first)))
        return float((left.sum() - (left[0] + left[-1]) / 2) * end / _STEPS)


def weibull(
    stop: ArrayLike, event: ArrayLike, start: ArrayLike | None = None, ratios: FloatArray | None = None
) -> Weibull:
    """
    The law that goes best with n spells (start, stop] and what is believed of its shape; arguments as `RiskSets.of`.

    ratios (n,): how many times as fast as by the law each of them ends, where they are known to differ.
    Given the shape, the likeliest rate is the events over the sum of stop^shape - start^shape: so only the shape is
    sought, first in strides. Raises StatisticsError where no spell ended in an event.
    """
    ends, happened, begins = spells(stop, event, start)
    events = int(happened.sum())
    if not events:
        raise StatisticsError("No reed was retired: there is nothing to learn from yet.")
    unit = float(ends.max())
    logs = np.log(ends[happened] / unit).sum()

    def spent(shapes: FloatArray) -> FloatArray:
        power = (ends / unit) ** shapes[:, None]
        if begins is not None:
            power -= (begins / unit) ** shapes[:, None]
        sums: FloatArray = power.sum(axis=1) if ratios is None else along(power, ratios)
        return sums

    def likely(shapes: FloatArray) -> FloatArray:
        own: FloatArray = events * (np.log(shapes) - np.log(spent(shapes))) + (shapes - 1.0) * logs
        return own - np.log(shapes / USUAL_SHAPE) ** 2 / (2.0 * USUAL_SPREAD**2)

    near = _STRIDE * int(likely(_SHAPES[::_STRIDE]).argmax())
    shapes = _SHAPES[max(near - _STRIDE + 1, 0) : near + _STRIDE]
    shape = float(shapes[likely(shapes).argmax()])
    return Weibull(shape, unit * float(spent(np.array([shape]))[0] / events) ** (1.0 / shape))
