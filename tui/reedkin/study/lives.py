"""From lineages to lives: when each reed's service began, what became of it, and how long that took.

Everything is counted in whole minutes, so that reeds that lasted equally long tie exactly: minutes of playing on the
clock of hours, minutes since the first playing was begun on that of days. The rules, all of them:

- Service begins with the first playing; a reed that was never played has no life. A playing's time is when the reed was
  put down, so it was taken up so many minutes before.
- A reed that joined the log in use counts from the hours it had. Without those hours it has no life. How many days it
  had served is not known, so on the clock of days it is left out. One that joined with 0 hours counts as new.
- The first retirement is the end. For wear it ends the life; with any other cause, or none, it is another end, shown
  beside. Whatever is dated after the minute of the retirement does not count; playings of that minute do.
- A reed handed over is out of view until it is returned, or played here again. Hours that others play on it do not
  count; the days pass, unobserved. If it is retired while away, it went out of view when it left.
- A reed of which nothing was written for so long that it must be gone (`unseen`), and one retired when nobody could say
  any more why, went out of view at the last event that was written of it before.
- Any other reed is in view until the last event of the whole log: what came after, nobody has written.
- A stretch in which reeds must have been played without a playing being written (`unwritten`) puts every reed in
  service out of view from its beginning on. One that was begun before the end of such a stretch and played for the
  first time after it has no life, since it may have been played by then.
- A playing without minutes, or with such as cannot be, puts a reed out of view, since its hours are not known from
  there on.
- A playing dated before the reed was begun counts. Playings that overlap count in full; the rest between them is not
  known.
- A life of no length, such as that of a reed that joined and was retired before it was played, tells nothing.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from reedkin.bench.bench import Bench
from reedkin.domain.facts import BEGINNINGS, FACTS
from reedkin.domain.known import minutes_played, number, word
from reedkin.domain.reeds import Reed, State, Step, end_is_wear
from reedkin.domain.words import NOT_KNOWN, NOT_NOTED
from reedkin.study.follow_up import DAY, FollowUp, Played, ScoreGiven, minute
from reedkin.study.latest import latest_reeds
from reedkin.study.ticks import Tick, no_tick
from reedkin.study.unwritten import Hidden, unwritten

Clock = Literal["hours", "days"]
MINUTES_IN: dict[Clock, int] = {"hours": 60, "days": DAY}
"""Minutes in the unit that a clock shows."""


@dataclass(frozen=True, slots=True)
class Life:
    """
    A reed that served. `played` and `making` are never empty.

    entry   minutes it had been played when observation began: 0 for a reed whose whole life was seen.
    cause   what ended it in view; None if it serves, or went out of view.
    making  the standing events before service began.
    unseen  nothing was written of it for so long that it must be gone (see the module of that name).
    """

    reed: Reed
    entry: int
    cause: str | None
    making: tuple[Step, ...]
    played: tuple[Played, ...]
    scores: tuple[ScoreGiven, ...]
    unseen: bool = False

    @property
    def instrument(self) -> str:
        return self.reed.instrument

    @property
    def worn_out(self) -> bool:
        """Whether it was seen to be retired for wear: what counts as the end of a life."""
        return end_is_wear(self.cause)

    @property
    def untold(self) -> bool:
        """Whether it ended, or must have, without anybody having told how."""
        return self.unseen or self.cause in (NOT_KNOWN, NOT_NOTED)

    @property
    def minutes(self) -> int:
        """Minutes of playing at the end of what is known, those before the log among them."""
        return self.played[-1].after

    @property
    def state(self) -> State:
        """What the reed was when service began."""
        return self.making[-1].after


def life_of(reed: Reed, until: int, unseen: bool = False, hidden: Sequence[Hidden] = ()) -> Life | None:
    """The life of a reed in a log that ends at `until`, minutes since the epoch; None if it has none. `hidden`: the
    stretches in which playings were not written, ascending."""
    if unseen:
        until = min(until, minute(reed.last.at))
    entry, served = _entry(reed), reed.first("played")
    if entry is None or served is None:
        return None
    first, begun = minute(served.at), minute(reed.begun)
    if any(begun < following <= first for _, following in hidden):
        return None  # it may have been played by then
    since = next((last for last, _ in hidden if first <= last < until), None)
    course, retired, making = FollowUp(entry), None, len(reed.standing)
    for place, step in enumerate(reed.standing):
        if retired is not None and minute(step.at) > minute(retired.at):
            break
        if since is not None and minute(step.at) > since:
            until = since
            break
        if step.kind == "retired" and retired is None:
            retired = step
            if place and word(step.facts, "cause") == NOT_KNOWN:
                retired = step._replace(at=reed.standing[place - 1].at)
        elif not course.take(step):
            break
        elif step.kind == "played":
            making = min(making, place)
    cause = course.finish(retired, until)
    if not course.played:
        return None
    return Life(reed, entry, cause, reed.standing[:making], tuple(course.played), tuple(course.scores), unseen)


def _entry(reed: Reed) -> int | None:
    """Minutes played before the log; None if the reed has no life for want of a beginning."""
    if reed.void or reed.steps[0].kind not in BEGINNINGS:
        return None
    if not reed.joined:
        return 0
    return reed.steps[0].after.minutes_before if "hours_before" in reed.steps[0].facts else None


def last_of(reeds: Iterable[Reed], now: datetime | None) -> int:
    """The last event of these reeds that is not dated after `now`, in minutes since the epoch."""
    until = max((minute(reed.last.at) for reed in reeds if not reed.void), default=0)
    return until if now is None else min(until, minute(now))


def lives_of(
    reeds: Iterable[Reed], now: datetime | None = None, tick: Tick = no_tick, unseen: Container[str] = (),
    hidden: Sequence[Hidden] | None = None,
) -> list[Life]:  # fmt: skip
    """The lives in a log of these reeds, in their order. Events dated after `now` keep no reed in view. `unseen`: the
    ids of those that are; `hidden`: the stretches in which playings were not written, if these are known."""
    reeds = list(reeds)
    until = last_of(reeds, now)
    hidden = unwritten(reeds, until) if hidden is None else hidden
    lives = []
    for place, reed in enumerate(reeds):
        tick(place / len(reeds))
        life = life_of(reed, until, reed.id in unseen, hidden)
        if life is not None:
            lives.append(life)
    return lives


def latest_lives(bench: Bench, count: int, unseen: Container[str] = ()) -> list[Life]:
    """The lives of the reeds begun last, up to so many of each instrument, oldest first. Reads no reed begun before
    these, and none that was never played, so what the last event of the log was is not known: those in service are
    taken to be in view until now."""
    until = minute(bench.clock.now())
    reeds = latest_reeds(bench, count, lambda heading: heading.played, lambda reed: reed.first("played") is not None)
    hidden = unwritten(reeds, until)
    lives = (life_of(reed, until, reed.id in unseen, hidden) for reed in reeds)
    return [life for life in lives if life is not None]


@dataclass(frozen=True, slots=True)
class OutOfView:
    """A reed whose hours are not known from one of its playings on; `what`: that playing, in words."""

    reed: Reed
    what: str


def out_of_view(reed: Reed) -> OutOfView | None:
    """The playing from which on nothing is known of a reed's hours, if there is one."""
    retired = reed.retirement
    for step in reed.of_kind("played"):
        if minutes_played(step.facts) is None and (retired is None or minute(step.at) <= minute(retired.at)):
            return OutOfView(reed, _no_minutes(step))
    return None


def _no_minutes(step: Step) -> str:
    given = number(step.facts, "minutes")
    if given is None:
        return "a playing without its minutes"
    return f"a playing of {FACTS['minutes'].show(given)}, which cannot be"
