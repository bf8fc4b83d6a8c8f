"""The maker's ways with her reeds: which one she takes up, how much she plays a new one, how often one is lost.

Each is learnt from her log and drawn anew on each path, so that what a short log leaves open is left open.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean

import numpy as np

from reedkin.answers.hours_left.outlook import recent
from reedkin.answers.ready import common
from reedkin.answers.ready.past import Past, Service, fresh
from reedkin.answers.ready.taking import goes_on, likings
from reedkin.survival.arrays import FloatArray

LOST, LOST_WORTH = 1 / 100, 1.0
"""Reeds lost, sold or lent in an hour of playing, and how many that is worth (common practice, no source)."""

NEW_HOURS = 3.0
"""Hours for which many makers play a new reed only a little at a time (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Ways:
    """
    A maker's ways on every path.

    liking  (paths,) what a point of form adds to the logarithm of how often a reed is taken.
    again   (paths,) how readily the one played last is taken beside another, where it is not that
    on      (paths,) she goes on with the one played last, whatever else there is: the chance of that.
    lost    (paths, 2) reeds lost in an hour of playing: of those below the level, and of those at it or above.
    fresh   the form that a new reed usually has at first, as which one without a score is taken.
    step    the steps in which she gives scores, in points.
    part    of a playing that falls to a new reed, the part that she plays it.
    """

    liking: FloatArray
    again: FloatArray
    on: FloatArray
    lost: FloatArray
    part: float
    step: float
    fresh: float


def ways(past: Past, level: float | None, paths: int, rng: np.random.Generator) -> Ways:
    """Draw the ways of a maker who has treated her reeds so."""
    services, takings = past.services, past.takings
    middle, spread = likings(takings)
    drawn = rng.multivariate_normal(middle, spread, paths, method="cholesky")
    hours, lost = exposure(services, level)
    rate = rng.gamma(LOST_WORTH + lost, size=(paths, 2)) / (LOST_WORTH / LOST + hours)
    on, again = goes_on(drawn[:, 1], takings)
    return Ways(drawn[:, 0], again, on, rate, part_of_new(services), past.scoring.step, fresh(services) or 0.0)


def exposure(services: Sequence[Service], level: float | None) -> tuple[FloatArray, FloatArray]:
    """(2,) each: the hours that reeds below the level, and at it or above, were played, and how many of them were lost
    then. Recent reeds count more."""
    hours, lost = np.zeros(2), np.zeros(2)
    for service, weight in zip(services, recent(len(services)), strict=True):
        so_far = service.before
        for after, form in zip(service.hours, service.form, strict=True):
            good = int(level is None or (form is not None and form >= level))
            hours[good] += weight * (after - so_far)
            so_far = after
        lost[good] += weight * service.lost
    return hours, lost


def part_of_new(services: Sequence[Service]) -> float:
    """How long a new reed is played at a time beside one that is new no more, at the most as long: the mean of the
    maker's reeds, recent ones counting more, and of some that are played as long, as is usual."""
    new: list[tuple[float, float]] = []
    others: list[float] = []
    for service, weight in zip(services, recent(len(services)), strict=True):
        before = (service.before, *service.hours[:-1])
        long = [after - so_far for so_far, after in zip(before, service.hours, strict=True)]
        first = [one for one, so_far in zip(long, before, strict=True) if so_far < NEW_HOURS]
        others += long[len(first) :]
        if first:
            new.append((fmean(first), weight))
    if not others or not sum(others):
        return 1.0
    beside = sum(one * weight for one, weight in new) / fmean(others)
    return min((common.WORTH + beside) / (common.WORTH + sum(weight for _, weight in new)), 1.0)
