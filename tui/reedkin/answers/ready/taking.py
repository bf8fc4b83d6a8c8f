"""Which of the reeds in the case a maker takes up to be played: each time that she did, and the likings it tells of."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import chain
from typing import NamedTuple

import numpy as np

from reedkin.domain.playability import overall_score
from reedkin.domain.reeds import IN_SERVICE, Reed, Step
from reedkin.study.form import form
from reedkin.study.latest import latest_of
from reedkin.survival.arrays import FloatArray

LIKING, LIKING_SD = np.array([0.3, 0.0]), np.array([0.6, 1.0])
"""What is believed of how much she prefers a reed: for each point of its form, and for being the one played last, in
the logarithm of how often it is taken beside another (common practice, no source)."""
_MOST_THERE, _MOST_TAKINGS = 200, 2000
"""So many reeds, those of which something was written last, and so many of the latest takings tell of her likings."""
LOOK_BACK = timedelta(days=91)
"""How far back the maker's weeks are looked at: a quarter of a year, since a summer long past tells nothing of now."""
_ROUNDS = 30
_SETTLED = 1e-6


@dataclass(frozen=True, slots=True)
class Taking:
    """A reed taken from the case to be played: the form of those that were there, which of them was the one played
    last, and the place of the one taken among them."""

    form: tuple[float | None, ...]
    again: tuple[bool, ...]
    taken: int


class Look(NamedTuple):
    """A playing of one of several reeds, by its number among them; which were in the case before it, with their form;
    and which of them was played last (-1: none). Those in the case are others when the next is asked for."""

    step: Step
    number: int
    there: Mapping[int, float | None]
    last: int


def looks(reeds: Sequence[Reed], since: datetime) -> Iterator[Look]:
    """Every playing of these reeds since a moment, in order, but that reeds that were saved are not in the case."""
    within = [(n, reed) for n, reed in enumerate(reeds) if reed.last.at >= since]
    steps = sorted(((step.at, n, step) for n, reed in within for step in reed.standing), key=lambda one: one[:2])
    there: dict[int, float | None] = {}
    scores: dict[int, list[float]] = {}
    last = -1
    for at, number, step in steps:
        if step.kind == "played":
            if at >= since:
                yield Look(step, number, there, last)
            last = number
        score = overall_score(step.facts)
        if score is not None:
            scores.setdefault(number, []).append(score)
        if step.after.stage == IN_SERVICE and step.after.saved_for is None:
            there[number] = form(scores.get(number, ()))
        else:
            there.pop(number, None)


def takings(reeds: Sequence[Reed], since: datetime, now: datetime) -> list[Taking]:
    """Each time that one of several reeds in the case was taken up to be played, but for reeds that were saved."""
    latest = latest_of([reed for reed in reeds if reed.last.at >= since], _MOST_THERE)
    found = (
        Taking(tuple(one.there.values()), tuple(n == one.last for n in one.there), [*one.there].index(one.number))
        for one in looks(latest, since)
        if one.number in one.there and len(one.there) > 1 and one.step.at <= now
    )
    return list(deque(found, maxlen=_MOST_TAKINGS))


def likings(takings: Sequence[Taking]) -> tuple[FloatArray, FloatArray]:
    """The middle and the covariance of what is known of her likings: a conditional logit (McFadden 1974, in Frontiers
    in Econometrics) with a normal belief, near its mode as good as normal. A reed without a score stands at the mean of
    the others."""
    belief = np.diag(LIKING_SD**-2.0)
    if not takings:
        return LIKING, np.asarray(np.linalg.inv(belief))
    size = np.array([len(one.form) for one in takings])
    there = np.arange(size.max()) < size[:, None]
    form, facts = np.full(there.shape, np.nan), np.zeros((*there.shape, 2))
    form[there] = np.array(list(chain.from_iterable(one.form for one in takings)), dtype=np.float64)  # None is nan
    known = np.isfinite(form)
    mean = np.where(known, form, 0.0).sum(axis=1) / np.maximum(known.sum(axis=1), 1)
    facts[..., 0] = np.where(known, form - mean[:, None], 0.0)
    facts[there, 1] = list(chain.from_iterable(one.again for one in takings))
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


def goes_on(again: FloatArray, takings: Sequence[Taking]) -> tuple[FloatArray, FloatArray]:
    """
    (n,) each: the chance that she goes on with the reed played last whatever else is there, and how readily that is
    taken beside another where she does not, by her likings (n,) for it.

    Whoever has a favourite keeps to it however many others lie in the case, and does so less by the logit, by which
    every further reed would take its part from all alike. If with chance f she goes on, and else takes any of m alike,
    the odds of the last beside one other are 1 + m f / (1 - f); m is what usually lay in her case.
    """
    many = float(np.mean([len(one.form) for one in takings])) if takings else 1.0
    above = np.maximum(np.expm1(again), 0.0)
    return above / (above + many), np.exp(np.minimum(again, 0.0))
