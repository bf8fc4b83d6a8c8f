"""What the log tells of how reeds fare: the courses of blanks and of reeds in service, and the days of playing."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from statistics import fmean
from typing import Literal

from reedkin.answers.hours_left.outlook import COUNTED, recent
from reedkin.answers.ready.scoring import USUAL_SCORING, Scoring, scoring_of
from reedkin.answers.ready.shares import Shares, finished
from reedkin.answers.ready.taking import LOOK_BACK, Taking, takings
from reedkin.domain.clock import day_beside
from reedkin.domain.facts import BENCH_WORK
from reedkin.domain.known import minutes_played
from reedkin.domain.playability import overall_score
from reedkin.domain.reeds import HANDED_OVER, RETIRED, Reed, end_is_wear
from reedkin.study.form import form

Outcome = Literal["served", "gone", "open"]


@dataclass(frozen=True, slots=True)
class Blank:
    """
    How a blank fared.

    days     from its tying to its first playing, to its end without one, or to the end of the log if it is open.
    sittings the days from its tying of those on which it was worked on, ascending.
    outcome  "served": it was played here; "gone": it was given up, or handed over before it was played.
    weight   what it counts beside one of the maker's own, which count 1.
    waits    (k + 1,) of the last k days, in which nothing more was done to it, how much of its share of the playing it
             let pass by each of them (see `shares`); alone where it is not known when it was finished.
    """

    days: int
    sittings: tuple[int, ...]
    outcome: Outcome
    weight: float = 1.0
    waits: tuple[float, ...] = (0.0,)

    @property
    def finished(self) -> int:
        """Its age in days when it was finished."""
        return self.days - len(self.waits) + 1

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
    scoring: Scoring = USUAL_SCORING


ENOUGH_OWN = 5
"""With fewer blanks of the instrument, those of the others count too, each for half."""


def past_of(reeds: Sequence[Reed], instrument: str, now: datetime, gone: Collection[str] = ()) -> Past:
    """What `reeds`, all of the log, tell of an instrument up to `now`. `gone`: the ids of those that are unseen, which
    she cannot take up any more."""
    own = sorted((r for r in reeds if r.instrument == instrument and not r.void), key=lambda reed: reed.begun)
    others = [reed for reed in reeds if reed.instrument != instrument and not reed.void]
    there = [reed for reed in own if reed.id not in gone]
    taken = takings(there, now - LOOK_BACK, now)
    services = [service for reed in own for service in services_of(reed)]
    shares = Shares(there[-COUNTED:], now, fresh(services))
    blanks = _blanks(own[-COUNTED:], now, shares=shares, gone=gone)
    playings = sorted((p for reed in own for p in _playings(reed, now)), key=lambda playing: playing.day)
    begun = day_beside(min((reed.begun for reed in own), default=now), now)
    scored = [step for reed in own for step in reed.of_kind("played") if overall_score(step.facts) is not None]
    return Past(
        tuple(blanks),
        tuple(_blanks(others[-COUNTED:], now, 0.5, gone=gone)) if settled(blanks) < ENOUGH_OWN else (),
        tuple(services),
        tuple(taken),
        tuple(playings),
        min(begun, now.date()),
        now.date(),
        len(scored) / len(playings) if playings else 1.0,
        scoring=scoring_of(own[-COUNTED:]),
    )


def fresh(services: Iterable[Service]) -> float | None:
    """The form that a new reed usually has at first; None where that is not known of any."""
    first = (next((form for form in one.form if form is not None), None) for one in services if not one.before)
    known = [form for form in first if form is not None]
    return fmean(known) if known else None


def settled(blanks: Iterable[Blank]) -> int:
    """How many came into service, or will not."""
    return sum(blank.outcome != "open" for blank in blanks)


def _blanks(
    reeds: Iterable[Reed], now: datetime, weight: float = 1.0, shares: Shares | None = None, gone: Collection[str] = ()
) -> list[Blank]:
    tied = [reed for reed in reeds if not reed.joined]
    found = [blank for reed in tied if (blank := blank_of(reed, now, shares, reed.id in gone)) is not None]
    return [replace(blank, weight=weight * share) for blank, share in zip(found, recent(len(found)), strict=True)]


def blank_of(reed: Reed, now: datetime, shares: Shares | None = None, gone: bool = False) -> Blank | None:
    """How a reed that was tied here fared until it served; None if it was dated after `now`. One that is `gone` was
    given up when something was last written of it."""
    tied = day_beside(reed.begun, now)
    if tied > now.date():
        return None
    first = reed.first("played")
    end = first or next(reed.of_kind("retired", "handed over"), None) or (reed.last if gone else None)
    outcome: Outcome = "served" if first else "gone" if end is not None else "open"
    ended = end.at if end is not None else now
    until = day_beside(ended, now)
    days = sorted(
        {day_beside(s.at, now) for s in reed.standing if s.kind in BENCH_WORK and day_beside(s.at, now) <= until}
    )
    found = Blank(max((until - tied).days, 0), tuple(max((d - tied).days, 0) for d in days), outcome)
    since = finished(reed, ended)
    if shares is None or since is None:
        return found
    waited = max(found.days - max((day_beside(since, now) - tied).days, 0), 0)
    return replace(found, waits=shares.let_pass(since, ended, waited))


def services_of(reed: Reed) -> list[Service]:
    """How a reed fared in service: one course, and another after each time that it was handed over and came back. None
    if it was not played here, or joined with nobody knows how many hours."""
    if reed.of_unknown_age:
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


def _playings(reed: Reed, now: datetime) -> Iterable[Playing]:
    for step in reed.of_kind("played"):
        minutes = minutes_played(step.facts)
        if minutes is not None and step.at <= now:
            yield Playing(day_beside(step.at, now), minutes, str(step.facts.get("setting", "")))
