"""How a reed in service will fare: as past reeds fared that had been played about as long and scored about as well."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from reedkin.answers.ready.drawing import HAND_ONS, NEVER, in_parts, pick
from reedkin.answers.ready.past import Service
from reedkin.survival.arrays import FloatArray, IntArray

HOURS_WIDTH, FORM_WIDTH = 1.75, 0.6
"""How unlike a past reed may be and still be followed: standard deviations of a normal kernel, in hours played and in
points of the score."""
UNLIKE = 3.0
"""How many past reeds of these hours count whatever their score: else a few that scored alike, and all fared the same,
would leave nothing open."""
KEPT = 0.85
"""How often a reed keeps the difference in form between it and the one it follows; else that was chance. It is kept in
half points, as scores are given, since a reed that is just good enough mostly stays on that point."""
NEW_HOURS = 3.0
"""Hours for which many makers play a new reed only a little at a time (common practice, no source)."""
_UNSCORED = np.exp(-2.0)
"""What a past reed without a score counts beside one that fits perfectly."""


@dataclass(frozen=True, slots=True)
class Course:
    """
    The further course of one reed on every path, in segments that follow one past reed each.

    death   (paths,) hours of further playing at which it goes; infinite if not within what was asked for.
    first   (paths,) hours of the playing that service begins with, 0 for a reed that is in service.
    pace    (paths,) hours that it is played at a time at the most while it is new; new (paths,) for how many it is.
    begins  (paths, s) further hours at which each segment begins, infinite where there is none.
    now     the form that it has before it is played further; NaN where it has none yet.
    reed    (paths, s) the past reed followed; at (paths, s) its hours there; shift (paths, s) added to its form.
    """

    death: FloatArray
    first: FloatArray
    pace: FloatArray
    new: FloatArray
    begins: FloatArray
    reed: IntArray
    at: FloatArray
    shift: FloatArray
    now: float = np.nan


class Services:
    """Past reeds in service (n) to draw from, with their weights (paths, n), as points: one after each of its playings
    that a reed outlasted."""

    def __init__(self, past: Sequence[Service], weight: FloatArray) -> None:
        self.weight = weight
        self.last = np.array([service.hours[-1] for service in past])
        self.ended = np.array([service.ended for service in past])
        self.begun = np.array([service.hours[0] for service in past])
        self.born = np.array([service.before == 0.0 for service in past], dtype=np.float64)
        points = [
            (number, service.hours[place], service.form[place], service.at_a_time)
            for number, service in enumerate(past)
            for place in range(len(service.hours))
            if place + 1 < len(service.hours) or (service.ended and not service.prompt)
        ]
        self.owner = np.array([p[0] for p in points], dtype=np.intp)
        self.hours = np.array([p[1] for p in points])
        self.form = np.array([p[2] for p in points], dtype=np.float64)
        self._part = np.array([p[3] for p in points]) / (np.sqrt(2.0 * np.pi) * HOURS_WIDTH)
        # All playings of all past reeds in one ascending line, for looking up the form at any hour.
        self._stride = float(self.last.max()) + 1.0
        self._line = np.concatenate([n * self._stride + np.array(s.hours) for n, s in enumerate(past)])
        self._forms = np.array([form for service in past for form in service.form], dtype=np.float64)

    def new(self, most: float, rng: np.random.Generator) -> Course:
        """The course of a reed that begins its service, for `most` further hours at the most. It is played at a time as
        the one it follows was at first."""
        reed = pick(self.weight * self.born, rng)
        zero, first = np.zeros(len(reed)), self.begun[reed]
        return self._follow(reed, zero, zero, most, rng, first, first, NEW_HOURS)

    def further(self, hours: float, form: float | None, pace: float, most: float, rng: np.random.Generator) -> Course:
        """The course of a reed that has been played so many hours, so many at a time, and has this form, for `most`
        further hours at the most."""
        paths = len(self.weight)
        now = np.nan if form is None else form
        reed, at, shift = self._like(np.arange(paths), np.full(paths, hours), np.full(paths, now), rng)
        course = self._follow(reed, at, shift, most, rng, np.zeros(paths), np.full(paths, pace), NEW_HOURS - hours)
        return replace(course, now=now)

    def _like(
        self, rows: IntArray, hours: FloatArray, form: FloatArray, rng: np.random.Generator
    ) -> tuple[IntArray, FloatArray, FloatArray]:
        """For each of these paths a past reed that was like one of so many hours and this form: which, at how many
        hours of its own, and what to add to its form."""
        same = np.all(hours == hours[0]) and np.array_equal(form, np.full(len(form), form[0]), equal_nan=True)
        alike = self._alike(hours[:1], form[:1]) if same else None
        point = np.zeros(len(rows), dtype=np.intp)
        for part in in_parts(len(rows), len(self.hours)):
            like = self._alike(hours[part], form[part]) if alike is None else alike
            point[part] = pick(self.weight[rows[part]][:, self.owner] * like, rng)
        shift = np.round(2.0 * (form - self.form[point])) / 2.0 * (rng.random(len(rows)) < KEPT)
        return self.owner[point], self.hours[point], np.where(np.isnan(shift), 0.0, shift)

    def _alike(self, hours: FloatArray, form: FloatArray) -> FloatArray:
        """(rows, points): how much each point is like a reed of so many hours and this form. All points of a reed that
        was played through about these hours make up one; those of one that went in them less."""
        log = -0.5 * ((hours[:, None] - self.hours) / HOURS_WIDTH) ** 2
        near = self._part * np.exp(log - log.max(axis=1, keepdims=True))
        alike = np.exp(-0.5 * ((form[:, None] - self.form) / FORM_WIDTH) ** 2)
        alike = np.where(np.isnan(form)[:, None], 1.0, np.where(np.isnan(self.form), _UNSCORED, alike))
        return np.asarray(near * (alike + UNLIKE / near.sum(axis=1, keepdims=True)))

    def _follow(
        self, reed: IntArray, at: FloatArray, shift: FloatArray, most: float, rng: np.random.Generator,
        first: FloatArray, pace: FloatArray, new: float,
    ) -> Course:  # fmt: skip
        """Follow these reeds to their ends; where one is still at work, another that was like it takes over."""
        death = np.full(len(reed), NEVER)
        segments = [(np.zeros(len(reed)), reed, at, shift)]
        done, going = np.zeros(len(reed)), np.ones(len(reed), dtype=bool)
        for _ in range(HAND_ONS):
            done = done + np.where(going, self.last[reed] - at, 0.0)
            death = np.where(going & self.ended[reed], done, death)
            going = going & ~self.ended[reed] & (done < most)
            rows = np.flatnonzero(going)
            if not len(rows):
                break
            now = self.form_at(reed[rows], self.last[reed[rows]]) + shift[rows]
            hours = self.last[reed[rows]]
            reed, at, shift = reed.copy(), at.copy(), shift.copy()
            reed[rows], at[rows], shift[rows] = self._like(rows, hours, now, rng)
            segments.append((np.where(going, done, NEVER), reed, at, shift))
        begins, reeds, ats, shifts = zip(*segments, strict=True)
        columns = np.stack(begins, axis=1), np.stack(reeds, axis=1), np.stack(ats, axis=1), np.stack(shifts, axis=1)
        return Course(death, first, pace, np.full(len(first), new), *columns)

    def form_at(self, reed: IntArray, hours: FloatArray) -> FloatArray:
        """The form that past reeds had after so many hours; NaN where they had none yet."""
        place = np.searchsorted(self._line, reed * self._stride + hours + 1e-9, side="right") - 1
        own = place >= np.searchsorted(self._line, reed * self._stride, side="left")
        return np.asarray(np.where(own, self._forms[np.maximum(place, 0)], np.nan))

    def form_after(self, course: Course, played: FloatArray) -> FloatArray:
        """(paths,): the form of a reed when it has been played so many hours further."""
        segment = (course.begins <= played[:, None]).sum(axis=1) - 1
        rows = np.arange(len(played))
        hours = course.at[rows, segment] + played - course.begins[rows, segment]
        later = self.form_at(course.reed[rows, segment], hours) + course.shift[rows, segment]
        return np.asarray(later if np.isnan(course.now) else np.where(played > 0.0, later, course.now))
