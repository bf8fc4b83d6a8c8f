"""What the log tells of how reeds fare: the courses of blanks and of reeds in service, and the days of playing."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from typing import Literal

from reedkin.answers.hours_left.outlook import recent
from reedkin.domain.known import minutes_played
from reedkin.domain.playability import overall_score
from reedkin.domain.reeds import HANDED_OVER, IN_SERVICE, RETIRED, Reed, end_is_wear
from reedkin.study.form import form

BENCH_WORK = ("scraped", "clipped", "wired", "tubed", "crowed", "measured", "scored")

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
        return bisect_right(self.sittings, age)


@dataclass(frozen=True, slots=True)
class Service:
    """
    How a reed fared in service, playing by playing.

    hours    (k,) played in all after each playing, ascending; at least one.
    form     (k,) its form then: the median of its last three scores, None if it had none yet.
    before   hours it had when this began: 0 but for a reed that joined, or came back.
    lost     whether it was seen to go, and not by wear: lost, dropped, sold, lent.
    """

    hours: tuple[float, ...]
    form: tuple[float | None, ...]
    before: float
    lost: bool


@dataclass(frozen=True, slots=True)
class Playing:
    """A playing: on which day, for how many minutes, in what setting."""

    day: date
    minutes: int
    setting: str


@dataclass(frozen=True, slots=True)
class Taking:
    """A reed taken from the case to be played: the form of those that were there, which of them was the one played
    last, and the place of the one taken among them."""

    form: tuple[float | None, ...]
    again: tuple[bool, ...]
    taken: int


@dataclass(frozen=True, slots=True)
class Past:
    """What is known of one instrument. `lent_blanks` are other instruments' where there are few of its own; `playings`
    are ascending and lie on the days from `first_day` to `last_day`; `takings` are ascending as well. `usual_blanks`
    fare as those of her circle do; without any, common practice stands in."""

    blanks: tuple[Blank, ...]
    lent_blanks: tuple[Blank, ...]
    services: tuple[Service, ...]
    takings: tuple[Taking, ...]
    playings: tuple[Playing, ...]
    first_day: date
    last_day: date
    scored_share: float = 1.0
    usual_blanks: tuple[Blank, ...] = ()


LOOK_BACK = timedelta(days=91)
"""How far back the maker's weeks are looked at: a quarter of a year, since a summer long past tells nothing of now."""
ENOUGH_OWN = 5
"""With fewer blanks of the instrument, those of the others count too, each for half."""


def past_of(reeds: Sequence[Reed], instrument: str, now: datetime) -> Past:
    """What `reeds`, all of the log, tell of an instrument up to `now`."""
    own = sorted((r for r in reeds if r.instrument == instrument and not r.void), key=lambda reed: reed.begun)
    others = [reed for reed in reeds if reed.instrument != instrument and not reed.void]
    blanks = _blanks(own, now)
    playings = sorted((p for reed in own for p in _playings(reed, now)), key=lambda playing: playing.day)
    begun = min((reed.begun for reed in own), default=now).astimezone(now.tzinfo).date()
    scored = [step for reed in own for step in reed.of_kind("played") if overall_score(step.facts) is not None]
    return Past(
        tuple(blanks),
        tuple(_blanks(others, now, 0.5)) if settled(blanks) < ENOUGH_OWN else (),
        tuple(service for reed in own for service in services_of(reed)),
        tuple(takings(own, now - LOOK_BACK, now)),
        tuple(playings),
        min(begun, now.date()),
        now.date(),
        len(scored) / len(playings) if playings else 1.0,
    )


def settled(blanks: Iterable[Blank]) -> int:
    """How many came into service, or will not."""
    return sum(blank.outcome != "open" for blank in blanks)


def _blanks(reeds: Iterable[Reed], now: datetime, weight: float = 1.0) -> list[Blank]:
    found = [blank for reed in reeds if not reed.joined and (blank := blank_of(reed, now)) is not None]
    return [replace(blank, weight=weight * share) for blank, share in zip(found, recent(len(found)), strict=True)]


def blank_of(reed: Reed, now: datetime) -> Blank | None:
    """How a reed that was tied here fared until it served; None if it was dated after `now`."""
    tied = _day(reed.begun, now)
    if tied > now.date():
        return None
    first = reed.first("played")
    end = first or next(reed.of_kind("retired", "handed over"), None)
    outcome: Outcome = "served" if first else "gone" if end is not None else "open"
    until = _day(end.at, now) if end is not None else now.date()
    days = sorted({_day(s.at, now) for s in reed.standing if s.kind in BENCH_WORK and _day(s.at, now) <= until})
    return Blank(max((until - tied).days, 0), tuple(max((d - tied).days, 0) for d in days), outcome)


def _day(at: datetime, now: datetime) -> date:
    return at.astimezone(now.tzinfo).date()


def services_of(reed: Reed) -> list[Service]:
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
            found += gathered.service(lost=not (step.kind == "retired" and end_is_wear(step.after.cause)))
            gathered = _Gathered(step.after.hours)
        elif step.kind == "played" and step.before.stage not in (RETIRED, HANDED_OVER):
            gathered.hours.append(step.after.hours)
            gathered.forms.append(form(scores))
        elif score is not None and gathered.forms:
            gathered.forms[-1] = form(scores)
    return found + gathered.service(lost=False)


@dataclass(slots=True)
class _Gathered:
    before: float
    hours: list[float] = field(default_factory=list)
    forms: list[float | None] = field(default_factory=list)

    def service(self, *, lost: bool) -> list[Service]:
        """The course gathered, if there is any."""
        return [Service(tuple(self.hours), tuple(self.forms), self.before, lost)] if self.hours else []


def takings(reeds: Sequence[Reed], since: datetime, now: datetime) -> list[Taking]:
    """Each time that one of several reeds in the case was taken up to be played, but for reeds that were saved."""
    within = [(n, reed) for n, reed in enumerate(reeds) if reed.last.at >= since]
    steps = sorted(((step.at, n, step) for n, reed in within for step in reed.standing), key=lambda one: one[:2])
    there: dict[int, float | None] = {}
    scores: dict[int, list[float]] = {}
    last, found = -1, []
    for at, number, step in steps:
        if step.kind == "played":
            if number in there and len(there) > 1 and since <= at <= now:
                found.append(Taking(tuple(there.values()), tuple(n == last for n in there), [*there].index(number)))
            last = number
        score = overall_score(step.facts)
        if score is not None:
            scores.setdefault(number, []).append(score)
        if step.after.stage == IN_SERVICE and step.after.saved_for is None:
            there[number] = form(scores.get(number, ()))
        else:
            there.pop(number, None)
    return found


def _playings(reed: Reed, now: datetime) -> Iterable[Playing]:
    for step in reed.of_kind("played"):
        minutes = minutes_played(step.facts)
        if minutes is not None and step.at <= now:
            yield Playing(_day(step.at, now), minutes, str(step.facts.get("setting", "")))
