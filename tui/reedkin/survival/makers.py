"""
What other makers' logs say of a habit, as a belief for one more maker, and what her own log makes of it.

As with one log (see `evidence`), most habits are believed to do next to nothing, and some to matter by an amount of a
usual size. A habit that matters does so by m in the mean of all makers, and by m plus a deviation with a standard
deviation of its own for each of them; both are kept as weights on a grid. A maker may also be unlike all others, by
mistake, by malice, or because her ways are: then her effect is spread wide about none, whatever the others have. So one
file can say that it is unlike, and cannot draw the others after it; and a maker who is unlike is not drawn under
(a prior with heavy tails: O'Hagan & Pericchi 2012, Brazilian Journal of Probability and Statistics 26:372-401, from
memory). That a harmless habit seems to matter a little in every log, because makers do what makers do, is believed too:
what is as small as that does not mount up with the number of makers.

All figures on the scale of the log hazard ratio for one step of the habit.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np

from reedkin.survival.arrays import FloatArray
from reedkin.survival.distributions import normal_density
from reedkin.survival.errors import StatisticsError
from reedkin.survival.evidence import USUAL_BELIEF, Belief

UNLIKE = 0.05
"""One maker in twenty is believed to be unlike the others (common practice, no source)."""
DIFFER = 0.5
"""How far makers are believed to differ in a habit that matters: the scale of a half-normal distribution, in the usual
size of an effect (common practice, no source)."""
ALL_ALIKE = 0.15
"""The standard deviation, in the usual size, of what the ways of all makers alike make of a harmless habit (see the
proof of the habits report)."""
MOST_WEIGHT = 3.0
"""No file tells more than so many times what the middle one of the others does."""
_WIDE = np.array([1.0, 2.0, 4.0])
_MEANS = np.linspace(-4.0, 4.0, 121)
_DEVIATIONS = np.linspace(0.0, 2.0, 13)
_OWN = np.linspace(-9.0, 9.0, 541)
_STEP = float(_OWN[1] - _OWN[0])
_LEVEL = 0.95


@dataclass(frozen=True, slots=True)
class ForHer:
    """
    What is to be believed of the habit for one maker.

    chance      that it matters in the direction in which it seems to: above 0, lives end sooner.
    value       the middle of what its effect may be, if it has any; lo, hi: 95% of that lies between.
    unlike      the chance that she is unlike the others in it; 0 where nothing of hers is known.
    """

    chance: float
    value: float
    lo: float
    hi: float
    unlike: float


@dataclass(frozen=True)
class Others:
    """
    What the logs of `count` other makers say.

    matters    the chance that the habit matters in general, for all but a maker who is unlike.
    differ     the standard deviation among makers that is to be expected, if it does.
    other_way  the part of makers, if it does, for whom it goes the other way than in the mean.
    unlike     (count,) the chance that each of them is unlike the others.
    """

    size: float
    count: int
    matters: float
    differ: float
    other_way: float
    unlike: tuple[float, ...]
    _harmless: float
    _density: FloatArray

    def alone(self) -> ForHer:
        """For a maker of whose own reeds nothing is known."""
        return self._told(self._harmless, self._density, self._density * 0.0)

    def after(self, value: float, se: float) -> ForHer:
        """For a maker whose own log says `value` with a standard error of `se`. Raises StatisticsError."""
        if not (np.isfinite(value) and np.isfinite(se) and se > 0):
            raise StatisticsError("An estimate must be a number, and its standard error a number above 0.")
        own = np.array([value / self.size]), np.array([se / self.size])
        fits = normal_density(_OWN - own[0], own[1] ** 2)
        nothing = float(normal_density(own[0], own[1] ** 2 + ALL_ALIKE**2)[0])
        # Where her own log is surer than the grid is fine, or beyond its end, it is the nearest point that counts.
        wide = UNLIKE * _spread_wide(_OWN) * _STEP
        return self._told(self._harmless * nothing, self._density * fits, wide * fits)

    def _told(self, harmless: float, density: FloatArray, wide: FloatArray) -> ForHer:
        total = harmless + float(density.sum())
        if not total > 0:
            raise StatisticsError("It lies beyond all that can be reckoned with.")
        above, below = float(density[_OWN > 0].sum()), float(density[_OWN < 0].sum())
        places = np.cumsum(density) / max(float(density.sum()), 1e-300)
        lo, middle, hi = (
            float(np.interp(part, places, _OWN)) * self.size for part in ((1 - _LEVEL) / 2, 0.5, (1 + _LEVEL) / 2)
        )
        return ForHer(max(above, below) / total, middle, lo, hi, float(wide.sum()) / total)


class Makers:
    """Other makers' estimates of one habit, put on the grid once: all of them, or all but one, are then asked."""

    def __init__(
        self, values: Sequence[float], errors: Sequence[float], spread: float, belief: Belief = USUAL_BELIEF
    ) -> None:
        """values, errors (k,): log hazard ratios for one step of the habit, and their standard errors. spread: the
        standard deviation of the habit, in its steps. Raises StatisticsError for what is no estimate."""
        y, s = np.asarray(values, dtype=np.float64), np.asarray(errors, dtype=np.float64)
        if y.ndim != 1 or y.shape != s.shape or not (np.isfinite(y).all() and np.isfinite(s).all() and (s > 0).all()):
            raise StatisticsError("An estimate must be a number, and its standard error a number above 0.")
        if not (np.isfinite(spread) and spread > 0):
            raise StatisticsError("The spread of a habit must be a number above 0.")
        self.size, self._belief = belief.size / spread, belief
        self.variances = tempered(s**2)
        scaled, variance = y / self.size, self.variances / self.size**2
        wide = UNLIKE * np.array([_spread_wide(np.array([one]), v)[0] for one, v in zip(scaled, variance, strict=True)])
        means, deviations, _ = self._points
        alike = (1 - UNLIKE) * normal_density(scaled[:, None] - means, variance[:, None] + deviations**2)
        self._log_fits = np.log(alike + wide[:, None])
        self._strange = wide[:, None] / (alike + wide[:, None])

    @cached_property
    def _points(self) -> tuple[FloatArray, FloatArray, FloatArray]:
        """(points,) means and deviations among makers, in the usual size, and the weights of their belief: those of a
        habit that matters, and behind them those of a harmless one."""
        means, deviations = (one.ravel() for one in np.meshgrid(_MEANS, _DEVIATIONS, indexing="ij"))
        weight = np.exp(-0.5 * means**2 - 0.5 * (deviations / DIFFER) ** 2)
        weight[deviations == 0.0] /= 2.0  # the end of the grid, by the trapezoidal rule
        few = np.linspace(-3.0, 3.0, 13)
        harmless = np.exp(-0.5 * few**2)
        part = 1.0 / self._belief.one_in
        return (
            np.concatenate((means, few * ALL_ALIKE)),
            np.concatenate((deviations, np.zeros(len(few)))),
            np.concatenate((part * weight / weight.sum(), (1 - part) * harmless / harmless.sum())),
        )

    def others(self, without: int | None = None) -> Others:
        """What all of them say, or all `without` one, by its place."""
        means, deviations, belief = self._points
        kept = [place for place in range(len(self.variances)) if place != without]
        log = np.log(belief) + self._log_fits[kept].sum(axis=0)
        weight = np.exp(log - log.max())
        weight /= weight.sum()
        unlike = tuple((self._strange[kept] @ weight).tolist())
        count = len(_MEANS) * len(_DEVIATIONS)
        real = weight[:count]
        matters = float(real.sum())
        upward = float(real @ means[:count]) > 0
        differ = float(np.sqrt(real @ deviations[:count] ** 2 / max(matters, 1e-300)))
        density = _one_more() @ real
        against = density[_OWN < 0 if upward else _OWN > 0].sum() / max(float(density.sum()), 1e-300)
        harmless = (1 - UNLIKE) * float(weight[count:].sum())
        whole = (1 - UNLIKE) * density + UNLIKE * _spread_wide(_OWN) * _STEP
        return Others(self.size, len(kept), matters, differ * self.size, float(against), unlike, harmless, whole)


def tempered(variances: FloatArray) -> FloatArray:
    """Variances (k,) of makers' estimates, none so small that one tells more than MOST_WEIGHT times as much as the
    middle one of the others: a file that claims more than it can know then claims no more than three."""
    found = variances.copy()
    for place in range(len(variances)):
        others = np.delete(variances, place)
        if len(others):
            found[place] = max(variances[place], float(np.median(others)) / MOST_WEIGHT)
    return np.asarray(found)


@lru_cache(maxsize=1)
def _one_more() -> FloatArray:
    """(own, points) how likely each effect of one maker is, by the mean of all and the deviation."""
    wide = np.maximum(_DEVIATIONS, _STEP)
    return (normal_density(_OWN[:, None, None] - _MEANS[:, None], wide**2) * _STEP).reshape(len(_OWN), -1)


def _spread_wide(places: FloatArray, variance: float = 0.0) -> FloatArray:
    """The density at these places (n,) of an estimate with this variance, of a maker who is unlike the others."""
    return np.asarray(normal_density(places[:, None], variance + _WIDE[None, :] ** 2).mean(axis=1))
