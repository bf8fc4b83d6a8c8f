"""Will there be enough for every engagement to come, and what must be tied by when?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import TYPE_CHECKING, Literal, get_args

import numpy as np

from reedkin.answers.hours_left.outlook import Outlook
from reedkin.answers.question import Asked
from reedkin.answers.ready.forecast import LONGEST, leans_of, left_out, level_of, past_with_circle, stock_of
from reedkin.answers.season.capacity import USUAL, most_in_a_week
from reedkin.answers.season.course import WEEK, SeasonCourse, Tyings
from reedkin.answers.season.planning import Planner
from reedkin.bench.bench import Bench
from reedkin.bench.engagements import Engagement, engagement_as_dict, to_come
from reedkin.domain import as_json
from reedkin.domain.clock import Clock
from reedkin.domain.figures import date_words
from reedkin.domain.known import whole
from reedkin.domain.reeds import IN_SERVICE
from reedkin.errors import InputError
from reedkin.study.ticks import Tick, part

if TYPE_CHECKING:
    from reedkin.contract.ahead import SeasonJson

PATHS = 300
REACH = 0.9
"""The chance that is to be reached where nobody says which."""
SEED = 1

MostBy = Literal["asked", "set", "past", "usual"]
"""Whether the most blanks of a week were asked for now, or set, or are those of her good weeks or usual."""
Help = Literal["untried", "unfinished", "below", "gone"]
"""What would help where it runs short: to play in what is finished by then, to have tied earlier what is not, better
reeds, or to play those that wear out less."""
HELPS_FROM = 0.05
"""What raises a chance by less does not help."""
Given = tuple[tuple[str, int, int], ...]
"""A plan of the maker's own: of which instrument, in which week from this one, how many blanks."""


@dataclass(frozen=True, slots=True)
class Chance:
    """An engagement and the chance of enough reeds for it: with today's reeds alone, and with what is tied by plan."""

    engagement: Engagement
    now: float
    planned: float


@dataclass(frozen=True, slots=True)
class Tying:
    """So many blanks of an instrument to be tied `by` a day, in a week counted from this one."""

    week: int
    by: date
    instrument: str
    blanks: int


@dataclass(frozen=True, slots=True)
class StockAhead:
    """The good reeds of an instrument as each week begins, by plan: the middle, and what holds four times in five."""

    middle: tuple[int, ...]
    low: tuple[int, ...]
    high: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Season:
    """
    The season as it is planned.

    chances   of each engagement, in the order in which they take place.
    tie       what is to be tied, in order of time.
    stock     by instrument the good reeds week by week; `have` how many are in service and on the bench today.
    whole     the chance that there are enough for all of them, by instrument.
    most      blanks that can be tied in a week, and who says so.
    own       whether the plan is the maker's own, and none that was looked for.
    beyond    engagements more than a year ahead, which are left out.
    sure      of the first one that stays short, how many reeds there are with the chance that is to be reached; and
              `helps`, the chance of enough if that were otherwise, the best first.
    leans     what it leans on beside the maker's own log.
    """

    today: date
    until: date
    reach: float
    chances: tuple[Chance, ...]
    tie: tuple[Tying, ...]
    stock: Mapping[str, StockAhead]
    have: Mapping[str, tuple[int, int]]
    whole: Mapping[str, float]
    most: int
    most_by: MostBy
    own: bool
    beyond: int
    sure: int
    helps: tuple[tuple[Help, float], ...]
    leans: tuple[str, ...]
    clock: Clock
    courses: Mapping[str, SeasonCourse]

    @property
    def plan(self) -> Given:
        """The plan as one can give it again, changed."""
        return tuple((one.instrument, one.week, one.blanks) for one in self.tie)

    @property
    def weeks(self) -> int:
        """How many weeks it goes on, this one among them."""
        return (self.until - self.today).days // WEEK + 1

    def short(self) -> tuple[Chance, ...]:
        """The engagements that do not reach the level, even by plan."""
        return tuple(one for one in self.chances if one.planned < self.reach)

    def to_json(self) -> SeasonJson:
        return {
            "reach": self.reach,
            "until": as_json.moment(self.until),
            "most_in_a_week": self.most,
            "engagements": [
                {
                    **engagement_as_dict(one.engagement, self.clock),
                    "chance": one.planned,
                    "chance_now": one.now,
                }
                for one in self.chances
            ],
            "tie": [
                {"by": as_json.moment(one.by), "instrument": one.instrument, "blanks": one.blanks} for one in self.tie
            ],
            "all": dict(self.whole),
            "stock": {
                name: [
                    {"on": as_json.moment(self.today + timedelta(days=WEEK * week)), "median": m, "lo": lo, "hi": hi}
                    for week, (m, lo, hi) in enumerate(zip(of.middle, of.low, of.high, strict=True))
                ]
                for name, of in self.stock.items()
            },
            "leans": list(self.leans),
        }

    def lines(self) -> list[str]:
        from reedkin.answers.season.telling import season_text

        return season_text(self)


