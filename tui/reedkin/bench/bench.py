"""The whole log as the maker thinks of it: reeds by tag, what is on which tube, the work session, the targets.

A lineage is read and folded only when it is asked for, so a log of ten years opens as fast as a new one.
"""

from __future__ import annotations

from bisect import insort
from collections.abc import Callable, Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from reedkin.bench.headings import Heading as Heading
from reedkin.bench.headings import Lookup
from reedkin.bench.own_ranges import LEARNT, own_ranges
from reedkin.domain.checks import Usual
from reedkin.domain.clock import Clock
from reedkin.domain.events import REED_TABLE, Event, Record, Statement, Strike, standing, table_of
from reedkin.domain.facts import BEGINNINGS, Facts, Value
from reedkin.domain.instruments import Targets, starting_targets, with_changes
from reedkin.domain.known import number
from reedkin.domain.pitch import STANDARD_A4
from reedkin.domain.reeds import HANDED_OVER, RETIRED, Reed, State, extended, fold

SETTINGS_SUBJECT = "maker"
TAGS_TABLE = "tags"
"""Where it is said that a reed bears another tag than the one it was begun with; the subject is the reed."""


@dataclass(frozen=True, slots=True)
class WorkSession:
    """One sitting at the bench. Temperature in degrees Celsius, relative humidity in %."""

    uid: str
    started: datetime
    ended: datetime | None = None
    room_c: float | None = None
    humidity_pct: float | None = None
    knife_fresh: bool | None = None


_LOOK_BACK = 60
"""How many of the latest reeds are looked at for what was done last time, and for what is usual."""
_LOOK_FAR_BACK = 400
"""How many of the latest reeds are looked at where no lineage need be read."""


