"""What the log tells of how reeds fare: the courses of blanks and of reeds in service, and the days of playing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Literal

from reedkin.domain.known import minutes_played
from reedkin.domain.playability import overall_score
from reedkin.domain.reeds import HANDED_OVER, RETIRED, Reed
from reedkin.study.form import form

BENCH_WORK = ("scraped", "clipped", "wired", "tubed", "crowed", "measured", "scored")
PROMPT = timedelta(hours=18)
"""A reed that goes so soon after it was played went with that playing; later, it went from the case."""

Outcome = Literal["served", "gone", "open"]


@dataclass(frozen=True, slots=True)
class Blank:
    """
    How a blank fared.

    days     from its tying to its first playing, to its end without one, or to the end of the log if it is open.
    sittings the days from its tying of those on which it was worked on, ascending.
    outcome  "served": it was played here; "gone": it was given up, or handed over before it was played.
    weight   what it counts beside one of the maker's own, which count 1.
    """

    days: int
    sittings: tuple[int, ...]
    outcome: Outcome
    weight: float = 1.0

    def sat(self, age: float) -> int:
        """On how many days it had been worked on at an age in days."""
        return sum(day <= age for day in self.sittings)


@dataclass(frozen=True, slots=True)
class Service:
    """
    How a reed fared in service, playing by playing.

    hours    (k,) played in all after each playing, ascending; at least one.
    form     (k,) its form then: the median of its last three scores, None if it had none yet.
    before   hours it had when this began: 0 but for a reed that joined.
    ended    whether it was seen to go: retired for whatever cause, or handed over.
    prompt   whether it went in its last playing, or at once after it.
    """

    hours: tuple[float, ...]
    form: tuple[float | None, ...]
    before: float
    ended: bool
    prompt: bool
    weight: float = 1.0

    @property
    def at_a_time(self) -> float:
        """The mean hours of its playings."""
        return (self.hours[-1] - self.before) / len(self.hours)


@dataclass(frozen=True, slots=True)
class Playing:
    """A playing: on which day, for how many minutes, in what setting."""

    day: date
    minutes: int
    setting: str


@dataclass(frozen=True, slots=True)
class Past:
    """What is known of one instrument. `borrowed` tells how many of the courses are other instruments' reeds;
    `playings` are ascending and lie on the days from `first_day` to `last_day`."""

    blanks: tuple[Blank, ...]
    services: tuple[Service, ...]
    playings: tuple[Playing, ...]
    first_day: date
    last_day: date
    borrowed_blanks: int = 0
    borrowed_services: int = 0
    scored_share: float = 1.0


ENOUGH_OWN = 5
"""With fewer reeds of the instrument, those of the others count too, each for half."""


def past_of(reeds: Sequence[Reed], instrument: str, now: datetime) -> Past:
    """What `reeds`, all of the log, tell of an instrument up to `now`."""
    own = [reed for reed in reeds if reed.instrument == instrument and not reed.void]
    others = [reed for reed in reeds if reed.instrument != instrument and not reed.void]
    blanks, services = _blanks(own, now), _services(own)
    lent_blanks = _blanks(others, now, 0.5) if _settled(blanks) < ENOUGH_OWN else []
    lent_services = _services(others, 0.5) if len(services) < ENOUGH_OWN else []
    playings = sorted((p for reed in own for p in _playings(reed, now)), key=lambda playing: playing.day)
    begun = min((reed.begun for reed in own), default=now).astimezone(now.tzinfo).date()
    scored = [step for reed in own for step in reed.of_kind("played") if overall_score(step.facts) is not None]
    return Past(
        (*blanks, *lent_blanks),
        (*services, *lent_services),
        tuple(playings),
        min(begun, now.date()),
        now.date(),
        _settled(lent_blanks),
        len(lent_services),
        len(scored) / len(playings) if playings else 1.0,
    )


def _settled(blanks: Iterable[Blank]) -> int:
    return sum(blank.outcome != "open" for blank in blanks)


def _blanks(reeds: Iterable[Reed], now: datetime, weight: float = 1.0) -> list[Blank]:
    return [blank for reed in reeds if not reed.joined and (blank := blank_of(reed, now, weight)) is not None]


def blank_of(reed: Reed, now: datetime, weight: float = 1.0) -> Blank | None:
    """How a reed that was tied here fared until it served; None if it was dated after `now`."""
    tied = _day(reed.begun, now)
    if tied > now.date():
        return None
    first = reed.first("played")
    end = first or next(reed.of_kind("retired", "handed over"), None)
    outcome: Outcome = "served" if first else "gone" if end is not None else "open"
    until = _day(end.at, now) if end is not None else now.date()
    days = sorted({_day(s.at, now) for s in reed.standing if s.kind in BENCH_WORK and _day(s.at, now) <= until})
    return Blank(max((until - tied).days, 0), tuple(max((d - tied).days, 0) for d in days), outcome, weight)


def _day(at: datetime, now: datetime) -> date:
    return at.astimezone(now.tzinfo).date()


def _services(reeds: Iterable[Reed], weight: float = 1.0) -> list[Service]:
    return [service for reed in reeds for service in services_of(reed, weight)]


def services_of(reed: Reed, weight: float = 1.0) -> list[Service]:
    """How a reed fared in service: one course, and another after each time that it was handed over and came back. None
    if it was not played here, or joined with nobody knows how many hours."""
    if reed.joined and "hours_before" not in reed.steps[0].facts:
        return []
    found: list[Service] = []
    gathered = _Gathered(reed.steps[0].after.minutes_before / 60)
    scores: list[float] = []
    for step in reed.standing:
        score = overall_score(step.facts)
        if score is not None:
            scores.append(score)
        if step.kind in ("retired", "handed over"):
            found += gathered.service(step.at, weight)
            gathered = _Gathered(step.after.hours)
        elif step.kind == "played" and step.before.stage not in (RETIRED, HANDED_OVER):
            gathered.hours.append(step.after.hours)
            gathered.forms.append(form(scores))
            gathered.last = step.at
        elif score is not None and gathered.forms:
            gathered.forms[-1] = form(scores)
    return found + gathered.service(None, weight)


@dataclass(slots=True)
class _Gathered:
    before: float
    hours: list[float] = field(default_factory=list)
    forms: list[float | None] = field(default_factory=list)
    last: datetime | None = None

    def service(self, end: datetime | None, weight: float) -> list[Service]:
        """The course gathered, if there is any, which was seen to end then or not (None)."""
        if self.last is None:
            return []
        prompt = end is not None and end - self.last <= PROMPT
        return [Service(tuple(self.hours), tuple(self.forms), self.before, end is not None, prompt, weight)]


def _playings(reed: Reed, now: datetime) -> Iterable[Playing]:
    for step in reed.of_kind("played"):
        minutes = minutes_played(step.facts)
        if minutes is not None and step.at <= now:
            yield Playing(_day(step.at, now), minutes, str(step.facts.get("setting", "")))
