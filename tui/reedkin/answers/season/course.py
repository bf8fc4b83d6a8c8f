"""The reeds of one instrument through all its engagements: one simulation, in which they wear from day to day.

Every path draws once what `answers.ready` draws for a single day: how long lives are and how scores fall, how blanks
fare, what is played, and what the maker does with her reeds. What is tied, and when, is asked of it afterwards. Days
are counted from today; between engagements she plays as she usually does, and what is played in them is played too.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from math import ceil

import numpy as np

from reedkin.answers.hours_left.outlook import Outlook
from reedkin.answers.ready.ahead import Ahead, ahead
from reedkin.answers.ready.past import LOOK_BACK, Past
from reedkin.answers.ready.rotation import Chances, Rotation, chances
from reedkin.answers.ready.simulation import days_to_service, lives_ahead, playable
from reedkin.answers.ready.ways import ways
from reedkin.bench.engagements import Engagement
from reedkin.domain.reeds import IN_SERVICE, Reed
from reedkin.survival.arrays import BoolArray, FloatArray

MOST_STEPS = 160
"""More playings than these are joined to fewer and longer ones."""
WEEKS_APART = 12
"""Blanks tied so many weeks apart share their draws, since they are hardly ever in the case together."""
_USUAL_HOURS: Mapping[str, float] = {"performance": 1.0, "rehearsal": 1.25, "lesson": 0.75, "practice": 0.75}
"""Hours that a reed is played in an engagement where none is noted (from memory)."""
WEEK = 7

Tyings = Mapping[int, tuple[int, int]]
"""What is tied: by week, counted from this one, on which day (counted from today), and how many."""


@dataclass(frozen=True, slots=True)
class SeasonStep:
    """One thing after the other: a playing, by the column of its hours; a look before an engagement, by its place; or
    the beginning of a week."""

    column: int | None = None
    look: int | None = None
    week: int | None = None
    day: int = 0


@dataclass(frozen=True, slots=True)
class SeenAhead:
    """
    What was seen on all paths.

    enough  (engagements, paths) whether there were as many reeds as are wanted.
    stock   (weeks, paths) the good reeds in service as each week begins.
    """

    enough: BoolArray
    stock: FloatArray

    @property
    def chance(self) -> FloatArray:
        """(engagements,) the chance of enough reeds for each."""
        return np.asarray(self.enough.mean(axis=1))


class SeasonCourse:
    """Draws the course of an instrument's reeds; `engagements` are its own, in the order in which they take place."""

    def __init__(
        self, past: Past, outlook: Outlook, instrument: str, stock: Sequence[Reed], now: datetime,
        engagements: Sequence[Engagement], level: float | None, paths: int, seed: int, most: int,
    ) -> None:  # fmt: skip
        """`most` blanks are tied in a week at the most."""
        rng = np.random.default_rng(seed)
        self.engagements, self.paths, self.level, self.most = tuple(engagements), paths, level, most
        self.instrument, self.stock = instrument, tuple(stock)
        self.days = [max((one.day - now.date()).days, 0) for one in engagements]
        self.last = max(self.days, default=0)
        self.weeks = self.last // WEEK + 1
        hours = [playing_hours(past, one) for one in engagements]
        known = playable(without_engaged(past, engagements, hours, self.last, rng))
        self._steps, self._hours, columns = self._taken_apart(ahead(known, self.last, None, paths, rng, False), hours)
        serving = [reed for reed in stock if reed.stage == IN_SERVICE]
        begun = [reed for reed in stock if reed.stage != IN_SERVICE]
        self._pool = min(self.weeks, WEEKS_APART) * most
        self._reeds = lives_ahead(outlook, instrument, serving, begun, self._pool, paths, rng)
        self._reeds.from_day[:, len(serving) :] = days_to_service(past, begun, self._pool, now, paths, rng)
        size = self._reeds.left.shape[1]
        self._ways = ways(past.services, past.takings, level, size, paths, rng)
        for place, reed in enumerate(serving):
            if reed.now.playings:
                played = reed.now.minutes_played - reed.now.minutes_before
                self._ways.first[:, place] = played / 60 / reed.now.playings
        self._chances = chances(columns, size, paths, past.scored_share, rng)

    def _taken_apart(self, playings: Ahead, hours: Sequence[float]) -> tuple[list[SeasonStep], FloatArray, int]:
        """The days as steps: playings, looks at the beginning of each week and before each engagement. Also the hours
        (paths, columns) of the playings."""
        marks = sorted({*range(0, self.last + 1, WEEK), *self.days})
        steps: list[SeasonStep] = []
        columns: list[FloatArray] = []
        for day, end in zip(marks, [*marks[1:], marks[-1]], strict=True):
            if day % WEEK == 0:
                steps.append(SeasonStep(week=day // WEEK, day=day))
            for place, on in enumerate(self.days):
                if on == day:
                    steps += [SeasonStep(look=place, day=day), SeasonStep(column=len(columns), day=day)]
                    columns.append(np.full(self.paths, hours[place]))
            most = max(1, round(MOST_STEPS * (end - day) / max(self.last, 1)))
            for on, played in _between(playings, day, end, most):
                steps.append(SeasonStep(column=len(columns), day=on))
                columns.append(played)
        return steps, np.stack(columns, axis=1) if columns else np.zeros((self.paths, 0)), len(columns)

    def seen(self, tyings: Tyings, until: int | None = None) -> SeenAhead:
        """What is seen if so much is tied; of the engagements up to `until` only, by its place, if one is named."""
        wanted = np.array([one.reeds for one in self.engagements])
        if not self.stock and not any(count for _, count in tyings.values()):
            none = np.repeat((wanted == 0)[:, None], self.paths, axis=1)
            return SeenAhead(none, np.zeros((self.weeks, self.paths)))
        rotation, chance = self._rotation(tyings)
        enough = np.zeros((len(self.days), self.paths), dtype=np.bool_)
        stock = np.zeros((self.weeks, self.paths))
        rows = np.zeros((self.paths, 1), dtype=np.intp)
        for step in self._steps:
            if step.column is not None:
                at = slice(step.column, step.column + 1)
                by = Chances(chance.taken[:, at], chance.off[:, at], chance.first_off)
                rotation.play(Ahead(rows + step.day, self._hours[:, at]), by, until=-1.0)
                continue
            rotation.come(max(step.day, 1) - 0.5, chance)
            if step.week is not None:
                stock[step.week] = rotation.good().sum(axis=1)
            elif step.look is not None:
                one = self.engagements[step.look]
                there = rotation.good() if one.setting == "performance" else rotation.there()
                enough[step.look] = there.sum(axis=1) >= one.reeds
                if step.look == until:
                    break
        return SeenAhead(enough, stock)

    def _rotation(self, tyings: Tyings) -> tuple[Rotation, Chances]:
        have = len(self.stock)
        which, days = list(range(have)), [0.0] * have
        for week, (day, count) in sorted(tyings.items()):
            first = have + (week % WEEKS_APART) * self.most
            which += range(first, first + count)
            days += [float(day)] * count
        chosen = np.array(which, dtype=np.intp)
        from_day = self._reeds.from_day[:, chosen] + np.array(days)
        reeds, of = self._reeds.chosen(chosen, from_day), replace(self._ways, first=self._ways.first[:, chosen])
        drawn = self._chances
        return Rotation(reeds, of, self.level), Chances(drawn.taken, drawn.off, drawn.first_off[:, chosen])


def _between(playings: Ahead, day: int, end: int, most: int) -> Iterator[tuple[int, FloatArray]]:
    """The playings from a day until another as columns of hours, one after the other on every path, each with its day,
    spread evenly; where a path has more than the `most`, or half more than usual, the last ones are joined."""
    within = (playings.day >= day) & (playings.day < end) & (playings.hours > 0.0)
    count = within.sum(axis=1)
    size = min(most, ceil(1.5 * float(count.mean()))) if count.any() else 0
    table = np.zeros((len(count), size))
    rows, places = np.nonzero(within)
    nth = np.minimum((within.cumsum(axis=1) - 1)[rows, places], size - 1)
    np.add.at(table, (rows, nth), playings.hours[rows, places])
    for place in range(size):
        yield day + place * (end - day) // size, table[:, place]


def playing_hours(past: Past, one: Engagement) -> float:
    """How long reeds are played in an engagement: as in her playings of that setting, a day's together, but no longer
    than it takes."""
    days: Counter[object] = Counter()
    for playing in past.playings:
        if playing.setting == one.setting:
            days[playing.day] += playing.minutes
    noted = sorted(days.values())
    usual = noted[len(noted) // 2] / 60 if noted else _USUAL_HOURS.get(one.setting, 1.0)
    return min(usual, one.minutes / 60) if one.minutes else usual


def without_engaged(
    past: Past, engagements: Sequence[Engagement], hours: Sequence[float], days: int, rng: np.random.Generator
) -> Past:
    """The past without as much of each setting as the engagements hold of it: they are among what she usually plays,
    and not beside it. Where they hold more than usual, nothing is left; where she has entered but some, the rest."""
    since = max(past.first_day, past.last_day - LOOK_BACK)
    length = max((past.last_day - since).days, 1)
    usual: Counter[str] = Counter()
    for playing in past.playings:
        if playing.day > since:
            usual[playing.setting] += playing.minutes
    engaged: Counter[str] = Counter()
    for one, long in zip(engagements, hours, strict=True):
        engaged[one.setting] += round(60 * long)
    left = {
        name: max(0.0, 1.0 - engaged[name] * length / (max(days, 1) * usual[name])) for name in engaged if usual[name]
    }
    drawn = rng.random(len(past.playings)).tolist()
    kept = (p for p, chance in zip(past.playings, drawn, strict=True) if chance < left.get(p.setting, 1.0))
    return replace(past, playings=tuple(kept))


def weeks_of(tyings: Tyings) -> Iterator[tuple[int, int]]:
    """How many are tied in each week."""
    return ((week, count) for week, (_, count) in sorted(tyings.items()) if count)
