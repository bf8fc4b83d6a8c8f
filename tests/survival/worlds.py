"""Makers of several kinds, simulated for the proofs of hours left and of readiness, with what came of every reed.

Nothing here is shared with the models that are put to the proof, nor with the maker of the demo logs: lives follow laws
of several shapes, reeds fade in several ways, and makers do what makers do. All figures are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta, timezone
from math import exp, log
from random import Random
from statistics import median
from typing import Any, Literal

Law = Literal["weibull", "lognormal", "mixed"]
Fade = Literal["linear", "late", "sudden"]
Way = Literal["two by turns", "another each fortnight", "the newest", "on top", "spared for concerts"]
START = datetime(2025, 9, 1, 9, tzinfo=timezone(timedelta(hours=1)))
FOLLOWED = 28
"""Days that a log goes on after the day on which it is cut off, for forecasts to be looked up."""
_LONGEST = 45.0
_QUIET = (0, 0, 0, 0, 1)
KIND = "english horn"


@dataclass(frozen=True, slots=True)
class World:
    """
    A maker and her reeds.

    law, fade   how lives are spread, and how scores fall over a life.
    life        the middle life in hours.
    days        days of the log until it is cut off.
    scored      the share of playings with a score.
    prefers     she takes a good reed more often, and puts a failing one down sooner.
    by_score    she retires a reed when its scores are low, and it lasts no longer than that.
    sells       she sells reeds that score well.
    shortens    lives shorten by so much over the log: 0.4 is 40%.
    joined      reeds that were in use before the log begins.
    used_up     the median of three scores below which one who retires by score puts a reed away for good.
    bursts      she ties only before concerts: nine blanks every eight weeks.
    favourite   she goes on with the reed she played last, four times in five.
    seasons     for six weeks of eighteen she hardly plays, then more than otherwise.
    summers     in July and August she hardly plays.
    moods       how far the scores of a day are all off, as a standard deviation.
    improves    points by which new reeds are better at the end of the log.
    coarse      scores are whole points.
    changes     in the second half of the log she does as `prefers` and `favourite` say, in the first the other way.
    at_once     she plays a new reed in before she takes up another.
    written     the share of her playings that she writes down; the others wear the reeds as well.
    told        the share of her reeds' ends that she writes down before the log is cut off.
    late        she gives blanks up late, after three to seven weeks.
    oboe        she plays the oboe besides, and has no favourite there.
    heavy       one reed in ten lasts five times as long.
    batch       how far lives of reeds tied on one day all differ: a standard deviation of their logarithm.
    moves       sixty days before the log is cut off lives shorten by so much, for all reeds begun from then on.
    leave       she plays nothing for half a year, until twenty days before the log is cut off.
    clears      she writes the ends of reeds down once in thirty days; worn out, they lie in the case until then.
    reserves    of reeds that sound well in their first hours she plays hardly any for months.
    sevens      nine scores in ten are 7, whatever she heard.
    newly       of the days of the log she has had the instrument only so many; before, she plays the oboe alone.
    two         another player keeps the same log: her reeds last half as long, and she plays the good ones more.
    slow        how long blanks take to be ready has a heavy tail: a standard deviation of the logarithm.
    way         which reed she takes four times in five, if not any: of two the one that she did not play last, as long
                as they last; the same for a fortnight, then another; the newest that plays well; what lies on top, of
                what she played and what is new; any but the best, which she plays on Saturdays alone.
    """

    law: Law = "weibull"
    fade: Fade = "late"
    life: float = 12.0
    days: int = 300
    scored: float = 0.7
    prefers: bool = False
    by_score: bool = False
    sells: bool = False
    shortens: float = 0.0
    joined: int = 2
    used_up: float = 5.5
    bursts: bool = False
    favourite: bool = False
    seasons: bool = False
    summers: bool = False
    moods: float = 0.0
    improves: float = 0.0
    coarse: bool = False
    changes: bool = False
    at_once: bool = False
    written: float = 1.0
    told: float = 1.0
    late: bool = False
    oboe: bool = False
    heavy: bool = False
    batch: float = 0.0
    moves: float = 0.0
    leave: bool = False
    clears: bool = False
    reserves: bool = False
    sevens: bool = False
    newly: int = 0
    two: bool = False
    slow: float = 0.0
    way: Way | None = None


@dataclass(slots=True)
class OneReed:
    """A reed and what is true of it. `life`: the hours at which it is worn out, unless by its score sooner."""

    tag: str
    life: float
    first: float
    fall: float
    bend: float
    served: datetime | None
    hours: float = 0.0
    scores: list[float] = field(default_factory=list)
    gone: bool = False
    lies: bool = False

    def form(self) -> float:
        """How well it plays now."""
        return self.first - self.fall * (self.hours / self.life) ** self.bend


@dataclass(frozen=True, slots=True)
class Living:
    """A reed in service when the log is cut off: its hours then, and those that it had before it."""

    tag: str
    hours: float
    left: float


@dataclass(frozen=True, slots=True)
class History:
    """A log as rows in the import form, to FOLLOWED days after the day on which it is cut off; what living reeds had
    left then; and the true law of lives at that time, as lives of many reeds."""

    rows: list[dict[str, Any]]
    cut: datetime
    living: tuple[Living, ...]
    lives: tuple[float, ...]


class _Maker:
    """Plays a world through, day by day."""

    def __init__(self, world: World, seed: int, kind: str = KIND, before: str = "") -> None:
        self.world, self.chance, self.kind, self.before = world, Random(seed), kind, before
        self.rows: list[dict[str, Any]] = []
        self.beside = _beside(world, seed)
        self.reeds: list[OneReed] = []
        self.level = self.chance.gauss(7.6, 0.3)
        self.life = world.life * exp(self.chance.gauss(0.0, 0.2))
        self.day = 0
        self.last: OneReed | None = None
        self.mood = 0.0
        self.batch = 0.0
        self.pile: list[OneReed] = []

    def new_life(self) -> float:
        """The hours of a reed that is begun now."""
        middle = self.life * (1.0 - self.world.shortens * min(self.day / self.world.days, 1.0))
        middle *= exp(self.batch) * (1.0 - self.world.moves * (self.day >= self.world.days - 60))
        if self.world.heavy and self.chance.random() < 0.1:
            middle *= 5.0
        match self.world.law:
            case "weibull":
                return max(middle * (-log(1.0 - self.chance.random()) / log(2.0)) ** (1 / 2.5), 0.8)
            case "lognormal":
                return max(middle * exp(self.chance.gauss(0.0, 0.45)), 0.8)
            case "mixed":
                middle *= 0.5 if self.chance.random() < 0.3 else 1.2
                return max(middle * exp(self.chance.gauss(0.0, 0.25)), 0.8)

    def new_reed(self, served: datetime | None) -> OneReed:
        bend = {"linear": 1.0, "late": 3.0, "sudden": 12.0}[self.world.fade]
        level = self.level + self.world.improves * min(self.day / self.world.days, 1.0)
        first = level + self.chance.gauss(0.0, 0.7)
        fall = max(self.chance.gauss(2.8, 0.6), 0.5)
        reed = OneReed(f"{self.before}{len(self.reeds) + 1}", self.new_life(), first, fall, bend, served)
        self.reeds.append(reed)
        return reed

    def write(self, reed: OneReed, kind: str, at: datetime, **facts: Any) -> None:
        self.rows.append({"tag": reed.tag, "kind": kind, "at": at.isoformat(), **facts})

    def begin(self) -> None:
        """The reeds in use when the log begins."""
        for _ in range(self.world.joined):
            reed = self.new_reed(START)
            reed.hours = round(reed.life * self.chance.uniform(0.1, 0.8), 1)
            self.write(reed, "joined", START, instrument=self.kind, hours_before=reed.hours)
        if self.beside is not None:
            self.beside.begin()

    def case(self, at: datetime) -> list[OneReed]:
        return [
            reed
            for reed in self.reeds
            if not reed.gone and not reed.lies and reed.served is not None and reed.served <= at
        ]

    def live(self, tying: bool) -> None:
        """One day: blanks are tied where there are too few, and reeds are played."""
        at = START + timedelta(days=self.day)
        if not self.world.newly or self.world.days - self.day <= self.world.newly:
            self.live_through(at, tying)
        self.day += 1
        if self.beside is not None:
            self.beside.live(tying)
            self.rows += self.beside.rows
            self.beside.rows = []

    def live_through(self, at: datetime, tying: bool) -> None:
        """The same of her own reeds."""
        pending = [reed for reed in self.reeds if not reed.gone and reed.served is not None and reed.served > at]
        if self.world.moods:
            self.mood = self.chance.gauss(0.0, self.world.moods)
        few = self.day % 3 == 0 and len(self.case(at)) + len(pending) < 9
        if tying and (self.day % 56 == 30 if self.world.bursts else few):
            self.batch = self.chance.gauss(0.0, self.world.batch) if self.world.batch else 0.0
            for _ in range(9 if self.world.bursts else 3):
                self.tie(at)
        playings = (0, 1, 1, 2, 2)
        if self.world.seasons:
            playings = _QUIET if self.day % 126 < 42 else (1, 1, 2, 2, 3)
        if self.world.summers and at.month in (7, 8):
            playings = _QUIET
        if self.world.leave and 20 <= self.world.days - self.day < 200:
            playings = (0,)
        if self.world.clears and self.day % 30 == 0:
            for reed in self.reeds:
                if reed.lies and not reed.gone:
                    self.write(reed, "retired", at, cause="worn")
                    reed.gone = True
        for place in range(self.chance.choice(playings)):
            self.play(at + timedelta(hours=4 * place + 1))

    def tie(self, at: datetime) -> None:
        days = self.chance.lognormvariate(log(10), self.world.slow) if self.world.slow else self.chance.randint(6, 16)
        reed = self.new_reed(at + timedelta(days=min(round(max(days, 5.0)), 400)))
        self.write(reed, "tied", at, instrument=self.kind, overall_mm=60)
        self.write(reed, "scraped", at + timedelta(days=2), minutes=10)
        self.write(reed, "scraped", at + timedelta(days=5), minutes=10)
        if self.chance.random() < 0.3:
            end = at + timedelta(days=self.chance.randint(*((20, 50) if self.world.late else (5, 12))))
            self.write(reed, "retired", end, cause="never came good")
            reed.gone, reed.served = True, None

    def play(self, at: datetime) -> None:
        reeds = self.case(at)
        if not reeds:
            return
        other = self.world.changes and self.day < self.world.days / 2
        prefers, favourite = self.world.prefers and not other, self.world.favourite != other
        liking = [exp(0.8 * reed.form()) if prefers else 1.0 for reed in reeds]
        if self.world.reserves:
            good = [reed.hours > 1.5 and reed.first > self.level + 0.3 for reed in reeds]
            liking = [one * (0.04 if kept else 1.0) for one, kept in zip(liking, good, strict=True)]
        new = [reed for reed in reeds if not reed.hours] if self.world.at_once else []
        reed = new[0] if new else self.chance.choices(reeds, liking)[0]
        if favourite and not new and self.last in reeds and self.chance.random() < 0.8:
            assert self.last is not None
            reed = self.last
        if self.world.way is not None:
            reed = self.her_way(self.world.way, reeds, reed, at)
        self.last = reed
        minutes = self.chance.choice((20, 30, 45, 45, 60, 90))
        if self.world.prefers and reed.form() < 6.0:
            minutes = min(minutes, 20)
        last = self.sound(reed, minutes, at)
        if last and self.world.clears:
            reed.gone, reed.lies = False, True
        elif last:
            self.write(reed, "retired", at + timedelta(minutes=1), cause="worn")
        elif self.world.sells and reed.form() > self.level + 0.3 and reed.hours > 2 and self.chance.random() < 0.06:
            self.write(reed, "handed over", at + timedelta(minutes=1), terms="sold", to="a pupil")
            reed.gone = True
        elif self.chance.random() < 0.004:
            self.write(reed, "retired", at + timedelta(minutes=1), cause="dropped")
            reed.gone = True

    def her_way(self, way: Way, reeds: list[OneReed], any_reed: OneReed, at: datetime) -> OneReed:
        """The reed that she takes up of those in the case: four times in five by her way, else any."""
        kept, usual = [reed for reed in self.pile if reed in reeds], any_reed
        match way:
            case "two by turns":
                usual = kept[1] if len(kept) > 1 else any_reed
            case "another each fortnight":
                usual = kept[0] if kept and self.day % 14 else any_reed
            case "the newest":
                usual = next((reed for reed in reversed(reeds) if reed.form() >= 7.0), any_reed)
            case "on top":
                kept = [*(reed for reed in reversed(reeds) if reed not in kept), *kept]
                usual = kept[0]
            case "spared for concerts":
                best = max(reeds, key=OneReed.form)
                others = [reed for reed in reeds if reed is not best]
                usual = best if at.weekday() == 5 or not others else self.chance.choice(others)
        found = usual if self.chance.random() < 0.8 else any_reed
        if found is usual or way == "on top":
            self.pile = [found, *(reed for reed in kept if reed is not found)]
        return found

    def sound(self, reed: OneReed, minutes: int, at: datetime | None) -> bool:
        """Play a reed, and write it down if `at` is given. True if that was its last playing."""
        minutes = max(min(minutes, round((reed.life - reed.hours) * 60)), 1) if not self.world.by_score else minutes
        reed.hours = round(reed.hours * 60 + minutes) / 60
        heard = min(max(self.chance.gauss(reed.form(), 0.6) + (self.mood if at is not None else 0.0), 0.0), 10.0)
        score = float(round(heard)) if self.world.coarse else round(2 * heard) / 2
        if self.world.sevens and self.chance.random() < 0.9:
            score = 7.0
        facts = {}
        if self.chance.random() < self.world.scored:
            facts["score"] = score
        if self.world.by_score or facts:
            reed.scores.append(score)
        if at is not None and (self.world.written == 1.0 or self.chance.random() < self.world.written):
            self.write(reed, "played", at, minutes=minutes, **facts)
        used_up = len(reed.scores) >= 3 and median(reed.scores[-3:]) < self.world.used_up
        over = reed.hours >= reed.life - 1 / 60
        reed.gone = (used_up or reed.hours >= _LONGEST) if self.world.by_score else over
        return reed.gone

    def left(self, reed: OneReed) -> float:
        """The hours that a reed has left, found by playing on alone a copy of it."""
        if not self.world.by_score:
            return reed.life - reed.hours
        alone = replace(reed, scores=list(reed.scores))
        while not self.sound(alone, 45, None):
            pass
        return alone.hours - reed.hours

    def whole_life(self) -> float:
        return self.left(self.new_reed(None))


def _beside(world: World, seed: int) -> _Maker | None:
    """Who else keeps the same log, if anybody."""
    if world.two:
        return _Maker(replace(world, two=False, life=world.life / 2, prefers=True), ~seed, KIND, "p")
    if world.oboe:
        return _Maker(replace(world, oboe=False, favourite=False, newly=0), ~seed, "oboe", "o")
    return None


def history(world: World, seed: int, lives: int = 500) -> History:
    """The log of one maker of a world. After the day on which it is cut off nothing more is tied."""
    maker = _Maker(world, seed)
    maker.begin()
    for _ in range(world.days):
        maker.live(tying=True)
    cut = START + timedelta(days=world.days - 1, hours=14)
    keepers = [maker, maker.beside] if world.two and maker.beside is not None else [maker]
    reeds = [
        (keeper, replace(reed, scores=list(reed.scores)))
        for keeper in keepers
        for reed in keeper.case(cut)
        if reed.hours > 0
    ]
    for _ in range(FOLLOWED):
        maker.live(tying=False)
    rows = sorted(maker.rows, key=lambda row: str(row["at"]))
    living = tuple(Living(then.tag, then.hours, keeper.left(then)) for keeper, then in reeds)
    return History(rows, cut, living, tuple(maker.whole_life() for _ in range(lives)))


def rows_until(found: History, moment: datetime) -> Iterator[dict[str, Any]]:
    return (row for row in found.rows if datetime.fromisoformat(row["at"]) <= moment)
