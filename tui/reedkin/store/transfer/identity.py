"""Which rows of a file the log holds already, which say something else of an event that it holds, and which are new.

A row that brings an identifier of ours is known by it; one that brings its source's own by that, its reed and its kind.
Any other row is known by its reed, its kind and the time on the clock that it was given: rows and events that agree in
these are paired, first those that say the same, and what is left over on both sides is a row that was corrected. Where
only the time of a row was corrected, it is known by the rest, but only among what the same file gave before.

What was taken back is as if it had never come; what was struck as a correction stays struck.

All that an event ever said counts as known, so an older copy of a file takes no correction back; but of a reed's hours
in all, which a file tells anew each time, only what is said of them now.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from reedkin.bench.bearers import TAGS_TABLE
from reedkin.bench.bench import Bench
from reedkin.bench.correcting import Restated
from reedkin.domain.events import Strike, standing
from reedkin.domain.facts import FACTS, Value
from reedkin.domain.figures import moment_words
from reedkin.domain.reeds import Step
from reedkin.store.transfer.drafts import NOTE, Draft, is_of_file, row_mark
from reedkin.store.transfer.rows import RowFinding

_Key = tuple[str, str, datetime]
_Content = tuple[tuple[tuple[str, Value | None], ...], str]


@dataclass(slots=True)
class _Recalled:
    """An event of the log and all that it has said, the latest last. `row` is the row that was found to be it."""

    reed: str
    step: Step
    said: tuple[Restated, ...]
    row: Draft | None = None

    @property
    def now(self) -> Restated:
        return self.said[-1]


@dataclass(frozen=True, slots=True)
class Changed:
    """A row that says something else of an event of the log, and what that event would say instead."""

    draft: Draft
    reed: str
    step: Step
    now: Restated

    def told(self, bench: Bench) -> RowFinding:
        """Both, in words."""
        at = moment_words(self.step.at)
        differing = "; ".join(_differing(self.step, self.now))
        return RowFinding(self.draft.line, f"reed {bench.reed(self.reed).label}, {self.step.kind} {at}: {differing}")


@dataclass(slots=True)
class Identified:
    """What became of the rows of a file. `struck` counts those whose event was struck, and stays so; `gone` are the
    events that the same file gave before and gives no more."""

    new: list[Draft] = field(default_factory=list)
    changed: list[Changed] = field(default_factory=list)
    repeated: int = 0
    struck: int = 0
    faults: list[RowFinding] = field(default_factory=list)
    gone: list[Step] = field(default_factory=list)


def identify(drafts: Sequence[Draft], bench: Bench, touched: Iterable[str], undone: Container[str]) -> Identified:
    """Tell rows that have uids apart. `touched` are the reeds that they may be about, `undone` the events of these that
    were taken back."""
    return _Matching(bench, touched, undone).of(drafts)


def taken_back(bench: Bench, reeds: Iterable[str]) -> set[str]:
    """The uids of what was taken back of reeds, and not struck by a correction."""
    found: set[str] = set()
    for reed in reeds:
        if not any(step.struck for step in bench.reed(reed).steps):
            continue
        strikes = [record for record in bench.lineages.records(reed) if isinstance(record, Strike)]
        struck = standing(strikes)
        found.update(strike.of for strike in strikes if strike.uid not in struck and not strike.correction)
    return found


def former_tags(bench: Bench) -> Mapping[str, frozenset[str]]:
    """The tags that reeds bore before they were given another, in lower case, by reed."""
    borne: dict[str, set[str]] = {}
    for said in bench.beside.said(TAGS_TABLE):
        if said.subject in bench:
            tags = borne.setdefault(said.subject, {bench.reed(said.subject).steps[0].event.tag.casefold()})
            tags.add(str(said.facts.get("tag", "")).casefold())
    return {reed: frozenset(tags - {bench.reed(reed).tag.casefold(), ""}) for reed, tags in borne.items()}


class _Matching:
    def __init__(self, bench: Bench, touched: Iterable[str], undone: Container[str]) -> None:
        self._bench = bench
        self._former = former_tags(bench)
        self._of_reed: dict[str, dict[str, _Recalled]] = {}
        self._by_key: dict[_Key, list[_Recalled]] = {}
        self._by_mark: dict[str, list[_Recalled]] = {}
        for reed in touched:
            for known in self._events(reed).values():
                if known.step.event.uid in undone:
                    continue
                self._by_mark.setdefault(row_mark(known.step.event.uid), []).append(known)
                for key in self._keys(known):
                    self._by_key.setdefault(key, []).append(known)

    def _events(self, reed: str) -> dict[str, _Recalled]:
        if reed not in self._of_reed:
            steps = self._bench.reed(reed).steps
            self._of_reed[reed] = {step.event.uid: _Recalled(reed, step, _versions(step)) for step in steps}
        return self._of_reed[reed]

    def _keys(self, known: _Recalled) -> Iterator[_Key]:
        reed = self._bench.reed(known.reed)
        tags = {reed.tag.casefold(), f"{reed.tag.casefold()}/{reed.bearer}", *self._former.get(reed.id, ())}
        walls = {_wall(said.at) for said in known.said}
        return ((tag, known.step.kind, wall) for tag in tags for wall in walls)

    def of(self, drafts: Sequence[Draft]) -> Identified:
        out = Identified()
        drafts = self._once(drafts, out)
        self._by_uid([draft for draft in drafts if draft.named], out)
        others = [draft for draft in drafts if not draft.named]
        rest = self._by_source_mark(others, out)
        rest = self._by_reed_kind_and_time(rest, out)
        out.new += self._by_all_but_the_time(rest, out)
        return out

    @staticmethod
    def _once(drafts: Iterable[Draft], out: Identified) -> list[Draft]:
        """The rows without those whose uid stands in an earlier one."""
        first: dict[str, Draft] = {}
        for draft in drafts:
            before = first.setdefault(draft.uid, draft)
            if before is not draft and before.same == draft.same:
                out.repeated += 1
            elif before is not draft:
                out.faults.append(RowFinding(draft.line, f"its uid is that of line {before.line}, with other content"))
        return list(first.values())

    # By what a row brings

    def _by_uid(self, drafts: Sequence[Draft], out: Identified) -> None:
        if not drafts:
            return
        lineages, ever = self._bench.lineages, self._bench.headings.ever()
        home = {record.uid: reed for reed in ever for record in lineages.records(reed)}
        for draft in drafts:
            if draft.uid not in home:
                out.new.append(draft)
                continue
            known = self._events(home[draft.uid]).get(draft.uid)
            if known is None:
                out.faults.append(RowFinding(draft.line, "its uid is that of a correction; leave the uid out"))
            elif why := self._elsewhere(draft, known):
                out.faults.append(RowFinding(draft.line, why))
            else:
                self._found(draft, known, out)

    def _elsewhere(self, draft: Draft, known: _Recalled) -> str | None:
        """Why a row cannot be the event whose uid it brings, which no correction of facts can mend."""
        reed, kind = self._bench.reed(known.reed), known.step.kind
        name = known.step.event.uid[-8:]
        if draft.kind != kind:
            return (f"its uid is that of a “{kind}” of reed {reed.label}, and no “{draft.kind}”: take that out with "
                    f"reedkin strike {name}, and leave the uid of this row out")  # fmt: skip
        tags = {reed.tag.casefold(), known.step.event.tag.casefold(), *self._former.get(reed.id, ())}
        if draft.tag.partition("/")[0].casefold() in tags:
            return None
        other = draft.tag.partition("/")[0]
        way = f"reedkin retag {reed.label} {other}" if known.step.event.uid == reed.id else (
            f"reedkin move {name} --to {other}"
        )  # fmt: skip
        return f"the log has it of reed {reed.label}, not {other}. If it is to be {other}: {way}"

    def _by_source_mark(self, drafts: Sequence[Draft], out: Identified) -> list[Draft]:
        """The rows that are left. What stands in several rows, or was that of several events, identifies none."""
        marks = Counter(row_mark(draft.uid) for draft in drafts if draft.marked)
        rest = []
        for draft in drafts:
            mark = row_mark(draft.uid)
            fits = self._by_mark.get(mark, []) if marks[mark] == 1 else []
            if len(fits) == 1 and fits[0].row is None:
                self._found(draft, fits[0], out)
            else:
                rest.append(draft)
        return rest

    # By what it says

    def _by_reed_kind_and_time(self, drafts: Sequence[Draft], out: Identified) -> list[Draft]:
        groups: dict[_Key, list[Draft]] = {}
        for draft in drafts:
            groups.setdefault((draft.tag.casefold(), draft.kind, _wall(draft.at)), []).append(draft)
        rest = []
        for key, rows in groups.items():
            events = self._by_key.get(key, [])
            by_uid = {known.step.event.uid: known for known in events if known.row is None}
            others = [row for row in rows if not self._is(row, by_uid.get(row.uid), out)]
            alike = _Alike(events)
            others = [row for row in others if not self._is(row, alike.to(row), out)]
            free = [known for known in events if known.row is None and not known.step.struck]
            for row, known in zip(others, free, strict=False):
                self._found(row, known, out)
            rest += others[len(free) :]
        return rest

    def _by_all_but_the_time(self, drafts: Sequence[Draft], out: Identified) -> list[Draft]:
        """Of the rows that are left, those that are new. Events that came from a file are looked for among them, within
        the days that this one speaks of; those that came with what it repeats, and are in it no more, are gone."""
        every = [known for events in self._of_reed.values() for known in events.values()]
        again = [known for known in every if known.row is not None and not known.row.named]
        if not again:
            return list(drafts)
        entries = {known.step.event.entry for known in again}
        days = [_wall(draft.at) for draft in (*drafts, *(known.row for known in again if known.row is not None))]
        first, last = min(days), max(days)
        gone = [
            known for known in every
            if known.row is None and not known.step.struck and first <= _wall(known.now.at) <= last
            and is_of_file(known.step.event)
        ]  # fmt: skip
        alike: dict[tuple[str, str], list[_Recalled]] = {}
        for known in gone:
            for tag in {key[0] for key in self._keys(known)}:
                alike.setdefault((tag, known.step.kind), []).append(known)
        of = {key: _Alike(events) for key, events in alike.items()}
        rest = []
        for draft in drafts:
            events = of.get((draft.tag.casefold(), draft.kind))
            if not self._is(draft, events.to(draft) if events is not None else None, out):
                rest.append(draft)
        new = []
        for draft in rest:  # both its time and what it says were corrected: one row is gone, and one has come
            fits = (one for one in alike.get((draft.tag.casefold(), draft.kind), ()) if one.row is None)
            gone_by_it = next((one for one in fits if one.step.event.entry in entries), None)
            if not self._is(draft, gone_by_it, out):
                new.append(draft)
        out.gone += [known.step for known in gone if known.row is None and known.step.event.entry in entries]
        return new

    def _is(self, draft: Draft, known: _Recalled | None, out: Identified) -> bool:
        if known is not None:
            self._found(draft, known, out)
        return known is not None

    def _found(self, draft: Draft, known: _Recalled, out: Identified) -> None:
        """A row is this event: it repeats it, or says something else of it."""
        known.row, draft.known = draft, known.step.event.uid
        said = known.said[-1:] if draft.latest else known.said
        now = restated(draft, said)
        if known.step.struck:
            out.struck += 1
        elif now == known.now or any(_says(draft, one) for one in said):
            out.repeated += 1
        else:
            out.changed.append(Changed(draft, known.reed, known.step, now))


class _Alike:
    """Events by what they say, as far as a row speaks of it."""

    def __init__(self, events: Sequence[_Recalled]) -> None:
        self._events = events
        self._by_content: dict[frozenset[str], dict[_Content, list[_Recalled]]] = {}

    def to(self, draft: Draft) -> _Recalled | None:
        """The first event that no row was found to be and that ever said what this one says."""
        spoken = draft.spoken
        if spoken not in self._by_content:
            of = self._by_content[spoken] = {}
            for known in reversed(self._events):
                for content in {_content(said, spoken) for said in known.said}:
                    of.setdefault(content, []).append(known)
        fits = self._by_content[spoken].get(_content(draft, spoken), [])
        while fits and fits[-1].row is not None:
            fits.pop()
        return fits[-1] if fits else None


def _content(said: Restated | Draft, spoken: frozenset[str]) -> _Content:
    facts = tuple((name, said.facts.get(name)) for name in sorted(spoken))
    return (facts, said.note if NOTE in spoken else "")


def _versions(step: Step) -> tuple[Restated, ...]:
    event = step.event
    first = Restated(event.at, event.facts, event.note)
    return (first, *(Restated(one.at, one.facts, one.note) for one in step.amendments))


def _wall(at: datetime) -> datetime:
    """What a clock on the wall showed: a file names no offset, and may be read on a journey."""
    return at.replace(tzinfo=None)


def _same_time(draft: Draft, said: Restated) -> bool:
    return draft.at == said.at or (not draft.named and _wall(draft.at) == _wall(said.at))


def _says(draft: Draft, said: Restated) -> bool:
    """Whether a row says what an event says, as far as its file speaks of it."""
    return _same_time(draft, said) and _content(draft, draft.spoken) == _content(said, draft.spoken)


def restated(draft: Draft, said: Sequence[Restated]) -> Restated:
    """What an event is to say after its row was corrected: what the row changed of the version that it comes from, the
    one most like it. What was corrected in the log besides stays."""
    base = min(reversed(said), key=lambda version: _unlike(draft, version))
    now = said[-1]
    facts = dict(now.facts)
    for name in draft.spoken - {NOTE}:
        value = draft.facts.get(name)
        if value == base.facts.get(name):
            continue
        if value is None:
            facts.pop(name, None)
        else:
            facts[name] = value
    at = now.at if _same_time(draft, base) else draft.at
    note = draft.note if NOTE in draft.spoken and draft.note != base.note else now.note
    return Restated(at, facts, note)


def _unlike(draft: Draft, said: Restated) -> int:
    facts = sum(draft.facts.get(name) != said.facts.get(name) for name in draft.spoken - {NOTE})
    return facts + (not _same_time(draft, said)) + (NOTE in draft.spoken and draft.note != said.note)


def _differing(step: Step, now: Restated) -> Iterator[str]:
    """What is different, in words: as it is, and as it would be."""
    if now.at != step.at:
        yield f"{moment_words(step.at)} → {moment_words(now.at)}"
    for name in dict.fromkeys((*step.facts, *now.facts)):
        before, after = step.facts.get(name), now.facts.get(name)
        if before != after:
            words = FACTS[name].words if name in FACTS else name
            yield f"{words} {_shown(name, before)} → {_shown(name, after)}"
    if now.note != step.note:
        yield f"note “{step.note}” → “{now.note}”"


def _shown(name: str, value: Value | None) -> str:
    if value is None:
        return "none"
    return FACTS[name].show(value) if name in FACTS else str(value)
