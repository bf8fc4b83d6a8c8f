"""What a calendar says anew of the engagements, before it is recorded: which are new, changed, or no more there.

The calendar is compared with what it said when it was read last, and not with the engagements as they stand. So what
the maker has changed since then stays, until the calendar itself says something else of it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

from reedkin.bench.bench import Bench
from reedkin.bench.engagements import ENGAGEMENTS, Engagement, engagement_of, in_order
from reedkin.bench.titles import CALENDAR, Meaning, Titles
from reedkin.domain.events import Record, Statement
from reedkin.domain.facts import Value, day_of
from reedkin.domain.uid import UidMaker, uid_of_content
from reedkin.errors import InputError
from reedkin.store.calendars.blocks import read_text
from reedkin.store.calendars.occurrences import EventFault, Occurrence, occurrences

LOOKED_AHEAD = timedelta(days=400)
"""How far a calendar is read where nobody says how far."""
_UNSAID = {"hour": "", "minutes": 0, "note": ""}
"""What stands for a fact that the calendar no longer gives."""
Said = dict[str, Value]


@dataclass(frozen=True, slots=True)
class TitleRead:
    """A title of the calendar, how often it stands there, and what it is taken to mean; None for no engagement."""

    title: str
    count: int
    meaning: Meaning | None


@dataclass(frozen=True, slots=True)
class CalendarPlan:
    """
    What a calendar would change.

    titles   what its titles are taken to mean.
    new, off engagements that it brings, and that it no longer has.
    changed  engagements before and after.
    said     the facts to be recorded, by subject.
    words    what words of titles mean that was said for it.
    """

    calendar: str
    titles: tuple[TitleRead, ...]
    new: tuple[Engagement, ...]
    changed: tuple[tuple[Engagement, Engagement], ...]
    off: tuple[Engagement, ...]
    same: int
    said: Mapping[str, Said]
    words: Mapping[str, Said]
    faults: tuple[EventFault, ...]

    def records(self, bench: Bench, uids: UidMaker) -> list[Record]:
        """The statements that record it, all of one entry."""
        now, entry = bench.clock.now(), uids.new()
        tables = ((CALENDAR, self.words), (ENGAGEMENTS, self.said))
        return [
            Statement(uids.new(), table, subject, now, now, entry, facts)
            for table, said in tables
            for subject, facts in said.items()
        ]


def plan_calendar(
    path: Path, bench: Bench, words: Mapping[str, Said], name: str = "", until: date | None = None
) -> CalendarPlan:
    """Plan what the calendar in a file changes, from today on. `words` are said of titles now; `name` is how the
    calendar is called, if not as it calls itself. Raises InputError where the file is no calendar, or is another one
    than the name says."""
    today = bench.clock.now().date()
    last = until or today + LOOKED_AHEAD
    titles, text = Titles(bench, words), read_text(path)
    calendar = " ".join((name or text.name or path.stem).split())
    meant = {block.title: titles.meaning(block.title) for block in text.events}
    found, faults = occurrences(text, lambda title: titles.meaning(title) is not None, today, last, bench.clock)
    usual = bench.headings.latest_instrument() or ""
    there = {_subject(one): _facts(one, titles.meaning(one.title), usual, calendar) for one in found}
    known = _SaidBefore(bench, calendar)
    gone = known.gone(there, today, last)
    if gone and not any(subject in known.by_calendar for subject in there):
        raise InputError(
            f"none of the {len(gone)} engagements of the calendar {calendar} is in it: is it another one? To take it "
            "in beside that, give it a name: --name CHOIR"
        )
    said: dict[str, Said] = {}
    new, changed = [], []
    for subject, facts in there.items():
        differs = known.differs(subject, facts)
        if not differs:
            continue
        said[subject] = {**known.when(subject, facts), **differs, "calendar": calendar}
        was, now = known.engagement(subject), known.engagement(subject, differs)
        if now is not None and (was is None or was.off):
            new.append(now)
        elif now is not None and was is not None:
            changed.append((was, now))
    for one in gone:
        hour = f"{one.hour:%H:%M}" if one.hour else ""
        said[one.uid] = {"day": one.day.isoformat(), "hour": hour, "off": True, "calendar": calendar}
    times = Counter(one.title for one in found)
    read = [TitleRead(t, times[t], m) for t, m in meant.items() if (m is not None and times[t]) or m is None]
    return CalendarPlan(
        calendar, tuple(read), tuple(in_order(new)), tuple(changed), tuple(gone), len(there) - len(new) - len(changed),
        said, {subject: dict(facts) for subject, facts in words.items()}, tuple(faults),
    )  # fmt: skip


def _subject(one: Occurrence) -> str:
    """The id of an engagement that a calendar has, the same wherever it is read."""
    return uid_of_content(0, f"calendar {one.uid} {one.recurrence}")


def _facts(one: Occurrence, meaning: Meaning | None, usual: str, calendar: str) -> Said:
    assert meaning is not None
    instrument = meaning.instrument or usual
    if not instrument:
        raise InputError(
            f"{one.title} does not say for which instrument, and no reed is there yet that would tell: say what its "
            f"words mean, such as --word '{meaning.words[0]}=oboe 2 {meaning.setting}'"
        )
    return {
        "day": one.day.isoformat(), "hour": f"{one.hour:%H:%M}" if one.hour else "", "instrument": instrument,
        "reeds": meaning.wanted, "setting": meaning.setting, "minutes": one.minutes or 0, "note": one.title,
        "off": False, "calendar": calendar,
    }  # fmt: skip


class _SaidBefore:
    """What is known of the engagements of a calendar: as they stand, and as the calendar said when it was last read."""

    def __init__(self, bench: Bench, calendar: str) -> None:
        self._standing = bench.beside.subjects(ENGAGEMENTS)
        self.by_calendar: dict[str, Said] = {}
        for one in bench.beside.said(ENGAGEMENTS):
            if "calendar" in one.facts:
                self.by_calendar.setdefault(one.subject, {}).update(one.facts)
        self._own = {s for s, facts in self.by_calendar.items() if facts["calendar"] == calendar}

    def differs(self, subject: str, facts: Said) -> Said:
        """What the calendar says of an engagement otherwise than when it was last read."""
        before = {**_UNSAID, "off": False, **self.by_calendar.get(subject, {})}
        return {name: value for name, value in facts.items() if before.get(name) != value}

    def engagement(self, subject: str, further: Mapping[str, Value] | None = None) -> Engagement | None:
        """An engagement as it stands, with further facts."""
        return engagement_of(subject, {**self._standing.get(subject, {}), **(further or {})})

    def when(self, subject: str, facts: Said) -> Said:
        """The day and hour of an engagement as it stands, which every statement of it has."""
        standing = self._standing.get(subject, {})
        return {name: standing.get(name, facts[name]) for name in ("day", "hour")}

    def gone(self, there: Iterable[str], first: date, last: date) -> Sequence[Engagement]:
        """Those of these days that the calendar had and has no more."""
        found = []
        for subject in self._own - set(there):
            said, one = self.by_calendar[subject], self.engagement(subject)
            planned = day_of(said.get("day"))
            if one is None or one.off or said.get("off") is True or planned is None:
                continue
            if first <= planned <= last and first <= one.day:
                found.append(one)
        return in_order(found)
