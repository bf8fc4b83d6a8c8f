"""The whole log as the maker thinks of it: reeds by tag, what is on which tube, the work session, the targets.

A lineage is read and folded only when it is asked for, so a log of ten years opens as fast as a new one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from reedkin.domain.checks import Usual
from reedkin.domain.clock import Clock
from reedkin.domain.events import Event, Record, Statement, Strike, standing
from reedkin.domain.facts import BEGINNINGS, Facts, Value
from reedkin.domain.instruments import Targets, starting_targets, with_changes
from reedkin.domain.pitch import STANDARD_A4
from reedkin.domain.reeds import HANDED_OVER, RETIRED, Reed, State, fold

SETTINGS_SUBJECT = "maker"


@dataclass(frozen=True, slots=True)
class Heading:
    """What is known of a reed before its lineage is read. `over` is True where it is surely retired, `void`
    where its beginning was struck."""

    reed: str
    tag: str
    at: datetime
    facts: Facts
    over: bool = False
    void: bool = False


@dataclass(frozen=True, slots=True)
class WorkSession:
    """One sitting at the bench. Temperature in degrees Celsius, relative humidity in %."""

    uid: str
    started: datetime
    ended: datetime | None = None
    room_c: float | None = None
    humidity_pct: float | None = None
    knife_fresh: bool | None = None


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
        self._bearer: dict[str, int] = {}
        self._reeds: dict[str, Reed] = {}
        self._statements: list[Statement | Strike] = list(statements)
        self._subjects: dict[str, dict[str, dict[str, Value]]] | None = None
        self._last_facts: dict[tuple[str, str], Facts] | None = None
        for heading in sorted(headings, key=lambda h: (h.at, h.reed)):
            self._enter(heading)

    @classmethod
    def of(cls, clock: Clock, records: Iterable[Record] = ()) -> Bench:
        """A bench that holds these records in memory."""
        bench = cls(clock)
        bench.add(records)
        return bench

    # Taking in

    def _enter(self, heading: Heading) -> None:
        self._headings[heading.reed] = heading
        if heading.void:
            return
        bearers = self._bearers.setdefault(heading.tag.casefold(), [])
        bearers.append(heading.reed)
        if len(bearers) > 1:
            bearers.sort(key=lambda reed: (self._headings[reed].at, reed))
        for place, reed in enumerate(bearers, start=1):
            if self._bearer.get(reed) != place:
                self._bearer[reed] = place
                self._reeds.pop(reed, None)

    def _forget(self, reed: str) -> None:
        """Take a reed out of the order of its tag."""
        bearers = self._bearers.get(self._headings[reed].tag.casefold(), [])
        if reed in bearers:
            bearers.remove(reed)
            for place, other in enumerate(bearers, start=1):
                self._bearer[other] = place
                self._reeds.pop(other, None)

    def add(self, records: Iterable[Record]) -> None:
        """Take records into account that were written after the bench was made."""
        for record in records:
            if isinstance(record, Statement) or (isinstance(record, Strike) and not record.table.startswith("reed ")):
                self._statements.append(record)
                self._subjects = None
                continue
            reed = record.table.removeprefix("reed ") if isinstance(record, Strike) else record.reed
            self._added.setdefault(reed, []).append(record)
            self._reeds.pop(reed, None)
            if not isinstance(record, Event):
                self._corrected(reed)
            elif record.uid == reed:
                self._enter(Heading(reed, record.tag, record.at, record.facts))
                self._remember(record)
            else:
                self._remember(record)

    def _corrected(self, reed: str) -> None:
        """After an amendment or a strike: a reed may be void or not, alive again, or elsewhere in its tag's order."""
        self._last_facts = None
        if reed not in self._headings:
            return
        self._forget(reed)
        whole = fold(reed, self.records(reed))
        begun = whole.steps[0]
        self._enter(Heading(reed, whole.tag, begun.at, begun.facts, void=whole.void))

    def _remember(self, event: Event) -> None:
        if self._last_facts is not None:
            self._last_facts[event.kind, self._headings[event.reed].facts.get("instrument", "")] = event.facts  # type: ignore[index]

    # Reeds

    def records(self, reed: str) -> list[Record]:
        """All records of a reed's lineage, as they were written."""
        return list({r.uid: r for r in (*self._lineage(reed), *self._added.get(reed, ()))}.values())

    def reed(self, reed: str) -> Reed:
        """The reed with this id. Raises KeyError if there is none."""
        if reed not in self._reeds:
            if reed not in self._headings:
                raise KeyError(reed)
            self._reeds[reed] = fold(reed, self.records(reed), self._bearer.get(reed, 1))
        return self._reeds[reed]

    def __contains__(self, reed: str) -> bool:
        return reed in self._headings

    def __len__(self) -> int:
        return sum(map(len, self._bearers.values()))

    def headings(self) -> Iterator[Heading]:
        """The headings of all reeds that were, in no order; cheap, since no lineage is read."""
        return (self._headings[reed] for bearers in self._bearers.values() for reed in bearers)

    def reeds(self) -> list[Reed]:
        """Every reed that was, oldest first. Reads the whole log."""
        ids = sorted((h.at, h.reed) for h in self.headings())
        return [self.reed(reed) for _, reed in ids]

    def at_work(self) -> list[Reed]:
        """The reeds on the bench and in the case, oldest first."""
        ids = sorted((h.at, h.reed) for h in self.headings() if not h.over)
        return [reed for _, one in ids if (reed := self.reed(one)).at_work]

    def handed_over(self) -> list[Reed]:
        """The reeds that are with somebody else, oldest first."""
        ids = sorted((h.at, h.reed) for h in self.headings() if not h.over)
        return [reed for _, one in ids if (reed := self.reed(one)).stage == HANDED_OVER]

    def bearers(self, tag: str) -> list[str]:
        """The ids of the reeds that bore a tag, oldest first."""
        return list(self._bearers.get(tag.casefold(), ()))

    def find(self, text: str) -> Reed | None:
        """The reed that a tag means: "12" the living one or the last, "12/1" the first that bore it; else one at
        work with this name."""
        tag, slash, place = text.partition("/")
        bearers = self.bearers(tag)
        if slash:
            if not place.isdecimal() or not 1 <= int(place) <= len(bearers):
                return None
            return self.reed(bearers[int(place) - 1])
        if bearers:
            return next((r for r in map(self.reed, reversed(bearers)) if r.at_work), self.reed(bearers[-1]))
        named = [r for r in self.at_work() if (r.now.name or "").casefold() == text.casefold()]
        return named[-1] if named else None

    def tag_is_free(self, tag: str) -> bool:
        """Whether a new reed may bear this tag: no reed at work bears it, nor one that is lent."""
        reeds = [self.reed(reed) for reed in self.bearers(tag)]
        return not any(r.at_work or (r.stage == HANDED_OVER and r.now.terms not in ("sold", "given")) for r in reeds)

    def next_tag(self) -> str:
        """The number after the highest one that the latest reeds bear."""
        latest = sorted(self.headings(), key=lambda h: h.reed)[-30:]
        numbers = [int(h.tag) for h in latest if h.tag.isdecimal()]
        tag = max(numbers, default=0) + 1
        while not self.tag_is_free(str(tag)):
            tag += 1
        return str(tag)

    def on_tube(self, tube: str) -> list[Reed]:
        """The reeds that a tube carried, oldest first."""
        ids = [(h.at, h.reed) for h in self.headings() if str(h.facts.get("tube", "")).casefold() == tube.casefold()]
        return [self.reed(reed) for _, reed in sorted(ids)]

    def known(self, fact: str) -> list[str]:
        """The words used so far for a fact of the making (lot, tube, shape, ...), latest first."""
        seen: dict[str, None] = {}
        for heading in sorted(self.headings(), key=lambda h: h.reed, reverse=True):
            value = heading.facts.get(fact)
            if isinstance(value, str):
                seen.setdefault(value)
        return list(seen)

    def last_facts(self, kind: str, instrument: str) -> Facts | None:
        """The facts of the latest event of a kind on this instrument, for 'as last time'."""
        if self._last_facts is None:
            self._last_facts = {}
            latest = sorted((h for h in self.headings()), key=lambda h: h.reed)
            recent = [h.reed for h in latest[-200:]]
            steps = [(s.event.uid, r.instrument, s) for one in recent for r in (self.reed(one),) for s in r.standing]
            for _, of, step in sorted(steps, key=lambda s: s[0]):
                self._last_facts[step.kind, of] = step.facts
        return self._last_facts.get((kind, instrument))

    def latest_instrument(self) -> str | None:
        """The instrument of the reed that was begun last."""
        latest = max(self.headings(), key=lambda h: h.reed, default=None)
        return str(latest.facts["instrument"]) if latest and "instrument" in latest.facts else None

    def tube_length(self, tube: str) -> float | None:
        """The length in mm that was last given for a tube."""
        fits = [h for h in self.headings() if str(h.facts.get("tube", "")).casefold() == tube.casefold()]
        for heading in sorted(fits, key=lambda h: h.reed, reverse=True):
            length = heading.facts.get("tube_mm")
            if isinstance(length, (int, float)):
                return float(length)
        return None

    def usual(self, kind: str, state: State | None) -> Mapping[str, Usual]:
        """The ranges that this maker's own values of an event of this kind lie in, where her log shows them."""
        return {}

    # Beside the reeds

    def subjects(self, table: str) -> Mapping[str, Mapping[str, Value]]:
        """What is known of each thing in a table beside the reeds, in the order of first mention."""
        if self._subjects is None:
            self._subjects = {}
            struck = standing([s for s in self._statements if isinstance(s, Strike)])
            for said in sorted((s for s in self._statements if isinstance(s, Statement)), key=lambda s: s.uid):
                if said.uid not in struck:
                    self._subjects.setdefault(said.table, {}).setdefault(said.subject, {}).update(said.facts)
        return self._subjects.get(table, {})

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
        for uid in reversed(list(self.subjects("sessions"))):
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
        a4 = self.settings.get("a4_hz", STANDARD_A4)
        return float(a4) if isinstance(a4, (int, float)) else STANDARD_A4


def is_over(reed: Reed) -> bool:
    """Whether a reed is retired, so that it need not be looked at again for what is alive."""
    return reed.stage == RETIRED


def begins(kind: str) -> bool:
    """Whether a kind of event begins a reed."""
    return kind in BEGINNINGS