class Bench:
    """The state of a log. `lineage` gives the records of a reed, `statements` those of the tables beside."""

    def __init__(
        self,
        clock: Clock,
        headings: Iterable[Heading] = (),
        lineage: Callable[[str], Iterable[Record]] = lambda reed: (),
        statements: Iterable[Statement | Strike] = (),
    ) -> None:
        self.clock = clock
        self._lineage = lineage
        self._added: dict[str, list[Record]] = {}
        self._headings: dict[str, Heading] = {}
        self._bearers: dict[str, list[str]] = {}
        self._bearer: dict[str, tuple[int, int]] = {}
        self._over: set[str] = set()
        self._handed: set[str] = set()
        self._reeds: dict[str, Reed] = {}
        self._at_work: list[Reed] | None = None
        self._lookup = Lookup()
        self._last: dict[tuple[str, str], tuple[str, Facts]] = {}
        self._usual: dict[tuple[str, str], Mapping[str, Usual]] = {}
        self._statements: list[Statement | Strike] = list(statements)
        self._said: dict[str, list[Statement]] | None = None
        self._subjects: dict[str, dict[str, dict[str, Value]]] = {}
        self._tags = self._new_tags()
        self.changes = 0
        """How often records were taken in since: what was reckoned at another count is out of date."""
        for heading in sorted(headings, key=lambda h: (h.at, h.reed)):
            self._enter(heading)

    @classmethod
    def of(cls, clock: Clock, records: Iterable[Record] = ()) -> Bench:
        """A bench that holds these records in memory."""
        bench = cls(clock)
        bench.add(records)
        return bench

    # For another thread

    def snapshot(self) -> Callable[[], Bench]:
        """What is known now, to be made into a bench of its own by another thread while entries are recorded here."""
        headings, statements = tuple(self._headings.values()), tuple(self._statements)
        over, handed = set(self._over), set(self._handed)
        added = {reed: list(records) for reed, records in self._added.items()}
        reeds, changes = dict(self._reeds), self.changes

        def make() -> Bench:
            bench = Bench(self.clock, headings, self._lineage, statements)
            bench._added, bench._reeds, bench._over, bench.changes = added, reeds, over, changes
            bench._handed = handed
            return bench

        return make

    def take_over(self, other: Bench) -> None:
        """Keep the lineages that were read in a bench made from a snapshot, if nothing was recorded here since."""
        if other.changes == self.changes:
            self._reeds = {**other._reeds, **self._reeds}

    # Taking in

    def _new_tags(self) -> dict[str, str]:
        """The tags that reeds were given in place of their first, by reed."""
        return {reed: str(said["tag"]) for reed, said in self.subjects(TAGS_TABLE).items() if "tag" in said}

    def _enter(self, heading: Heading) -> None:
        if heading.reed in self._tags:
            heading = replace(heading, tag=self._tags[heading.reed])
        self._headings[heading.reed] = heading
        if heading.over:
            self._over.add(heading.reed)
        if heading.handed:
            self._handed.add(heading.reed)
        if heading.void:
            return
        self._lookup.add(heading)
        bearers = self._bearers.setdefault(heading.tag.casefold(), [])
        bearers.append(heading.reed)
        if len(bearers) > 1:
            bearers.sort(key=lambda reed: (self._headings[reed].at, reed))
        self._renumber(bearers)

    def _forget(self, reed: str) -> None:
        """Take a reed out of the order of its tag."""
        heading = self._headings[reed]
        bearers = self._bearers.get(heading.tag.casefold(), [])
        if reed in bearers:
            self._lookup.remove(heading)
            bearers.remove(reed)
            self._renumber(bearers)

    def _renumber(self, bearers: list[str]) -> None:
        for place, reed in enumerate(bearers, start=1):
            bearer = (place, len(bearers))
            if self._bearer.get(reed) != bearer:
                self._bearer[reed] = bearer
                self._reeds.pop(reed, None)

    def add(self, records: Iterable[Record]) -> None:
        """Take records into account that were written after the bench was made, in any order."""
        self.changes += 1
        corrected: dict[str, None] = {}
        touched: dict[str, None] = {}
        retagged = False
        for record in records:
            table = table_of(record)
            if not table.startswith(REED_TABLE):
                assert isinstance(record, (Statement, Strike))
                self._statements.append(record)
                self._said = None
                retagged = retagged or table == TAGS_TABLE
                continue
            reed = table.removeprefix(REED_TABLE)
            self._added.setdefault(reed, []).append(record)
            self._extend(reed, record)
            self._over.discard(reed)
            touched.setdefault(reed)
            if isinstance(record, Event) and record.kind == "handed over":
                self._handed.add(reed)
            if not isinstance(record, Event):
                corrected.setdefault(reed)
            elif record.uid == reed and reed not in self._headings:
                self._enter(Heading(reed, record.tag, record.at, record.facts))
                if len(self._added[reed]) > 1:
                    corrected.setdefault(reed)
            self._remember(record)
        if retagged:
            before, self._tags = self._tags, self._new_tags()
            corrected.update(dict.fromkeys((*before, *self._tags)))
        for reed in corrected:
            self._correct(reed)
        for reed in touched:
            self._settle_at_work(reed)

    def _extend(self, reed: str, record: Record) -> None:
        """Take a further record into a reed that was folded already: by itself if it can be, else the reed is folded
        anew when it is next asked for."""
        known = self._reeds.pop(reed, None)
        longer = extended(known, record) if known is not None and isinstance(record, Event) else None
        if longer is not None:
            self._reeds[reed] = longer

    def _settle_at_work(self, reed: str) -> None:
        """Put a reed in its place among those at work, or take it out of them, so that nobody looks at all reeds."""
        if self._at_work is None:
            return
        others = [other for other in self._at_work if other.id != reed]
        if reed in self._headings and (whole := self.reed(reed)).at_work:
            insort(others, whole, key=lambda one: (one.begun, one.id))
        self._at_work = others

    def _correct(self, reed: str) -> None:
        """After an amendment, a strike or a new tag: a reed may be void or not, alive again, or elsewhere in its tag's
        order."""
        self._last.clear()
        self._usual.clear()
        if reed not in self._headings:
            return
        self._forget(reed)
        self._reeds.pop(reed, None)
        self._at_work = None
        whole = fold(reed, self.records(reed))
        begun = whole.steps[0]
        self._enter(Heading(reed, whole.tag, begun.at, begun.facts, void=whole.void, written=begun.event.facts))

    def _remember(self, record: Record) -> None:
        """Keep what is known of the last time, and what is usual, up to date with a new event."""
        if isinstance(record, Event):
            self._usual.pop((record.kind, str(self._instrument(record.reed))), None)
        if not isinstance(record, Event) or not _can_repeat(record.kind, record.facts):
            return
        for (kind, instrument), (uid, _) in list(self._last.items()):
            if kind == record.kind and uid < record.uid and self._instrument(record.reed) == instrument:
                self._last[kind, instrument] = record.uid, record.facts

    def _instrument(self, reed: str) -> Value | None:
        return self._headings[reed].facts.get("instrument") if reed in self._headings else None

    # Reeds

    def records(self, reed: str) -> list[Record]:
        """All records of a reed's lineage, as they were written."""
        return list({r.uid: r for r in (*self._lineage(reed), *self._added.get(reed, ()))}.values())

    def reed(self, reed: str) -> Reed:
        """The reed with this id. Raises KeyError if there is none."""
        if reed not in self._reeds:
            if reed not in self._headings:
                raise KeyError(reed)
            whole = fold(reed, self.records(reed), *self._bearer.get(reed, (1, 1)))
            self._reeds[reed] = replace(whole, tag=self._tags.get(reed, whole.tag))
        return self._reeds[reed]

    def __contains__(self, reed: str) -> bool:
        return reed in self._headings

    def __len__(self) -> int:
        return len(self._lookup)

    def headings(self) -> Iterator[Heading]:
        """The headings of all reeds that were, oldest first; cheap, since no lineage is read."""
        return (self._headings[reed] for reed in self._lookup.by_age())

    def untied(self) -> list[str]:
        """The ids of the reeds whose beginning was struck, in the order in which they were recorded."""
        return sorted(heading.reed for heading in self._headings.values() if heading.void)

    def reeds(self) -> list[Reed]:
        """Every reed that was, oldest first. Reads the whole log."""
        return [self.reed(reed) for reed in self._lookup.by_age()]

    def ever(self) -> Iterator[str]:
        """The ids of all reeds that were recorded, in no order: those whose beginning was struck among them."""
        return iter(self._headings)

    def _not_over(self) -> Iterator[Reed]:
        """The reeds that are not retired, oldest first. Those seen to be retired are not looked at again."""
        for one in self._lookup.by_age():
            if one not in self._over:
                reed = self.reed(one)
                if reed.stage == RETIRED:
                    self._over.add(one)
                else:
                    yield reed

    def at_work(self) -> list[Reed]:
        """The reeds on the bench and in the case, oldest first."""
        if self._at_work is None:
            self._at_work = [reed for reed in self._not_over() if reed.at_work]
        return list(self._at_work)

    def handed_over(self) -> list[Reed]:
        """The reeds that are with somebody else, oldest first."""
        return [reed for reed in self.ever_handed_over() if reed.stage == HANDED_OVER]

    def ever_handed_over(self) -> list[Reed]:
        """The reeds that are or were with somebody else, oldest first, and maybe some that were not. Reads no other."""
        return [self.reed(one) for one in self._lookup.by_age() if one in self._handed]

    def bearers(self, tag: str) -> list[str]:
        """The ids of the reeds that bore a tag, oldest first."""
        return list(self._bearers.get(tag.casefold(), ()))

    def find(self, text: str) -> Reed | None:
        """The reed that a tag means: "12" the living one or the last, "12/1" the first that bore it; else one at
        work with this name."""
        tag, slash, place = text.partition("/")
        bearers = self.bearers(tag)
        if slash:
            if len(place) > 9 or not place.isdecimal() or not 1 <= int(place) <= len(bearers):
                return None
            return self.reed(bearers[int(place) - 1])
        if bearers:
            living = (r for one in reversed(bearers) if one not in self._over and (r := self.reed(one)).at_work)
            return next(living, None) or self.reed(bearers[-1])
        return self.named(text)

    def named(self, name: str) -> Reed | None:
        """The reed at work with this name; the one begun last, if there are several."""
        name = name.casefold()
        return next((r for r in reversed(self.at_work()) if r.now.name and r.now.name.casefold() == name), None)

    def tag_is_free(self, tag: str) -> bool:
        """Whether a new reed may bear this tag: no reed at work bears it, nor one that is lent."""
        return not any(self.reed(reed).now.keeps_tag for reed in self.bearers(tag) if reed not in self._over)

    def next_tag(self, besides: Container[str] = ()) -> str:
        """The number after the highest one that the latest reeds bear; one that is not in `besides`."""
        latest = (self._headings[reed].tag for reed in self._lookup.latest(30))
        tag = max((int(t) for t in latest if t.isdecimal() and len(t) < 10), default=0) + 1
        while str(tag) in besides or not self.tag_is_free(str(tag)):
            tag += 1
        return str(tag)

    def on_tube(self, tube: str) -> list[Heading]:
        """The reeds that a tube carried, oldest first, as headings: in ten years they are many."""
        return [self._headings[reed] for reed in self._lookup.on_tube(tube)]

    def known(self, fact: str) -> list[str]:
        """The words used so far for a fact of the making (lot, tube, shape, ...), latest first."""
        return self._lookup.known(fact)

    def last_facts(self, kind: str, instrument: str) -> Facts | None:
        """The facts of the latest event of a kind on this instrument, for 'as last time': among the reeds that are
        alive and those that were begun last."""
        key = kind, instrument
        if key not in self._last:
            recent = (r for r in self._lookup.latest(_LOOK_BACK) if self._instrument(r) == instrument)
            reeds = {r.id: r for r in self.at_work() if r.instrument == instrument}
            reeds |= {one: self.reed(one) for one in recent}
            steps = (s for r in reeds.values() for s in r.of_kind(kind) if _can_repeat(kind, s.facts))
            last = max(steps, key=lambda s: s.event.uid, default=None)
            self._last[key] = (last.event.uid, last.facts) if last is not None else ("", {})
        uid, facts = self._last[key]
        return facts if uid else None

    def latest_instrument(self) -> str | None:
        """The instrument of the reed that was begun last."""
        latest = next(iter(self._lookup.latest(1)), None)
        instrument = self._headings[latest].facts.get("instrument") if latest is not None else None
        return str(instrument) if instrument is not None else None

    def tube_length(self, tube: str) -> float | None:
        """The length in mm that was last given for a tube."""
        for reed in sorted(self._lookup.on_tube(tube), reverse=True):
            length = number(self._headings[reed].facts, "tube_mm")
            if length is not None:
                return length
        return None

    def usual(self, kind: str, state: State | None, facts: Facts | None = None) -> Mapping[str, Usual]:
        """The ranges that this maker's own values of an event of this kind lie in, where her log shows them, on the
        instrument of a reed in this state, or of one that is begun with these facts."""
        instrument = state.instrument if state is not None else (facts or {}).get("instrument")
        if kind not in LEARNT or not isinstance(instrument, str):
            return {}
        key = kind, instrument
        if key not in self._usual:
            self._usual[key] = own_ranges(kind, self._own(kind, instrument))
        return self._usual[key]

    def _own(self, kind: str, instrument: str) -> Iterator[Facts]:
        """The facts of the maker's latest events of a kind on an instrument. How reeds were tied is known without
        reading their lineages, so that reaches back further."""
        latest = [r for r in self._lookup.latest(_LOOK_FAR_BACK) if self._instrument(r) == instrument]
        if kind in BEGINNINGS:
            return (self._headings[one].facts for one in latest)
        return (step.facts for one in latest[:_LOOK_BACK] for step in self.reed(one).of_kind(kind))

    def look_back(self) -> None:
        """Read the lineages that "as last time" and the usual ranges are learnt from: a moment's work in a long log,
        which is better done before a key has to wait for it."""
        for instrument in dict.fromkeys(reed.instrument for reed in self.at_work()):
            self.last_facts("scraped", instrument)
            for _ in self._own("scraped", instrument):
                pass

    # Beside the reeds

    def said(self, table: str) -> Sequence[Statement]:
        """What was said of the things in a table beside the reeds and stands, in the order in which it was recorded."""
        if self._said is None:
            self._said, self._subjects = {}, {}
            struck = standing(s for s in self._statements if isinstance(s, Strike))
            for said in sorted((s for s in self._statements if isinstance(s, Statement)), key=lambda s: s.uid):
                if said.uid not in struck:
                    self._said.setdefault(said.table, []).append(said)
        return self._said.get(table, ())

    def subjects(self, table: str) -> Mapping[str, Mapping[str, Value]]:
        """What is known of each thing in a table beside the reeds, in the order of first mention."""
        said = self.said(table)
        if table not in self._subjects:
            known = self._subjects[table] = {}
            for one in said:
                known.setdefault(one.subject, {}).update(one.facts)
        return self._subjects[table]

    def statements(self) -> list[Statement | Strike]:
        """All records beside the lineages, as written."""
        return list(self._statements)

    def session(self, uid: str | None) -> WorkSession | None:
        """The work session with this uid."""
        facts = self.subjects("sessions").get(uid or "")
        if facts is None or uid is None or "started" not in facts:
            return None
        ended = facts.get("ended")
        return WorkSession(
            uid,
            datetime.fromisoformat(str(facts["started"])),
            datetime.fromisoformat(str(ended)) if ended else None,
            facts.get("room_c"),  # type: ignore[arg-type]
            facts.get("humidity_pct"),  # type: ignore[arg-type]
            facts.get("knife_fresh"),  # type: ignore[arg-type]
        )

    def open_session(self) -> WorkSession | None:
        """The work session that has been started and not ended; the latest, if several were left open."""
        self.subjects("sessions")
        for uid in reversed(self._subjects["sessions"]):
            session = self.session(uid)
            if session is not None:
                return session if session.ended is None else None
        return None

    def targets(self, instrument: str) -> Targets:
        """The measures the maker aims at on an instrument."""
        return with_changes(starting_targets(instrument), self.subjects("targets").get(instrument, {}))

    @property
    def settings(self) -> Mapping[str, Value]:
        return self.subjects("settings").get(SETTINGS_SUBJECT, {})

    @property
    def a4(self) -> float:
        """The player's own A4 in Hz."""
        a4 = number(self.settings, "a4_hz")
        return STANDARD_A4 if a4 is None else a4


def _can_repeat(kind: str, facts: Facts) -> bool:
    """Whether "as last time" can mean an event: not the taking off of a wire or of tubing."""
    if kind == "wired":
        return facts.get("wire", "on") == "on"
    return kind != "tubed" or facts.get("tubing_mm") != 0


def begins(kind: str) -> bool:
    """Whether a kind of event begins a reed."""
    return kind in BEGINNINGS
