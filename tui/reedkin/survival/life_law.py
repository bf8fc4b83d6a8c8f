"""The law of lives: what is believed of it before any life was seen, and after, without a switch between the two.

Lives follow a Weibull law or, as likely before any is seen, a log-logistic one, whose longest lives are longer. What is
not known of the law, its median and its shape is kept as weights on a grid of all three, so that a few lives widen what
is said of the next one, and many narrow it. Lives may lengthen or shorten as the years go by, as cane, hand and taste
change: the law is that of the latest, and how fast they do is integrated out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from reedkin.survival.arrays import BoolArray, FloatArray, IntArray, along

MEDIAN, MEDIAN_SD = 12.5, 0.4
"""The believed median life in hours, and the standard deviation of its logarithm (common practice, no source)."""
SHAPE, SHAPE_SD = 2.3, 0.3
"""The same of the shape of a Weibull law."""
LOG_LOGISTIC = 1.4
"""A log-logistic law's shape that spreads the logarithm of lives about as a Weibull's does, in the shape of that."""
KINDS_SD = 0.22
"""Of MEDIAN_SD, how far the medians of one maker's kinds of reed lie apart (common practice, no source)."""
TREND_SD = 0.4
"""How fast the logarithm of the median changes in a year: the standard deviation about not at all (common practice, no
source)."""
_TRENDS = TREND_SD * np.linspace(-2.0, 2.0, 7)
_MEDIANS = np.exp(np.arange(np.log(1.0), np.log(100.0), 0.09))
_SHAPES = np.exp(np.arange(np.log(0.7), np.log(9.0), 0.17))
_LOG2 = float(np.log(2.0))
_SHORTEST = 1 / 60
_MOST_HAZARD = 500.0
_NOTHING = 1e-300
_NEGLIGIBLE = 1e-4
"""Points of the grid with less weight beside the heaviest are left out."""


@dataclass(frozen=True)
class Seen:
    """Lives seen: (n,) hours when observation began and ended, whether the life ended then, and what each counts.
    `ago`: how many years before the latest each began; None where it is not asked whether lives change."""

    entry: FloatArray
    stop: FloatArray
    ended: FloatArray
    weight: FloatArray
    ago: FloatArray | None = None

    @cached_property
    def log_likelihood(self) -> FloatArray:
        """(k,): of these lives under each law of the grid; by far the dearest to reckon, and whatever was believed
        before."""
        if not len(self.stop):
            return np.zeros(len(_GRID.weight))
        return _log_likelihood(self) if self.ago is None else _whatever_the_trend(self, self.ago)


@dataclass(frozen=True)
class LifeLaw:
    """Weights (k,), summing to 1, of laws with these medians and shapes (k,), log-logistic (k,) or Weibull."""

    median: FloatArray
    shape: FloatArray
    log_logistic: BoolArray
    weight: FloatArray

    @cached_property
    def _by_shape(self) -> tuple[FloatArray, IntArray, FloatArray]:
        """The shapes (s,) that there are, which of them each law has (k,), and its median to that power, inverted (k,):
        laws of one shape differ by a factor, and a power is dear."""
        shapes, which = np.unique(self.shape, return_inverse=True)
        return shapes, which.astype(np.intp), self.median**-self.shape

    def lasting(self, so_far: float, hours: FloatArray) -> FloatArray:
        """(k, h): of lives that have lasted `so_far`, the share that lasts so many hours (h,) in all, under each
        law."""
        shapes, which, scale = self._by_shape
        gone = (np.concatenate(([so_far], hours)) ** shapes[:, None])[which] * scale[:, None]
        begun, gone, other = gone[:, :1], gone[:, 1:], self.log_logistic
        share = np.empty_like(gone)
        share[other] = (1.0 + begun[other]) / (1.0 + gone[other])
        share[~other] = np.exp(_LOG2 * (begun[~other] - gone[~other]))
        return share

    def remaining(self, so_far: float, edges: FloatArray) -> FloatArray:
        """(c,): of lives that have lasted `so_far`, the share that ends between each two of the further hours `edges`
        (c + 1,), ascending from 0. Nothing is left after the last."""
        share = np.einsum("k,kc->c", self.weight, self.lasting(so_far, so_far + edges))
        share[-1] = 0.0
        return np.asarray(-np.diff(share))

    def drawn(self, which: IntArray, so_far: float, rng: np.random.Generator) -> FloatArray:
        """(n,): further hours of lives that have lasted `so_far`, one under each of the laws `which` (n,)."""
        median, shape = self.median[which], self.shape[which]
        gone = (so_far / median) ** shape
        hazard = np.where(self.log_logistic[which], np.log1p(gone), _LOG2 * gone) + rng.exponential(size=len(which))
        later = np.where(self.log_logistic[which], np.expm1(np.minimum(hazard, _MOST_HAZARD)), hazard / _LOG2)
        return np.asarray(np.maximum(median * later ** (1.0 / shape) - so_far, 0.0))

    @property
    def spread(self) -> float:
        """The standard deviation of the logarithm of the median: how little is known of it."""
        log = np.log(self.median)
        middle = float(np.einsum("k,k->", self.weight, log))
        return float(np.sqrt(np.einsum("k,k->", self.weight, (log - middle) ** 2)))

    def remaining_of_unknown(self, since: float, edges: FloatArray) -> FloatArray:
        """The same of a life that was met at an age that nobody knows, and has lasted `since` from then on: what is
        left at such a meeting is spread as the survival curve is (Cox 1962, Renewal Theory, 5.2)."""
        middles = since + 0.5 * (edges[1:] + edges[:-1])
        share = np.einsum("k,kc->c", self.weight / self.median, self.lasting(0.0, middles)) * np.diff(edges)
        return np.asarray(share / share.sum())


