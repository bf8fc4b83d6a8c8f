"""Drawing past reeds to follow.

Every path of the simulation weighs the past reeds anew, each by an exponential number times its weight (the Bayesian
bootstrap: Rubin 1981, Annals of Statistics 9:130-134; Lo 1987, 15:360-375), so that what few reeds leave open is left
open in the forecast. The summed weight of those that came good then follows a Beta distribution, as the share of a
binomial does.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from reedkin.answers.ready.past import Blank
from reedkin.survival.arrays import FloatArray, IntArray, in_parts

NEVER = np.inf
HAND_ONS = 5
"""How often a course that breaks off, since the reed followed is still at work, is handed on to another."""
_SMALLEST = 1e-300


def weights(of: Sequence[Blank], paths: int, rng: np.random.Generator) -> FloatArray:
    """(paths, n): how much each of n past reeds counts on each path. A whole reed's weight is exponential; one of
    weight w has a gamma weight of shape w, so that weights of parts add up as one reed's would."""
    return np.asarray(rng.gamma(np.array([one.weight for one in of]), size=(paths, len(of))) + _SMALLEST)


def pick(weight: FloatArray, rng: np.random.Generator) -> IntArray:
    """(rows,): for each row of `weight` (rows, n) a column, drawn with chances proportional to it."""
    drawn, chosen = rng.random(len(weight)), np.zeros(len(weight), dtype=np.intp)
    for rows in in_parts(len(weight), weight.shape[1]):
        total = np.cumsum(weight[rows], axis=1)
        chosen[rows] = (total <= (drawn[rows] * total[:, -1])[:, None]).sum(axis=1)
    return np.asarray(chosen.clip(max=weight.shape[1] - 1))
