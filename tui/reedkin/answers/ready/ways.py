"""The maker's ways with her reeds: which one she takes up, how long she plays a new one, how often one is lost.

Each is learnt from her log and drawn anew on each path, so that what a short log leaves open is left open.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from reedkin.answers.hours_left.outlook import recent
from reedkin.answers.ready import common
from reedkin.answers.ready.drawing import pick_alike
from reedkin.answers.ready.past import Service, fresh
from reedkin.answers.ready.taking import Taking, goes_on, likings
from reedkin.survival.arrays import FloatArray

LOST, LOST_WORTH = 1 / 100, 1.0
"""Reeds lost, sold or lent in an hour of playing, and how many that is worth (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Ways:
    """
    A maker's ways on every path.

    liking  (paths,) what a point of form adds to the logarithm of how often a reed is taken.
    again   (paths,) how readily the one played last is taken beside another, where it is not that
    on      (paths,) she goes on with the one played last, whatever else there is: the chance of that.
    lost    (paths, 2) reeds lost in an hour of playing: of those below the level, and of those at it or above.
    fresh   the form that a new reed usually has at first, as which one without a score is taken.
    first   (paths, n) hours of the first playing of n reeds, and as long as they are new the most at a time.
    """

    liking: FloatArray
    again: FloatArray
    on: FloatArray
    lost: FloatArray
    first: FloatArray
    fresh: float


def ways(
    services: Sequence[Service], takings: Sequence[Taking], level: float | None, reeds: int, paths: int,
    rng: np.random.Generator,
) -> Ways:  # fmt: skip
    """Draw the ways of a maker who has treated her reeds so."""
    middle, spread = likings(takings)
    drawn = rng.multivariate_normal(middle, spread, paths, method="cholesky")
    hours, lost = exposure(services, level)
    rate = rng.gamma(LOST_WORTH + lost, size=(paths, 2)) / (LOST_WORTH / LOST + hours)
    on, again = goes_on(drawn[:, 1], takings)
    return Ways(drawn[:, 0], again, on, rate, _first(services, reeds, paths, rng), fresh(services) or 0.0)


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


def _first(services: Sequence[Service], reeds: int, paths: int, rng: np.random.Generator) -> FloatArray:
    """(paths, n): first playings of n new reeds, drawn from the maker's and from what is usual."""
    firsts = [
        (service.hours[0], weight)
        for service, weight in zip(services, recent(len(services)), strict=True)
        if service.before == 0.0
    ]
    hours, weight = (np.array(column) for column in zip((common.FIRST_HOURS, common.WORTH), *firsts, strict=True))
    return np.asarray(hours[pick_alike(weight, paths * reeds, rng)].reshape(paths, reeds))