def law_of(seen: Seen, centre: float = MEDIAN, spread: float = MEDIAN_SD, unlike: float = 0.0) -> LifeLaw:
    """What is known of the law after these lives, if the median was believed to be near `centre` before; `unlike` is
    the chance, if there was any, that it had nothing to do with that, and was as any maker's."""
    return _weighed(_before(centre, spread, unlike) + seen.log_likelihood)


def laws_among(each: Sequence[Seen], centre: float, spread: float, apart: float) -> tuple[list[LifeLaw], LifeLaw]:
    """
    What is known of the law of lives with each of several people after their lives, and of one of whom no life is
    known.

    Their medians are scattered about one that all share, `apart` being the standard deviation of the logarithm; that
    was believed to be near `centre` before. So lives with one are alike, and say less of those with others than as many
    lives with many would: a shared effect in a survival model (Therneau and Grambsch 2000, Modeling Survival Data, 9),
    integrated on the grid of medians and so whether lives were seen to end or not.
    """
    before = _before(centre, spread)
    own = [seen.log_likelihood for seen in each]
    steps = np.log(_MEDIANS[:, None] / _MEDIANS)
    near = np.exp(-0.5 * (steps / apart) ** 2)
    near = near / near.sum(axis=1, keepdims=True)
    marginal = [_scattered(near, log) for log in own]
    shared = before + np.sum(marginal, axis=0) if each else before
    found = [_weighed(one + _scattered(near.T, shared - without)) for one, without in zip(own, marginal, strict=True)]
    return found, _weighed(_scattered(near.T, shared))


def _scattered(near: FloatArray, log: FloatArray) -> FloatArray:
    """The logarithm (k,) of what is meant over the medians near each, by a kernel (medians, medians)."""
    table = log.reshape(len(_MEDIANS), -1)
    most = table.max(axis=0)
    return np.asarray((np.log(near @ np.exp(table - most) + _NOTHING) + most).ravel())


def _grid() -> LifeLaw:
    """All laws that are thought of, the medians outermost, each with the same weight."""
    median, shape, other = (one.ravel() for one in np.meshgrid(_MEDIANS, _SHAPES, [False, True], indexing="ij"))
    return LifeLaw(median, np.where(other, LOG_LOGISTIC, 1.0) * shape, other, np.full(len(median), 1 / len(median)))


_GRID = _grid()


def _before(centre: float, spread: float, unlike: float = 0.0) -> FloatArray:
    """The logarithm (k,) of what is believed of each law of the grid."""
    log = -0.5 * (np.log(_GRID.median / centre) / spread) ** 2
    if unlike:
        anyhow = -0.5 * (np.log(_GRID.median / MEDIAN) / MEDIAN_SD) ** 2
        log = np.logaddexp(np.log((1 - unlike) / spread) + log, np.log(unlike / MEDIAN_SD) + anyhow)
    as_weibull = _GRID.shape / np.where(_GRID.log_logistic, LOG_LOGISTIC, 1.0)
    return np.asarray(log - 0.5 * (np.log(as_weibull / SHAPE) / SHAPE_SD) ** 2)


