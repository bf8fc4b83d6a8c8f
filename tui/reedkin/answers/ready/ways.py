"""The maker's ways with her reeds: which one she takes up, how long she plays a new one, how often one is lost.

Each is learnt from her log and drawn anew on each path, so that what a short log leaves open is left open.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from reedkin.answers.hours_left.outlook import recent
from reedkin.answers.ready import common
from reedkin.answers.ready.drawing import pick
from reedkin.answers.ready.past import Service, Taking
from reedkin.survival.arrays import FloatArray

LIKING, LIKING_SD = np.array([0.3, 0.0]), np.array([0.6, 1.0])
"""What is believed of how much she prefers a reed: for each point of its form, and for being the one played last, in
the logarithm of how often it is taken beside another (common practice, no source)."""
LOST, LOST_WORTH = 1 / 100, 1.0
"""Reeds lost, sold or lent in an hour of playing, and how many that is worth (common practice, no source)."""
_ROUNDS = 30
_SETTLED = 1e-6


@dataclass(frozen=True, slots=True)
class Ways:
    """
    A maker's ways on every path.

    liking  (paths,) what a point of form adds to the logarithm of how often a reed is taken.
    again   (paths,) the same of being the one played last.
    lost    (paths, 2) reeds lost in an hour of playing: of those below the level, and of those at it or above.
    first   (paths, n) hours of the first playing of n reeds, and as long as they are new the most at a time.
    """

    liking: FloatArray
    again: FloatArray
    lost: FloatArray
    first: FloatArray


def ways(
    services: Sequence[Service], takings: Sequence[Taking], level: float | None, reeds: int, paths: int,
    rng: np.random.Generator,
) -> Ways:  # fmt: skip
    """Draw the ways of a maker who has treated her reeds so."""
    middle, spread = likings(takings)
    drawn = rng.multivariate_normal(middle, spread, paths, method="cholesky")
    hours, lost = exposure(services, level)
    rate = rng.gamma(LOST_WORTH + lost, size=(paths, 2)) / (LOST_WORTH / LOST + hours)
    return Ways(drawn[:, 0], drawn[:, 1], rate, _first(services, reeds, paths, rng))


def likings(takings: Sequence[Taking]) -> tuple[FloatArray, FloatArray]:
    """The middle and the covariance of what is known of her likings: a conditional logit (McFadden 1974, in Frontiers
    in Econometrics) with a normal belief, near its mode as good as normal. A reed without a score stands at the mean of
    the others."""
    belief = np.diag(LIKING_SD**-2.0)
    if not takings:
        return LIKING, np.asarray(np.linalg.inv(belief))
    most = max(len(one.form) for one in takings)
    facts, there = np.zeros((len(takings), most, 2)), np.zeros((len(takings), most), dtype=bool)
    for row, one in enumerate(takings):
        form = np.array([np.nan if value is None else value for value in one.form])
        known = form[np.isfinite(form)]
        facts[row, : len(form), 0] = np.where(np.isfinite(form), form - (known.mean() if len(known) else 0.0), 0.0)
        facts[row, : len(form), 1] = one.again
        there[row, : len(form)] = True
    taken = facts[np.arange(len(takings)), [one.taken for one in takings]]
    found = LIKING.copy()
    for _ in range(_ROUNDS):
        share = np.where(there, np.exp(facts @ found), 0.0)
        share /= share.sum(axis=1, keepdims=True)
        mean = np.einsum("tm,tmi->ti", share, facts)
        slope = (taken - mean).sum(axis=0) - belief @ (found - LIKING)
        bend = np.einsum("tm,tmi,tmj->ij", share, facts, facts) - mean.T @ mean + belief
        step = np.linalg.solve(bend, slope)
        found = found + np.clip(step, -1.0, 1.0)
        if np.abs(step).max() < _SETTLED:
            break
    return found, np.asarray(np.linalg.inv(bend))


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
    return np.asarray(hours[pick(np.repeat(weight[None], paths * reeds, axis=0), rng)].reshape(paths, reeds))
