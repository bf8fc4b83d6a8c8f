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

import numpy as np

from reedkin.survival.arrays import FloatArray

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
        """Of lives of so many hours with these scores."""
        kinds = len(_BEND)
        total = cls(np.zeros((kinds, 4, 4)), np.zeros((kinds, 4)), np.zeros(kinds), np.zeros(kinds), 0.0)
        for life, scored in lives:
            gram, product, squares = _sums(scored, np.array([life]), _BEND, _RATIO)
            count = len(scored.scores)
            own = cls(gram[0], product[0], squares, -0.5 * np.log1p(count * _RATIO), float(count))
            total += own * scored.weight
        return total

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


@dataclass(frozen=True, slots=True)
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

    def fits(self, scored: Scored, lives: FloatArray) -> FloatArray:
        """(g,): how well these scores fit lives of so many hours (g,), beside the life that they fit best."""
        gram, product, squares = _sums(scored, lives, self.bend, self.ratio)
        count = len(scored.scores)
        before = _evidence(self.precision, self.product, self.squares, self.half)
        after = _evidence(
            self.precision + gram, self.product + product, self.squares + squares, self.half + 0.5 * count
        )
        log = after - before - 0.5 * np.log1p(count * self.ratio) + np.log(self.weight)
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


def _sums(
    scored: Scored, lives: FloatArray, bend: FloatArray, ratio: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """For lives of so many hours (g,) and each bend and ratio (k,): the gram matrix of the terms (g, k, 4, 4), their
    products with the scores (g, k, 4) and the squares of these (k,), all weighed by the inverse of the covariance of
    one life's scores, in units of the noise."""
    count = len(scored.scores)
    over = np.minimum(_part(scored, lives)[:, None, :], 1.0) ** bend[:, None]
    shared = ratio / (1.0 + count * ratio)
    total, sum_over = float(scored.scores.sum()), over.sum(axis=2)
    inner = np.empty((len(lives), len(bend), 2, 2))
    inner[..., 0, 0] = count - shared * count**2
    inner[..., 0, 1] = inner[..., 1, 0] = sum_over * (1.0 - shared * count)
    inner[..., 1, 1] = np.einsum("gkn,gkn->gk", over, over) - shared * sum_over**2
    along = np.empty((len(lives), len(bend), 2))
    along[..., 0] = total * (1.0 - shared * count)
    along[..., 1] = np.einsum("gkn,n->gk", over, scored.scores) - shared * sum_over * total
    length = np.log(lives / UNIT_LIFE)
    outer = np.stack((np.ones_like(length), length), axis=1)
    gram = np.einsum("gkab,gc,gd->gkacbd", inner, outer, outer).reshape(len(lives), len(bend), 4, 4)
    product = np.einsum("gka,gc->gkac", along, outer).reshape(len(lives), len(bend), 4)
    return gram, product, np.asarray(float(scored.scores @ scored.scores) - shared * total**2)
