"""Engagements: what she is to play, when, on which instrument, and how many reeds she wants for it.

One is known by the statement that made it, or, where it was read from a calendar, by what the calendar calls it, so
that the same calendar read twice, or on two computers, is one engagement. Later statements change it, and it may be
called off. Days and hours are those of the clock where she plays, and stay what they are when the clocks change.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING, NamedTuple

from reedkin.bench.bench import Bench
from reedkin.domain import as_json
from reedkin.domain.clock import Clock
from reedkin.domain.facts import Value, day_of, hour_of
from reedkin.domain.figures import day_words, duration, plural
from reedkin.domain.known import whole, word
from reedkin.domain.uid import NAME_LENGTH
from reedkin.domain.words import spelt

if TYPE_CHECKING:
    from reedkin.contract.ahead import EngagementJson

ENGAGEMENTS = "engagements"
"""The table of the engagements."""
USUAL_REEDS: Mapping[str, int] = {"performance": 2, "rehearsal": 1, "lesson": 1, "practice": 0}
"""Reeds wanted where nobody says how many: one to play and one in reserve (common practice, no source)."""


class Engagement(NamedTuple):
    """
    An engagement, known by `uid`.

    hour      when it begins; None where that is not known, or it takes the whole day.
    reeds     how many good ones she wants for it; none where it only wears them.
    what      what it is, in her own words or the calendar's.
    calendar  the calendar that it was read from; "" for one that she entered.
    """

    uid: str
    day: date
    hour: time | None
    instrument: str
    reeds: int
    setting: str
    minutes: int | None = None
    what: str = ""
    calendar: str = ""
    off: bool = False

    @property
    def moment(self) -> str:
        """When it is, in words: "Thu 12 Mar 2026 19:30"."""
        return day_words(self.day) + (f" {self.hour:%H:%M}" if self.hour else "")

    @property
    def asks(self) -> str:
        """What it asks for, in words: "3 oboe reeds, performance"."""
        instrument = spelt(self.instrument)
        reeds = plural(self.reeds, f"{instrument} reed") if self.reeds else instrument
        return f"{reeds}, {self.setting}"

    def at(self, clock: Clock) -> datetime:
        """When it begins; of one without an hour, noon."""
        return clock.local(datetime.combine(self.day, self.hour or time(12)))


def engagement_of(subject: str, facts: Mapping[str, Value]) -> Engagement | None:
    """What facts say of an engagement; None where they say too little, as another program may have written them."""
    day = day_of(facts.get("day"))
    instrument = word(facts, "instrument")
    if day is None or not instrument:
        return None
    setting = word(facts, "setting") or "performance"
    reeds = whole(facts, "reeds")
    return Engagement(
        subject, day, hour_of(facts.get("hour")), instrument, USUAL_REEDS.get(setting, 1) if reeds is None else reeds,
        setting, whole(facts, "minutes") or None, word(facts, "note") or "", word(facts, "calendar") or "",
        facts.get("off") is True,
    )  # fmt: skip


def engagements(bench: Bench) -> list[Engagement]:
    """All engagements, those called off among them, in the order in which they take place."""
    begun = {one.subject for one in bench.beside.said(ENGAGEMENTS) if one.subject == one.uid or "calendar" in one.facts}
    known = bench.beside.subjects(ENGAGEMENTS)
    found = (engagement_of(subject, facts) for subject, facts in known.items() if subject in begun)
    return in_order(one for one in found if one is not None)


def in_order(found: Iterable[Engagement]) -> list[Engagement]:
    """Engagements as they take place; one without an hour comes first of its day."""
    return sorted(found, key=lambda one: (one.day, one.hour or time(0), one.uid))


def to_come(bench: Bench) -> list[Engagement]:
    """Those that are not called off, today's and all later ones."""
    today = bench.clock.now().date()
    return [one for one in engagements(bench) if not one.off and one.day >= today]


def next_in_public(
    bench: Bench, within: int, instrument: str | None = None, on: date | None = None
) -> Engagement | None:
    """The first performance in so many days for which she wants reeds: of any instrument, or of this; on any day, or on
    this."""
    until = bench.clock.now().date() + timedelta(days=within)
    wants = (one for one in to_come(bench) if one.setting == "performance" and one.reeds and one.day <= until)
    meant = (one for one in wants if instrument in (None, one.instrument) and on in (None, one.day))
    return next(meant, None)


def engagement_line(one: Engagement) -> str:
    """An engagement in a line."""
    long = f", {duration(one.minutes)}" if one.minutes else ""
    what = f"  {one.what}" if one.what else ""
    return f"{one.moment:<21}  {one.asks}{long}{what}" + ("  (called off)" if one.off else "")


def engagement_as_dict(one: Engagement, clock: Clock) -> EngagementJson:
    """An engagement as JSON takes it: `at` is a moment, or a day where no hour is known."""
    return {
        "id": one.uid[-NAME_LENGTH:],
        "at": as_json.moment(one.at(clock) if one.hour else one.day),
        "what": one.what,
        "instrument": one.instrument,
        "reeds": one.reeds,
        "setting": one.setting,
        "minutes": one.minutes,
        "calendar": one.calendar or None,
        "off": one.off,
    }
