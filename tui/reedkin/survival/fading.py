"""How scores fall over a life, and what a course of scores says of how long the life will be.

A score is a + c x^p + noise, x being the part of the life that is over, so all fade along one curve when time is
counted in parts of their own lives. The level a differs from one to the next by chance, and both a and c may go with
the length L of the life: a = b0 + b1 log L + chance, c = b2 + b3 log L. For a bend p and a ratio r of the variance of
levels to that of the noise, both on a grid, that is a linear model with a known covariance. So what is not known of b
and of the noise is integrated out in closed form (normal-inverse-gamma: Gelman et al. 2013, Bayesian Data Analysis,
3rd ed., 14.8), and widens what is said.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

import numpy as np

from reedkin.survival.arrays import FloatArray, IntArray, in_parts

UNIT_LIFE = 12.5
"""The life, in hours, whose log L counts as zero."""
BELIEVED = np.array([7.5, 0.0, -2.5, 0.0])
BELIEVED_SD = np.array([1.0, 0.8, 1.2, 0.8])
"""What is believed of b before any life was seen, in points of a score of 0 to 10 (common practice, no source)."""
NOISE_SD, NOISE_WORTH = 0.7, 3.0
"""What is believed of the noise, and how many pairs of scores that counts for."""
BENDS = np.array([0.7, 1.0, 1.5, 2.2, 3.3, 5.0, 10.0])
RATIOS = np.array([0.25, 0.7, 2.0, 6.0])
_BEND, _RATIO = (grid.ravel() for grid in np.meshgrid(BENDS, RATIOS, indexing="ij"))
_WHICH = np.repeat(np.arange(len(BENDS)), len(RATIOS))
"""Which of BENDS each of these pairs has."""
_NEGLIGIBLE = 0.02
_SHORTEST = 1e-6


@dataclass(frozen=True, slots=True)
class Scored:
    """The scores (n,) of one life, the hours (n,) at which they were given, and what the life counts. Hours (g, n) are
    those at which they were given if its age at the first was one of g."""

    hours: FloatArray
    scores: FloatArray
    weight: float = 1.0


@dataclass(frozen=True, slots=True)
class ScoreSums:
    """What the scores of some lives add up to, all that is learnt from them: for each bend and ratio (k,) the gram
    matrix (k, 4, 4), the products with the scores (k, 4), their squares (k,) and what the levels add to the logarithm
    of the evidence (k,); and how many they are."""

    gram: FloatArray
    product: FloatArray
    squares: FloatArray
    log: FloatArray
    scores: float

    @classmethod
    def of(cls, lives: Iterable[tuple[float, Scored]]) -> ScoreSums:
        """Of lives of so many hours with these scores, at least one each: all powers at once, then added up by
        life."""
        pairs = list(lives)
        kinds = len(_BEND)
        if not pairs:
            return cls(np.zeros((kinds, 4, 4)), np.zeros((kinds, 4)), np.zeros(kinds), np.zeros(kinds), 0.0)
        life, weight = np.array([hours for hours, _ in pairs]), np.array([one.weight for _, one in pairs])
        count = np.array([len(one.scores) for _, one in pairs])
        scores = np.concatenate([one.scores for _, one in pairs])
        part = np.concatenate([_part(one, np.array([hours]))[0] for hours, one in pairs])
        over, of_life = np.minimum(part, 1.0) ** BENDS[:, None], np.cumsum(count) - count

        def by_life(values: FloatArray) -> FloatArray:
            """(l, k) or (l, 1): what (b, n) or (n,) adds up to in each life, for each bend and ratio."""
            return np.atleast_2d(np.add.reduceat(values, of_life, axis=-1)).T

        sums, products, squares = (by_life(one)[:, _WHICH] for one in (over, over * scores, over**2))
        told = _weighed(count[:, None], by_life(scores), by_life(scores**2), sums, products, squares, _RATIO)
        gram, product = _of_terms(told, life)
        log = -0.5 * np.log1p(count[:, None] * _RATIO)
        return cls(
            np.einsum("l,lkab->kab", weight, gram), np.einsum("l,lka->ka", weight, product),
            weight @ told.squares, weight @ log, float(weight @ count),
        )  # fmt: skip

    def __add__(self, other: ScoreSums) -> ScoreSums:
        return ScoreSums(
            self.gram + other.gram,
            self.product + other.product,
            self.squares + other.squares,
            self.log + other.log,
            self.scores + other.scores,
        )

    def __mul__(self, share: float) -> ScoreSums:
        """The same where each life counts for so much."""
        return ScoreSums(
            self.gram * share, self.product * share, self.squares * share, self.log * share, self.scores * share
        )


@dataclass(frozen=True)
class Fading:
    """What is known after some lives, for each bend and ratio kept (k,): weight (k,), precision (k, 4, 4), its product
    with the mean (k, 4), and of the noise the two numbers of its inverse gamma (k,) each."""

    bend: FloatArray
    ratio: FloatArray
    weight: FloatArray
    precision: FloatArray
    product: FloatArray
    squares: FloatArray
    half: FloatArray

    @cached_property
    def _moments(self) -> tuple[FloatArray, FloatArray, FloatArray]:
        """The mean (k, 4) and the covariance (k, 4, 4) of the terms, in units of the noise; the rate of that (k,)."""
        spread = np.asarray(np.linalg.inv(self.precision), dtype=np.float64)
        mean = np.einsum("kij,kj->ki", spread, self.product)
        return mean, spread, 0.5 * (self.squares - np.einsum("ki,ki->k", mean, self.product))

    def fits(self, scored: Scored, lives: FloatArray) -> FloatArray:
        """(g,): how well these scores fit lives of so many hours (g,), beside the life that they fit best.

        They tell of two things alone, the level and the fall of one life. So the evidence grows by what two unknowns
        with a known covariance add (the matrix determinant lemma and Woodbury's identity), and no matrix is solved for
        each of the lives.
        """
        told, length = _told(scored, lives, self.bend, self.ratio), np.log(lives / UNIT_LIFE)[:, None]
        mean, spread, rate = self._moments
        level, fall = mean[:, 0] + length * mean[:, 1], mean[:, 2] + length * mean[:, 3]
        vary, together, vary_fall = (
            spread[:, a, b] + length * (spread[:, a, b + 1] + spread[:, a + 1, b]) + length**2 * spread[:, a + 1, b + 1]
            for a, b in ((0, 0), (0, 2), (2, 2))
        )
        off = told.level - told.gram * level - told.gram_both * fall
        off_fall = told.fall - told.gram_both * level - told.gram_fall * fall
        square = told.squares - level * (told.level + off) - fall * (told.fall + off_fall)
        volume, volume_told = vary * vary_fall - together**2, told.gram * told.gram_fall - told.gram_both**2
        grown = 1.0 + told.gram * vary + 2.0 * told.gram_both * together + told.gram_fall * vary_fall
        grown += volume * volume_told
        learnt = off**2 * (vary + volume * told.gram_fall) + off_fall**2 * (vary_fall + volume * told.gram)
        learnt += 2.0 * off * off_fall * (together - volume * told.gram_both)
        count = len(scored.scores)
        log = self.half * np.log(rate) - (self.half + 0.5 * count) * np.log(rate + 0.5 * (square - learnt / grown))
        log += np.log(self.weight) - 0.5 * np.log1p(count * self.ratio) - 0.5 * np.log(grown)
        return np.asarray(np.exp(log - log.max()).sum(axis=1))

    def drawn(self, living: Sequence[tuple[FloatArray, Scored]], paths: int, rng: np.random.Generator) -> Course:
        """How lives fade, drawn once on each of so many paths, where those that still last will have lasted so many
        hours (paths,) and have had these scores. So what these say of all lives is reckoned with."""
        kinds = len(self.bend)
        precision, product = (np.repeat(known[None], paths, axis=0) for known in (self.precision, self.product))
        squares, half = np.repeat(self.squares[None], paths, axis=0), float(self.half[0])
        log = np.repeat(
            (np.log(self.weight) - _evidence(self.precision, self.product, self.squares, self.half))[None],
            paths,
            axis=0,
        )
        for lives, scored in living:
            gram, along, square = _sums(scored, lives, self.bend, self.ratio)
            precision, product, squares = precision + gram, product + along, squares + square
            half += 0.5 * len(scored.scores)
            log -= 0.5 * np.log1p(len(scored.scores) * self.ratio)
        mean = np.linalg.solve(precision, product[..., None])[..., 0]
        rate = 0.5 * (squares - np.einsum("pki,pki->pk", mean, product))
        log += _log_evidence(precision, rate, np.full(kinds, half))
        kind = np.argmax(log + rng.gumbel(size=log.shape), axis=1)
        each = np.arange(paths)
        noise = np.sqrt(rate[each, kind] / rng.gamma(half, size=paths))
        # L' x = z spreads x as the inverse of L L' does.
        upper = np.swapaxes(np.linalg.cholesky(precision[each, kind]), 1, 2)
        chance = np.linalg.solve(upper, rng.standard_normal((paths, 4))[..., None])[..., 0]
        return Course(self.bend[kind], self.ratio[kind], noise, mean[each, kind] + noise[:, None] * chance)


@dataclass(frozen=True, slots=True)
class Course:
    """One way to fade on each of some paths: bend, ratio, the noise of a score (paths,) each, and b (paths, 4)."""

    bend: FloatArray
    ratio: FloatArray
    noise: FloatArray
    terms: FloatArray

    def of_life(
        self, lives: FloatArray, scored: Scored | None, rng: np.random.Generator
    ) -> tuple[FloatArray, FloatArray]:
        """(paths,) each: the level a and the fall -c of one that lasts so many hours (paths,) and had these scores. A
        few high scores are luck in part, so the level lies between them and that of all."""
        length = np.log(np.maximum(lives, _SHORTEST) / UNIT_LIFE)
        level, fall = self.terms[:, 0] + self.terms[:, 1] * length, -(self.terms[:, 2] + self.terms[:, 3] * length)
        spread = self.ratio
        if scored is not None:
            count = len(scored.scores)
            over = np.minimum(_part(scored, lives), 1.0) ** self.bend[:, None]
            above = (scored.scores - level[:, None] + fall[:, None] * over).sum(axis=1)
            spread = self.ratio / (1.0 + count * self.ratio)
            level = level + spread * above
        return level + np.sqrt(spread) * self.noise * rng.standard_normal(len(lives)), fall


def _part(scored: Scored, lives: FloatArray) -> FloatArray:
    """(g, n): the part of lives of so many hours (g,) that was over at each score."""
    return np.asarray(np.maximum(scored.hours, 0.0) / np.maximum(lives[:, None], _SHORTEST))


def _evidence(precision: FloatArray, product: FloatArray, squares: FloatArray, half: FloatArray) -> FloatArray:
    """The logarithm of the evidence that a posterior stands for, but for what does not depend on bend and ratio."""
    mean = np.linalg.solve(precision, product[..., None])[..., 0]
    return _log_evidence(precision, 0.5 * (squares - np.einsum("...i,...i->...", mean, product)), half)


def _log_evidence(precision: FloatArray, rate: FloatArray, half: FloatArray) -> FloatArray:
    return np.asarray(-0.5 * np.linalg.slogdet(precision)[1] - half * np.log(rate))


def fading_of(seen: ScoreSums) -> Fading:
    """What is known of fading after lives whose scores add up to this."""
    prior = np.diag((NOISE_SD / BELIEVED_SD) ** 2)
    precision, product = prior + seen.gram, prior @ BELIEVED + seen.product
    squares = 2.0 * NOISE_WORTH * NOISE_SD**2 + BELIEVED @ prior @ BELIEVED + seen.squares
    half = np.full(len(_BEND), NOISE_WORTH + 0.5 * seen.scores)
    log = seen.log + _evidence(precision, product, squares, half)
    weight = np.exp(log - log.max())
    kept = weight > _NEGLIGIBLE
    return Fading(
        _BEND[kept], _RATIO[kept], weight[kept] / weight[kept].sum(), precision[kept], product[kept], squares[kept],
        half[kept],
    )  # fmt: skip


class _LevelAndFall(NamedTuple):
    """What the scores of one life tell of its level and its fall (c, not -c), weighed by the inverse of their
    covariance, in units of the noise: the gram matrix of the two, their products with the scores, (g, k) or (k,) each,
    and the squares of the scores (k,)."""

    gram: FloatArray
    gram_both: FloatArray
    gram_fall: FloatArray
    level: FloatArray
    fall: FloatArray
    squares: FloatArray


def _told(scored: Scored, lives: FloatArray, bend: FloatArray, ratio: FloatArray) -> _LevelAndFall:
    """The same for lives of so many hours (g,) and each bend and ratio (k,)."""
    count, total = len(scored.scores), float(scored.scores.sum())
    bends, which = np.unique(bend, return_inverse=True)
    sums, products, squares = (np.empty((len(lives), len(bends))) for _ in range(3))
    part = _part(scored, lives)
    for rows in in_parts(len(lives), len(bends) * count):
        over = np.minimum(part[rows, None, :], 1.0) ** bends[:, None]
        sums[rows], products[rows] = over.sum(axis=2), np.einsum("gkn,n->gk", over, scored.scores)
        squares[rows] = np.einsum("gkn,gkn->gk", over, over)
    sums, products, squares = sums[:, which], products[:, which], squares[:, which]
    square = float(scored.scores @ scored.scores)
    return _weighed(count, total, square, sums, products, squares, ratio)


def _weighed(
    count: float | IntArray, total: float | FloatArray, square: float | FloatArray,
    sums: FloatArray, products: FloatArray, squares: FloatArray, ratio: FloatArray,
) -> _LevelAndFall:  # fmt: skip
    """The same of so many scores that add up to `total`, their squares to `square`; `sums`, `products` and `squares`
    are what the parts of lives that were over, bent, add up to, times the scores, and squared."""
    shared = ratio / (1.0 + count * ratio)
    return _LevelAndFall(
        count - shared * count**2,
        sums * (1.0 - shared * count),
        squares - shared * sums**2,
        total * (1.0 - shared * count),
        products - shared * sums * total,
        square - shared * total**2,
    )


def _sums(
    scored: Scored, lives: FloatArray, bend: FloatArray, ratio: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """For lives of so many hours (g,) and each bend and ratio (k,): the gram matrix of the terms (g, k, 4, 4), their
    products with the scores (g, k, 4) and the squares of these (k,), weighed as what is `_told`."""
    told = _told(scored, lives, bend, ratio)
    return *_of_terms(told, lives), told.squares


def _of_terms(told: _LevelAndFall, lives: FloatArray) -> tuple[FloatArray, FloatArray]:
    """What is told of level and fall in lives of so many hours (g,), of the four terms that make them up: gram matrices
    (g, k, 4, 4) and products (g, k, 4)."""
    shape = told.fall.shape
    inner, along = np.empty((*shape, 2, 2)), np.empty((*shape, 2))
    inner[..., 0, 0], inner[..., 1, 1] = told.gram, told.gram_fall
    inner[..., 0, 1] = inner[..., 1, 0] = told.gram_both
    along[..., 0], along[..., 1] = told.level, told.fall
    length = np.log(lives / UNIT_LIFE)
    outer = np.stack((np.ones_like(length), length), axis=1)
    gram = np.einsum("gkab,gc,gd->gkacbd", inner, outer, outer).reshape(*shape, 4, 4)
    return gram, np.einsum("gka,gc->gkac", along, outer).reshape(*shape, 4)
