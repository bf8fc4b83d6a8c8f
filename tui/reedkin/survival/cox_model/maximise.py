"""Newton's method for the (penalised) partial likelihood, all coefficients free or one of them held."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from reedkin.survival.arrays import BoolArray, FloatArray
from reedkin.survival.cox_model.partial_likelihood import Evaluation, PartialLikelihood
from reedkin.survival.errors import StatisticsError

CLOSE = 1e-7
"""Settled when a step is this part of a standard error: the error left is about its square ..."""
_SMALL = 1e-4
"""... and, without a penalty, this small in itself: where the likelihood only levels off, steps stay long beside it."""
_FLAT = 1e-3
_MOVING = 0.05
"""A step so short in standard errors and yet so long in itself may go up a slope that never ends: time to ask."""
_NEAR = 1.0
_SLOW = 0.1
"""Steps below a standard error that do not shrink to this part of the last have the curvature wrong."""
_MOST_STEPS = 60
_MOST_HALVINGS = 40


class UnsettledError(StatisticsError):
    """No maximum was found."""

    def __init__(self) -> None:
        super().__init__("The fit did not settle: too few retirements, or a habit with extreme values.")


class ManyPeaksError(StatisticsError):
    """The penalised likelihood has a higher peak than the one that was climbed."""

    def __init__(self) -> None:
        super().__init__(
            "The data speak for two quite different effects at once, which a few extreme values can bring about: "
            "leave those out, or take the logarithm of the habit."
        )


class SeparatedError(StatisticsError):
    """There is no finite maximum."""

    def __init__(self) -> None:
        super().__init__(
            "No finite effect fits best: at every retirement the reed retired was the most extreme of those in service "
            "in some habit, or mix of habits. Use Firth's penalty, which has a finite answer."
        )


@dataclass(frozen=True, eq=False)
class Maximum:
    """
    Where the likelihood is greatest. curvature (p, p): minus its second derivative, or at the least the information.
    """

    point: Evaluation
    curvature: FloatArray


def maximise(
    likelihood: PartialLikelihood, start: Evaluation, held: int | None = None, close: float = CLOSE
) -> Maximum:
    """
    Climb from `start` to the maximum, with coefficient `held` kept where it is, until a step is shorter than `close`
    standard errors. A step that leads down is halved. Raises UnsettledError, and without a penalty SeparatedError.

    The information alone is a good enough curvature where retirements are many. The penalty bends the likelihood too,
    and with a handful of retirements as much again: steps would swing for ever. So its curvature is measured once steps
    turn slow.
    """
    free = np.arange(likelihood.size) != held
    point = start
    of_penalty = np.zeros_like(point.information)
    reach = length = np.inf
    for _ in range(_MOST_STEPS):
        last_reach = reach
        step, reach = _newton_step(point, of_penalty, free)
        if likelihood.firth and _NEAR > reach > max(_SLOW * last_reach, close):
            of_penalty = _curvature_of_penalty(likelihood, point)
            step, reach = _newton_step(point, of_penalty, free)
        length = float(np.abs(step).max())
        if reach <= close and (likelihood.firth or length <= _SMALL):
            # The last step is so short that what depends on its square stays as it is. With a penalty, the partial
            # likelihood is on a slope here.
            gain = float((point.gradient - point.penalty_gradient) @ step)
            there = replace(point, beta=point.beta + step, log_likelihood=point.log_likelihood + gain)
            return Maximum(there, point.information + of_penalty)
        if reach <= _FLAT and length > _MOVING and not likelihood.firth and likelihood.rises_for_ever(step):
            raise SeparatedError
        following = _uphill(likelihood, point, step)
        if following is None:
            break
        point = following
    if reach > _FLAT or length > _MOVING:
        raise UnsettledError
    # So near the top, what keeps the steps from settling is rounding.
    return Maximum(point, point.information + of_penalty)


def _newton_step(point: Evaluation, of_penalty: FloatArray, free: BoolArray) -> tuple[FloatArray, float]:
    """
    The step (p,) to the top of a parabola with the curvature information + of_penalty, the coefficients not free kept;
    and its length in standard errors.

    Where the penalty makes the curvature small or negative there is no top, or one far off. Measured by the
    information, the curvature is then taken as positive and at least a tenth: the step leads up and not too far.
    """
    step = np.zeros(len(point.beta))
    block = np.ix_(free, free)
    try:
        unit = np.linalg.inv(np.linalg.cholesky(point.information[block]))
    except np.linalg.LinAlgError:
        raise UnsettledError from None
    bent, axes = np.linalg.eigh(np.eye(len(unit)) + unit @ of_penalty[block] @ unit.T)
    to_axes = axes.T @ unit
    step[free] = to_axes.T @ (to_axes @ point.gradient[free] / np.maximum(np.abs(bent), 0.1))
    if not np.isfinite(step).all():
        raise UnsettledError
    return step, float(np.sqrt(point.gradient @ step))


def _uphill(likelihood: PartialLikelihood, point: Evaluation, step: FloatArray) -> Evaluation | None:
    """The first of the step, half of it, a quarter ... that does not lead down, but for rounding; None if none does."""
    slack = 1e-12 * (1.0 + abs(point.value))
    for halvings in range(_MOST_HALVINGS):
        following = likelihood.at(point.beta + step * 0.5**halvings)
        if following.value >= point.value - slack:
            return following
    return None


def _curvature_of_penalty(likelihood: PartialLikelihood, point: Evaluation) -> FloatArray:
    """(p, p) minus the second derivative of the penalty, by differences of its gradient, which is exact."""
    size = likelihood.size
    change = np.zeros((size, size))
    for which in range(size):
        aside = point.beta.copy()
        aside[which] += 1e-5
        change[which] = (point.penalty_gradient - likelihood.at(aside).penalty_gradient) / 1e-5
    return (change + change.T) / 2.0