def _weighed(log: FloatArray) -> LifeLaw:
    """The grid with weights that have these logarithms (k,) but for a constant."""
    kept = log > log.max() + np.log(_NEGLIGIBLE)
    weight = np.exp(log[kept] - log.max())
    return LifeLaw(_GRID.median[kept], _GRID.shape[kept], _GRID.log_logistic[kept], weight / weight.sum())


def believed(others: Sequence[Seen], centre: float = MEDIAN, sd: float = MEDIAN_SD) -> tuple[float, float]:
    """What is believed of a kind's median, and the standard deviation of its logarithm, before its own lives are looked
    at but after those of the maker's other kinds: each is the maker's own level with a deviation of KINDS_SD. Before
    these it was `centre` and `sd`; where that is surer than such a deviation leaves it, they add nothing."""
    if sd <= KINDS_SD:
        return centre, sd
    precision = 1.0 / (sd**2 - KINDS_SD**2)
    total = precision * float(np.log(centre))
    for seen in others:
        law = law_of(seen, spread=10.0)
        middle, variance = float(np.einsum("k,k->", law.weight, np.log(law.median))), law.spread**2
        total += middle / (variance + KINDS_SD**2)
        precision += 1.0 / (variance + KINDS_SD**2)
    return float(np.exp(total / precision)), float(np.sqrt(1.0 / precision + KINDS_SD**2))


def _whatever_the_trend(seen: Seen, ago: FloatArray) -> FloatArray:
    """(k,): the likelihood, lives being stretched to what they would be by now, over all that may be their trend."""
    every = []
    for trend in _TRENDS:
        longer = np.exp(trend * ago)
        now = Seen(seen.entry * longer, seen.stop * longer, seen.ended, seen.weight)
        # Where a life is stretched, its density is spread so much thinner.
        thinner = float((seen.weight * seen.ended * trend * ago).sum())
        every.append(_log_likelihood(now) + thinner - 0.5 * (trend / TREND_SD) ** 2)
    return np.asarray(np.logaddexp.reduce(every))


def _log_likelihood(seen: Seen) -> FloatArray:
    """(k,): of a life that ended, the hazard at its end; of every life, the hazard lived through."""
    log_stop, ended = np.log(np.maximum(seen.stop, _SHORTEST)), seen.weight * seen.ended
    events, shape, other = float(ended.sum()), _GRID.shape, _GRID.log_logistic
    total = events * (np.log(shape) - shape * np.log(_GRID.median)) + (shape - 1.0) * log_stop.dot(ended)
    total[other] -= _gone_log_logistic(log_stop, seen.weight + ended)
    total[~other] += events * np.log(_LOG2) - _gone_weibull(log_stop, seen.weight)
    late = seen.entry > 0.0
    if late.any():
        log_entry = np.log(seen.entry[late])
        total[other] += _gone_log_logistic(log_entry, seen.weight[late])
        total[~other] += _gone_weibull(log_entry, seen.weight[late])
    return np.asarray(total)


def _gone_log_logistic(logs: FloatArray, weight: FloatArray) -> FloatArray:
    """The weighted sum of the cumulative hazards at hours with these logarithms (n,), under each law of that kind."""
    own = _GRID.log_logistic
    grown = _GRID.shape[own, None] * (logs - np.log(_GRID.median[own])[:, None])
    return along(np.log(1.0 + np.exp(grown)), weight)  # a third faster than log1p, and these are added up


def _gone_weibull(logs: FloatArray, weight: FloatArray) -> FloatArray:
    """The same under each Weibull law: a sum that only the shape enters, times a power of the median."""
    median, shape = _GRID.median[~_GRID.log_logistic], _GRID.shape[~_GRID.log_logistic]
    shapes, which = np.unique(shape, return_inverse=True)
    sums = along(np.exp(shapes[:, None] * logs), weight)
    return np.asarray(_LOG2 * sums[which] * median**-shape)