@dataclass(frozen=True, slots=True)
class SeasonQuestion:
    """
    The engagements until a day (None: all of a year), each to reach a chance.

    most    blanks tied in a week at the most; None: as the maker set it, or as her past tells.
    given   the maker's own plan; None: the best is looked for.
    drawn   an answer whose draws are used again, as long as the log and the days are the same.
    """

    today: date
    until: date | None = None
    reach: float = REACH
    most: int | None = None
    given: Given | None = None
    seed: int = SEED
    drawn: Season | None = field(default=None, compare=False)

    def answer(self, asked: Asked, tick: Tick) -> Season:
        checked(self)
        bench = asked.bench
        most, most_by = _most(self.most, bench)
        last = min(self.until or date.max, self.today + timedelta(days=LONGEST))
        every = [one for one in to_come(bench) if self.until is None or one.day <= self.until]
        wanted = [one for one in every if one.day <= last]
        if self.drawn is not None and self.drawn.most == most:
            courses, leans = self.drawn.courses, self.drawn.leans
        else:
            courses, leans = _courses(asked, wanted, most, self.seed, part(tick, 0.0, 0.25))
        if self.given is None:
            planner = Planner(courses, self.reach, most, part(tick, 0.25, 0.95))
            plan: Mapping[str, Tyings] = planner.planned()
        else:
            plan = {name: _given(self.given, name, most) for name in courses}
        tick(0.95)
        return self._told(bench, courses, plan, wanted, most, most_by, len(every) - len(wanted), leans)

    def _told(
        self, bench: Bench, courses: Mapping[str, SeasonCourse], plan: Mapping[str, Tyings],
        wanted: Sequence[Engagement], most: int, most_by: MostBy, beyond: int, leans: tuple[str, ...],
    ) -> Season:  # fmt: skip
        now, planned, whole_, stock = {}, {}, {}, {}
        for name, course in courses.items():
            idle, seen = course.seen({}), course.seen(plan[name])
            for place, one in enumerate(course.engagements):
                now[one.uid], planned[one.uid] = float(idle.chance[place]), float(seen.chance[place])
            whole_[name] = float(seen.enough.all(axis=0).mean())
            middle, low, high = np.quantile(seen.stock, (0.5, 0.1, 0.9), axis=1, method="inverted_cdf").astype(int)
            stock[name] = StockAhead(tuple(middle.tolist()), tuple(low.tolist()), tuple(high.tolist()))
        tie = [
            Tying(week, self.today + timedelta(days=day), name, count)
            for name, of in plan.items()
            for week, (day, count) in of.items()
            if count
        ]
        tie.sort(key=lambda one: (one.by, one.instrument))
        have = {
            name: (
                sum(reed.stage == IN_SERVICE for reed in course.stock),
                sum(reed.stage != IN_SERVICE for reed in course.stock),
            )
            for name, course in courses.items()
        }
        until = max((one.day for one in wanted), default=self.today)
        chances = tuple(Chance(one, now[one.uid], planned[one.uid]) for one in wanted)
        sure, helps = self._helps(courses, plan, next((one for one in chances if one.planned < self.reach), None))
        return Season(
            self.today, until, self.reach, chances, tuple(tie), stock, have, whole_, most, most_by,
            self.given is not None, beyond, sure, helps, leans, bench.clock, courses,
        )  # fmt: skip

    def _helps(
        self, courses: Mapping[str, SeasonCourse], plan: Mapping[str, Tyings], short: Chance | None
    ) -> tuple[int, tuple[tuple[Help, float], ...]]:
        """How many reeds there are for an engagement that is short with the chance that is to be reached, and what
        would help it."""
        if short is None:
            return 0, ()
        name, wanted = short.engagement.instrument, short.engagement.reeds
        course = courses[name]
        found = course.beside(plan[name], course.engagements.index(short.engagement))
        chances = ((what, found.chance(wanted, what)) for what in get_args(Help))
        helps = sorted((one for one in chances if one[1] >= short.planned + HELPS_FROM), key=lambda one: -one[1])
        return int(np.quantile(found.fit, 1.0 - self.reach, method="lower")), tuple(helps)


def checked(asked: SeasonQuestion) -> None:
    """Raises InputError where it cannot be asked so."""
    if not 0.0 < asked.reach < 1.0:
        raise InputError(f"{100 * asked.reach:g}% cannot be planned for; write --reach 90")
    if asked.until is not None and asked.until < asked.today:
        raise InputError(f"{date_words(asked.until)} is past; name a day to come")
    if asked.most is not None and not 1 <= asked.most <= 60:
        raise InputError(f"{asked.most} blanks in a week cannot be; write a number from 1 to 60")


def _most(most: int | None, bench: Bench) -> tuple[int, MostBy]:
    """The blanks of a week, and who says so."""
    if most is not None:
        return most, "asked"
    said = whole(bench.settings.facts, "blanks_week")
    if said is not None:
        return max(said, 1), "set"
    found = most_in_a_week(bench.reeds(), bench.clock.now())
    return (USUAL, "usual") if found is None else (max(found, 1), "past")


def _courses(
    asked: Asked, wanted: Sequence[Engagement], most: int, seed: int, tick: Tick
) -> tuple[dict[str, SeasonCourse], tuple[str, ...]]:
    bench, outlook = asked.bench, Outlook.of(asked)
    now = bench.clock.now()
    names = list(dict.fromkeys(one.instrument for one in wanted))
    courses: dict[str, SeasonCourse] = {}
    leans: dict[str, None] = {}
    for place, name in enumerate(names):
        tick(place / len(names))
        past, before = past_with_circle(bench, name, outlook)
        level = level_of(bench, past)
        stock = stock_of(bench, name, outlook)
        own = [one for one in wanted if one.instrument == name]
        courses[name] = SeasonCourse(past, outlook, name, stock, now, own, level, PATHS, seed, most)
        said = (*leans_of(past, outlook.known(name), level, before), *left_out(bench, name, outlook))
        leans |= dict.fromkeys(f"{name.capitalize()}: {one}" for one in said)
    return courses, tuple(leans)


def _given(given: Given, name: str, most: int) -> dict[int, tuple[int, int]]:
    """What the maker's own plan says of an instrument: each week's tied at its beginning."""
    return {week: (week * WEEK, min(count, most)) for of, week, count in given if of == name and count > 0}
