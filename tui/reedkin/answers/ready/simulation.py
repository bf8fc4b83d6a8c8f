"""The days until then, played through many times, each time with the past weighed anew."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np

from reedkin.answers.ready import common
from reedkin.answers.ready.blanks import Blanks
from reedkin.answers.ready.drawing import weights
from reedkin.answers.ready.past import Past, blank_of
from reedkin.answers.ready.rotation import SHORTEST_LOG, Reeds, ahead, rotate
from reedkin.answers.ready.services import NEW_HOURS, Course, Services
from reedkin.domain.reeds import IN_SERVICE, Reed
from reedkin.study.form import form, marks
from reedkin.survival.arrays import BoolArray, FloatArray

_SPARE_HOURS = 2.0
"""Courses are drawn so much further than all that is played: a new reed's first playing comes on top of it."""


class Simulation:
    """
    Every path draws once how the past is weighed, the playings until the day, and the course of every reed of the
    stock and of `to_come` blanks. What is asked of it afterwards differs only in how many of those are tied, and when.
    """

    def __init__(
        self, past: Past, stock: Sequence[Reed], now: datetime, days: int, rehearsal_hours: float | None, paths: int,
        seed: int, to_come: int,
    ) -> None:  # fmt: skip
        rng = np.random.default_rng(seed)
        self.days, self.paths, self.stock = days, paths, len(stock)
        known = _with_common_playings(past) if too_little_played(past) else past
        self.ahead = ahead(known, days, rehearsal_hours, paths, rng)
        self._most = float(self.ahead.totals.max(initial=0.0)) + _SPARE_HOURS
        served = (*past.services, *common.common_services())
        fared = (*past.blanks, *common.common_blanks())
        self._services = Services(served, weights(served, paths, rng))
        blanks = Blanks(fared, weights(fared, paths, rng))
        self._from_day: list[FloatArray] = []
        self._courses: list[Course] = []
        for reed in stock:
            self._take_in(reed, blanks, now, rng)
        self._saved = np.array([*(reed.now.saved_for is not None for reed in stock), *[False] * to_come])
        for _ in range(to_come):
            self._from_day.append(blanks.new(rng))
            self._courses.append(self._services.new(self._most, rng))
        self._turns = int(rng.integers(2**31))

    def _take_in(self, reed: Reed, blanks: Blanks, now: datetime, rng: np.random.Generator) -> None:
        blank = blank_of(reed, now) if reed.stage != IN_SERVICE else None
        if blank is not None:
            self._from_day.append(blanks.further(blank.days, len(blank.sittings), rng))
            self._courses.append(self._services.new(self._most, rng))
            return
        state = reed.now
        at_a_time = state.hours / state.playings if state.playings else NEW_HOURS
        scores = [mark.score for mark in marks(reed)]
        self._from_day.append(np.zeros(self.paths))
        self._courses.append(self._services.further(state.hours, form(scores), at_a_time, self._most, rng))

    def good(self, level: float | None, blanks: int, tied_in: int = 0) -> FloatArray:
        """(paths,): how many reeds are in service on the day with a form of at least `level` (None: with any), if so
        many blanks are tied in so many days."""
        size = self.stock + blanks
        if not size:
            return np.zeros(self.paths)
        there, played = self._played(size, tied_in)
        if level is not None:
            for number, course in enumerate(self._courses[:size]):
                there[:, number] &= self._services.form_after(course, played[:, number]) >= level - 1e-9
        return np.asarray(there.sum(axis=1), dtype=np.float64)

    def _played(self, size: int, tied_in: int) -> tuple[BoolArray, FloatArray]:
        """(paths, size) each: whether a reed is in service on the day, and the hours that it is played until then."""
        courses = self._courses[:size]
        from_day = np.stack(self._from_day[:size], axis=1)
        from_day[:, self.stock :] += tied_in
        from_day[from_day >= max(self.days, 1)] = np.inf
        death = np.stack([course.death for course in courses], axis=1)
        first = np.stack([course.first for course in courses], axis=1)
        pace = np.stack([course.pace for course in courses], axis=1)
        new = np.stack([course.new for course in courses], axis=1)
        reeds = Reeds(from_day, death, first, pace, new, self._saved[:size])
        # The same draws for every question, so that answers differ by what is asked and not by chance.
        played = rotate(self.ahead, reeds, np.random.default_rng(self._turns))
        return np.isfinite(from_day) & (played < death), played


def too_little_played(past: Past) -> bool:
    """Whether too little playing is noted to draw weeks from."""
    return (past.last_day - past.first_day).days < SHORTEST_LOG or not past.playings


def _with_common_playings(past: Past) -> Past:
    playings = common.common_playings(past.last_day)
    return replace(past, playings=playings, first_day=playings[0].day - timedelta(days=1))
