"""How a blank will fare: as a past blank fared that had got so far."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from typing import NamedTuple

import numpy as np

from reedkin.answers.ready.drawing import HAND_ONS, NEVER, pick
from reedkin.answers.ready.past import Blank
from reedkin.survival.arrays import FloatArray, IntArray, in_parts

SITTINGS_WIDTH = 1.0
"""How unlike a past blank may be and still be followed: the standard deviation of a normal kernel, in days of work."""
UNLIKE = 2.0
"""How many past blanks count that were not as old and undecided: else a few that were, and all fared the same, would
leave nothing open."""
_LEAST_REST = 0.05
"""The mean of a blank's rest beside that of its wait thereafter, at the least."""


class Prospect(NamedTuple):
    """What becomes of a blank on every path (paths,): the days until it may be played, infinite where it never comes
    good; for how many of them it rested, nothing more being done to it; and the share of the playing that it then lets
    pass before it is played."""

    days: FloatArray
    rests: FloatArray
    passes: FloatArray


class Blanks:
    """
    Past blanks (n) to draw from, with their weights (paths, n), and the mean hours of a playing.

    After the last work on it a blank rests; then it is taken up as readily as another reed, and how long that takes
    goes by its share of the playing (see `shares`): exponential, with the mean of a playing. When the one gives way to
    the other is not seen. What past ones waited beyond that mean is the mean of their rest, taken as exponential too;
    so of each wait it can be drawn how much of it was rest, the sum being known.
    """

    def __init__(self, past: Sequence[Blank], weight: FloatArray, playing: float) -> None:
        self.past = past
        self.weight = weight
        self.days = np.array([blank.days for blank in past], dtype=np.float64)
        self.served = np.array([blank.outcome == "served" for blank in past])
        self.open = np.array([blank.outcome == "open" for blank in past])
        self.finished = np.array([blank.finished for blank in past], dtype=np.intp)
        self._waits = np.concatenate([blank.waits for blank in past])
        self._first = np.cumsum([0, *(len(blank.waits) for blank in past)])
        self._apart = 1.0 + float(self._waits.max(initial=0.0))
        self._all = self._waits + self._apart * np.repeat(np.arange(len(past)), np.diff(self._first))
        self._sooner = self._sooner_than_not(playing)
        self._anyhow = np.cumsum(weight * (UNLIKE / len(past)), axis=1)
        self._alike: dict[tuple[int, int], FloatArray] = {}

    def new(self, rng: np.random.Generator) -> Prospect:
        """Of a blank tied now."""
        return self._follow(pick(self.weight, rng), np.zeros(len(self.weight)), rng)

    def further(self, age: int, sittings: int, rng: np.random.Generator) -> Prospect:
        """Of a blank of some age in days that was worked on on so many days."""
        rows = np.arange(len(self.weight))
        like = np.broadcast_to(self._likeness(age, sittings), self.weight.shape)
        chosen, start = self._like(rows, np.full(len(rows), float(age)), like, rng)
        return self._follow(chosen, start, rng)

    def _like(
        self, rows: IntArray, age: FloatArray, like: FloatArray, rng: np.random.Generator
    ) -> tuple[IntArray, FloatArray]:
        """For each of these paths a past blank to follow, and its age where that begins: one that was undecided at this
        age (rows,) after about as many days of work, as the likeness (rows, n) says; or any, if that was finished by
        then as from that day: a blank that is under way does not begin anew."""
        chosen = np.zeros(len(rows), dtype=np.intp)
        for part in in_parts(len(rows), len(self.past)):
            chosen[part] = self._one_like(rows[part], like[part], rng)
        one = chosen % len(self.past)
        return one, np.where(chosen < len(self.past), age, np.minimum(age, self.finished[one]))

    def _one_like(self, rows: IntArray, like: FloatArray, rng: np.random.Generator) -> IntArray:
        """For each of these paths the number of a past blank: n and more for those that are followed anyhow."""
        alike = np.cumsum(self.weight[rows] * like, axis=1)
        anyhow = self._anyhow[rows]
        drawn = rng.random(len(rows)) * (alike[:, -1] + anyhow[:, -1])
        beyond = drawn >= alike[:, -1]
        chosen = (alike <= drawn[:, None]).sum(axis=1)
        chosen[beyond] += (anyhow[beyond] <= (drawn - alike[:, -1])[beyond, None]).sum(axis=1)
        return np.asarray(chosen.clip(max=2 * len(self.past) - 1))

    def _likeness(self, age: int, sittings: int) -> FloatArray:
        """(n,): how like each past blank was at this age to one that was worked on on so many days; 0 for one whose
        fate was decided by then."""
        if (age, sittings) not in self._alike:
            apart = np.array([blank.sat(age) - sittings for blank in self.past]) / SITTINGS_WIDTH
            self._alike[age, sittings] = np.where(self.days > age, np.exp(-0.5 * apart**2), 0.0)
        return self._alike[age, sittings]

    def _follow(self, chosen: IntArray, start: FloatArray, rng: np.random.Generator) -> Prospect:
        """Along the blanks chosen, from their ages `start`. Where one is itself undecided today, another that was so at
        its age takes over."""
        days, rested, passes = np.zeros(len(chosen)), np.zeros(len(chosen)), np.zeros(len(chosen))
        for _ in range(HAND_ONS):
            stuck = np.flatnonzero(self.open[chosen])
            if not len(stuck):
                break
            some = self._course(stuck, chosen[stuck], start[stuck], rng)
            days[stuck] += some.days
            rested[stuck] = _on(rested[stuck], some)
            passes[stuck] += some.passes
            like = self._between[chosen[stuck]]
            chosen[stuck], start[stuck] = self._like(stuck, self.days[chosen[stuck]], like, rng)
        last = self._course(np.arange(len(chosen)), chosen, start, rng)
        never = np.where(self.served[chosen], 0.0, NEVER)
        return Prospect(days + last.days + never, _on(rested, last), passes + last.passes)

    @cached_property
    def _between(self) -> FloatArray:
        """(n, n): how like each past blank was to each other one when that was as old as it is now."""
        return np.stack([self._likeness(one.days, one.sat(one.days)) for one in self.past])

    def _course(self, rows: IntArray, of: IntArray, start: FloatArray, rng: np.random.Generator) -> Prospect:
        """How past blanks (n,) fared from these ages on, each on one of these paths: what is left until they were
        to be taken up, and what they let pass then."""
        first, last = self._first[of], self._first[of + 1] - 1
        whole = self._waits[last]
        passes = _part(whole, self._sooner[rows], rng)
        begun = np.searchsorted(self._all, whole - passes + self._apart * of)
        begun = np.clip(begun, first, last)
        now = np.clip(first + (start - self.finished[of]).astype(np.intp), first, last)
        days = np.maximum(self.finished[of] + begun - first - start, 0.0)
        rests = np.minimum(days, begun - first)
        return Prospect(days, rests, np.where(begun > now, whole - self._waits[begun], whole - self._waits[now]))

    def _sooner_than_not(self, playing: float) -> FloatArray:
        """(paths,): by how much the rate at which they are taken up is above that at which their rest ends."""
        known = np.array([len(blank.waits) > 1 for blank in self.past])
        waited = self.weight @ (known * self._waits[self._first[1:] - 1])
        mean = (waited + 2.0 * playing) / (self.weight @ (known & self.served) + 1.0)
        return np.asarray(1.0 / playing - 1.0 / np.maximum(mean - playing, _LEAST_REST * playing))


def _on(rested: FloatArray, further: Prospect) -> FloatArray:
    """(n,): how long blanks that had rested so long have rested in the end; not before the last work on them."""
    return np.where(further.rests < further.days, 0.0, rested) + further.rests


def _part(whole: FloatArray, rate: FloatArray, rng: np.random.Generator) -> FloatArray:
    """(n,): draws from an exponential law of this rate within 0 and `whole`; of a negative one, it grows to the end."""
    steep = np.maximum(np.abs(rate), 1e-9)
    drawn = -np.log1p(rng.random(len(whole)) * np.expm1(-steep * whole)) / steep
    return np.asarray(np.clip(np.where(rate > 0.0, drawn, whole - drawn), 0.0, whole))
