"""The days until then, played through many times. Each path draws anew what is not known: how long lives are and how
scores fall, how blanks fare, what is played, and what the maker does with her reeds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from statistics import fmean

import numpy as np

from reedkin.answers.hours_left.outlook import Outlook, scored
from reedkin.answers.ready import common
from reedkin.answers.ready.ahead import FEWEST_PLAYINGS, SHORTEST_LOG, ahead
from reedkin.answers.ready.blanks import Blanks, Prospect
from reedkin.answers.ready.drawing import weights
from reedkin.answers.ready.past import Past, blank_of
from reedkin.answers.ready.rotation import IN_USE, Reeds, Rotation, chances
from reedkin.answers.ready.taking import LOOK_BACK
from reedkin.answers.ready.ways import ways
from reedkin.domain.reeds import IN_SERVICE, Reed
from reedkin.study.form import FORM_OF
from reedkin.survival.arrays import FloatArray
from reedkin.survival.fading import Scored


class Simulation:
    """
    Every path draws once how the past is weighed, the playings until the day, and the life of every reed of the stock
    and of `to_come` blanks. What is asked of it afterwards differs only in how many of those are tied, and when.
    """

    def __init__(
        self, past: Past, outlook: Outlook, instrument: str, stock: Sequence[Reed], now: datetime, days: int,
        rehearsal_hours: float | None, level: float | None, paths: int, seed: int, to_come: int,
    ) -> None:  # fmt: skip
        rng = np.random.default_rng(seed)
        self.days, self.paths, self.level, self.stock = days, paths, level, len(stock)
        known = playable(past)
        self.ahead = ahead(known, days, rehearsal_hours, paths, rng)
        # Reeds in service first, then blanks, then those to be tied.
        serving = [reed for reed in stock if reed.stage == IN_SERVICE]
        begun = [reed for reed in stock if reed.stage != IN_SERVICE]
        self._reeds = lives_ahead(outlook, instrument, serving, begun, to_come, paths, rng)
        self._reeds.follow(prospects(past, begun, to_come, now, paths, rng))
        self._ways = ways(past, level, paths, rng)
        self._chances = chances(self.ahead.day.shape[1], paths, past, rng)

    def good(self, blanks: int, tied_in: int = 0) -> FloatArray:
        """(paths,): how many reeds are in service on the day with a form of at least the level, if so many blanks are
        tied in so many days."""
        size = self.stock + blanks
        if not size:
            return np.zeros(self.paths)
        reeds = self._reeds.first(size, tied_in, self.stock)
        rotation = Rotation(reeds, self._ways, self.level)
        rotation.play(self.ahead, self._chances)
        return np.asarray(rotation.good().sum(axis=1), dtype=np.float64)


def lives_ahead(
    outlook: Outlook, instrument: str, serving: Sequence[Reed], begun: Sequence[Reed], to_come: int, paths: int,
    rng: np.random.Generator,
) -> Reeds:  # fmt: skip
    """Draw the hours left of each reed, and then, lives being as long as that, how it will score."""
    new = len(begun) + to_come
    left = outlook.drawn(serving, new, instrument, paths, rng)
    size = left.shape[1]
    hours, age, recent = np.zeros((paths, size)), np.zeros((paths, size)), np.full((paths, size, FORM_OF), np.nan)
    given: list[Scored | None] = [None] * size
    for place, reed in enumerate([*serving, *begun]):
        hours[:, place] = age[:, place] = reed.now.hours
        one = scored(reed)
        if reed.of_unknown_age:
            # What is over of a life that is met at some age is spread as what is left of it is.
            before = outlook.drawn([reed], 0, instrument, paths, rng)[:, 0]
            age[:, place] += before
            one = None if one is None else Scored(one.hours + before[:, None], one.scores)
        given[place] = one
        if one is not None:
            last = one.scores[-FORM_OF:]
            recent[:, place, FORM_OF - len(last) :] = last
    lives = age + left
    course = outlook.known(instrument).fading.drawn(
        [(lives[:, place], one) for place, one in enumerate(given) if one is not None], paths, rng
    )
    courses = [course.of_life(lives[:, place], one, rng) for place, one in enumerate(given)]
    level, fall = (np.stack(columns, axis=1) if size else np.zeros((paths, 0)) for columns in _columns(courses))
    # One of which nothing was written for long may be gone: then it never comes to be in use.
    from_day = np.full((paths, size), IN_USE)
    for place, reed in enumerate(serving):
        if chance := outlook.sight.doubt.get(reed.id, 0.0):
            from_day[rng.random(paths) < chance, place] = np.inf
    saved = np.array([*(reed.now.saved_for is not None for reed in (*serving, *begun)), *[False] * to_come])
    return Reeds(
        from_day=from_day, rests=np.zeros((paths, size)), passes=np.zeros((paths, size)), hours=hours, left=left,
        age=age, level=level, fall=fall, odds=rng.exponential(size=(paths, size)), recent=recent, saved=saved,
        bend=course.bend, noise=course.noise,
    )  # fmt: skip


def _columns(courses: Sequence[tuple[FloatArray, FloatArray]]) -> tuple[list[FloatArray], list[FloatArray]]:
    return [level for level, _ in courses], [fall for _, fall in courses]


def prospects(
    past: Past, begun: Sequence[Reed], to_come: int, now: datetime, paths: int, rng: np.random.Generator
) -> list[Prospect]:
    """What becomes of blanks that are under way, and of those tied now."""
    fared = (*past.blanks, *past.lent_blanks, *(past.usual_blanks or common.common_blanks()))
    long = fmean(one.minutes / 60 for one in past.playings) if past.playings else common.FIRST_HOURS
    blanks, found = Blanks(fared, weights(fared, paths, rng), long), []
    for reed in begun:
        blank = blank_of(reed, now)
        found.append(blanks.new(rng) if blank is None else blanks.further(blank.days, len(blank.sittings), rng))
    return found + [blanks.new(rng) for _ in range(to_come)]


def too_little_played(past: Past) -> bool:
    """Whether too little playing is noted to draw weeks from: in all, or of late, since who asks for reeds to play in
    public will play until then, and what is tied now would else never be tried."""
    short = (past.last_day - past.first_day).days < SHORTEST_LOG or len(past.playings) < FEWEST_PLAYINGS
    return short or past.playings[-1].day < past.last_day - LOOK_BACK


def playable(past: Past) -> Past:
    """A past that weeks can be drawn from: with the usual playings where too little is noted."""
    if not too_little_played(past):
        return past
    playings = common.common_playings(past.last_day)
    return replace(past, playings=playings, first_day=playings[0].day - timedelta(days=1))
