"""How a blank will fare: as a past blank fared that had got so far."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from reedkin.answers.ready.drawing import HAND_ONS, NEVER, in_parts, pick
from reedkin.answers.ready.past import Blank
from reedkin.survival.arrays import FloatArray, IntArray

SITTINGS_WIDTH = 1.0
"""How unlike a past blank may be and still be followed: the standard deviation of a normal kernel, in days of work."""
UNLIKE = 2.0
"""How many past blanks count that were not as old and undecided, each as from its tying: else a few that were, and all
fared the same, would leave nothing open."""


class Blanks:
    """Past blanks (n) to draw from, with their weights (paths, n). A blank's fate is the day of its first playing."""

    def __init__(self, past: Sequence[Blank], weight: FloatArray) -> None:
        self.past = past
        self.weight = weight
        self.days = np.array([blank.days for blank in past], dtype=np.float64)
        self.served = np.array([blank.outcome == "served" for blank in past])
        self.open = np.array([blank.outcome == "open" for blank in past])
        self._alike: dict[tuple[float, int], FloatArray] = {}

    def new(self, rng: np.random.Generator) -> FloatArray:
        """(paths,): days from tying to service of a blank tied now; infinite for never."""
        return self._follow(pick(self.weight, rng), np.zeros(len(self.weight)), rng)

    def further(self, age: int, sittings: int, rng: np.random.Generator) -> FloatArray:
        """(paths,): days from now to service of a blank of some age in days that was worked on on so many days."""
        chosen, start = self._like(np.arange(len(self.weight)), float(age), sittings, rng)
        return self._follow(chosen, start, rng)

    def _like(self, rows: IntArray, age: float, sittings: int, rng: np.random.Generator) -> tuple[IntArray, FloatArray]:
        """For each of these paths a past blank to follow, and its age where that begins: one that was undecided at this
        age after about as many days of work, or any from its tying."""
        like = self._likeness(age, sittings)
        anyhow = np.full(len(self.past), UNLIKE / len(self.past))
        chosen = np.zeros(len(rows), dtype=np.intp)
        for part in in_parts(len(rows), 2 * len(self.past)):
            weight = self.weight[rows[part]]
            chosen[part] = pick(np.concatenate((weight * like, weight * anyhow), axis=1), rng)
        return chosen % len(self.past), np.where(chosen < len(self.past), age, 0.0)

    def _likeness(self, age: float, sittings: int) -> FloatArray:
        """(n,): how like each past blank was at this age to one that was worked on on so many days; 0 for one whose
        fate was decided by then."""
        if (age, sittings) not in self._alike:
            apart = np.array([blank.sat(age) - sittings for blank in self.past]) / SITTINGS_WIDTH
            self._alike[age, sittings] = np.where(self.days > age, np.exp(-0.5 * apart**2), 0.0)
        return self._alike[age, sittings]

    def _follow(self, chosen: IntArray, start: FloatArray, rng: np.random.Generator) -> FloatArray:
        """Days to service along the blanks chosen, from their ages `start`. Where one is itself undecided today,
        another that was so at its age takes over."""
        passed = np.zeros(len(chosen))
        for _ in range(HAND_ONS):
            stuck = self.open[chosen]
            passed[stuck] += self.days[chosen[stuck]] - start[stuck]
            for one in np.unique(chosen[stuck]):
                rows = np.flatnonzero(stuck & (chosen == one))
                age = float(self.days[one])
                chosen[rows], start[rows] = self._like(rows, age, self.past[one].sat(age), rng)
        return np.asarray(np.where(self.served[chosen], passed + self.days[chosen] - start, NEVER))
