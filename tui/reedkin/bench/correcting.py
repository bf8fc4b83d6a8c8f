"""Corrections of what was recorded, planned before anything is written: the further records that they are, each reed
before and after, and what can be said against that."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime
from itertools import groupby
from typing import NamedTuple

from reedkin.bench.audit import about, objections_to
from reedkin.bench.bearers import TAGS_TABLE, tag_key
from reedkin.bench.bench import Bench
from reedkin.bench.trials import ASSIGNED, TRIALS, trials
from reedkin.domain.events import Amendment, Event, Place, Record, Statement, Strike, reed_table
from reedkin.domain.facts import Facts, begins
from reedkin.domain.figures import moment_words, tag_list
from reedkin.domain.reeds import Reed, Step, fold
from reedkin.domain.uid import UidMaker

MOST_AT_ONCE = 500
"""More events of one entry than this were imported together; nobody corrects them by hand at once."""


class Correction(NamedTuple):
    """A correction: its records, which are one entry, and each reed that it is about before and after it. With errors
    it is not to be written; questions are to be answered first."""

    records: tuple[Record, ...] = ()
    effects: tuple[tuple[Reed, Reed], ...] = ()
    errors: tuple[str, ...] = ()
    questions: tuple[str, ...] = ()

    @property
    def ready(self) -> bool:
        """Whether it could be written (questions may still have to be answered)."""
        return bool(self.records) and not self.errors


class Restated(NamedTuple):
    """What an event is to say instead."""

    at: datetime
    facts: Facts
    note: str


def refused(*errors: str) -> Correction:
    """A correction that cannot be."""
    return Correction(errors=errors)


def step_at(bench: Bench, place: Place) -> Step | None:
    """The event at a place as it stands now; None where the log has none."""
    if place.reed not in bench:
        return None
    return next((step for step in bench.reed(place.reed).steps if step.event.uid == place.event), None)


class Corrector:
    """Plans corrections at a bench. The uids of a plan are new at each; it need not be written."""

    def __init__(self, bench: Bench, uids: UidMaker) -> None:
        self._bench, self._uids = bench, uids
        self._now = bench.clock.now()

    # What can be done

    def strike(self, steps: Sequence[Step]) -> Correction:
        """Take events out of account."""
        if any(step.struck for step in steps):
            return refused("that is struck already")
        if steps and all(step.kind == ASSIGNED for step in steps):
            return refused("what chance assigned stays; strike the tying if the reed never was")
        void = {step.event.reed for step in steps if step.event.uid == step.event.reed}
        struck = [step for step in steps if step.kind != ASSIGNED or step.event.reed in void]
        entry = self._uids.new()
        return self._weighed([self._struck(step.event.reed, step.event.uid, entry) for step in struck], frozenset())

    def give_back(self, steps: Sequence[Step]) -> Correction:
        """Take struck events into account again."""
        if not all(step.struck for step in steps):
            return refused("that is not struck")
        if moved := [to for step in steps if (to := step.moved_to) is not None and self._stands(to)]:
            other = self._bench.reed(moved[0].reed).label
            return refused(f"it was moved to reed {other}: move it back from there, or take the move back")
        entry = self._uids.new()
        records: list[Record] = []
        for step in steps:
            known = self._bench.lineages.records(step.event.reed)
            strikes = [r for r in known if isinstance(r, Strike) and r.of == step.event.uid]
            records += [self._struck(step.event.reed, strike.uid, entry) for strike in strikes]
        return self._weighed(records, {step.event.uid for step in steps})

    def amend(self, said: Sequence[tuple[Step, Restated]]) -> Correction:
        """Have events say something else."""
        if any(step.struck for step, _ in said):
            return refused("that is struck; give it back first")
        entry = self._uids.new()
        records = [
            Amendment(self._uids.new(), step.event.reed, step.event.uid, now.at, self._now, entry, now.facts, now.note)
            for step, now in said
            if (now.at, now.facts, now.note) != (step.at, step.facts, step.note)
        ]
        if not records:
            return refused("that is what it says already")
        return self._weighed(records, {record.of for record in records})

    def to_day(self, steps: Sequence[Step], day: date) -> Correction:
        """Take events to another day, each at its own time of day, so that they keep their order."""
        local = self._bench.clock.local
        return self.amend([(s, _at(s, local(datetime.combine(day, local(s.at).time())))) for s in steps])

    def to_moment(self, steps: Sequence[Step], at: datetime) -> Correction:
        """Take events to another moment; they keep the order in which they were recorded."""
        return self.amend([(step, _at(step, at)) for step in steps])

    def to_reeds(self, steps: Sequence[Step], reeds: Sequence[Reed]) -> Correction:
        """Move events to another reed: each is struck and written anew there, and each record names the other. Those of
        several reeds go to as many, in order."""
        if any(step.struck for step in steps):
            return refused("that is struck; give it back first")
        if any(step.kind == ASSIGNED for step in steps):
            return refused("what chance assigned stays with its reed")
        if any(begins(step.kind) for step in steps):
            return refused("a reed's beginning stays with it; to call the reed otherwise, change its tag")
        sources = list(dict.fromkeys(step.event.reed for step in steps))
        if len(reeds) != len(sources):
            return refused(f"of {len(sources)} reeds: name {len(sources)} tags, such as 11-{10 + len(sources)}"
                           if len(sources) > 1 else "name one reed")  # fmt: skip
        to = dict(zip(sources, reeds, strict=True))
        if any(source == reed.id for source, reed in to.items()):
            return refused("that is where it is already")
        if len({reed.id for reed in reeds}) < len(reeds):
            return refused("one reed stands there twice")
        entry = self._uids.new()
        records: list[Record] = []
        for step in steps:
            event, reed, uid = step.event, to[step.event.reed], self._uids.new()
            records += [
                Event(uid, reed.id, step.kind, reed.tag, step.at, self._now, entry, step.facts, event.session,
                      step.note, Place(event.reed, event.uid)),
                self._struck(event.reed, event.uid, entry, Place(reed.id, uid)),
            ]  # fmt: skip
        return self._weighed(records, {record.uid for record in records if isinstance(record, Event)})

    def to_tag(self, reed: Reed, tag: str) -> Correction:
        """Give a reed another tag, which is sound (the grammar says which are)."""
        if why := why_not_tag(reed, tag, self._bench):
            return refused(why)
        uid = self._uids.new()
        said = Statement(uid, TAGS_TABLE, reed.id, self._now, self._now, uid, {"tag": tag})
        return Correction((said,), ((reed, replace(reed, tag=tag)),))

    def strike_said(self, *said: Statement) -> Correction:
        """Take out of account what was said of things beside the reeds."""
        stands = {one.uid for table in {one.table for one in said} for one in self._bench.beside.said(table)}
        if any(one.uid not in stands for one in said):
            return refused("that is struck already")
        entry = self._uids.new()
        return Correction(tuple(
            Strike(self._uids.new(), one.table, one.uid, self._now, entry, correction=True) for one in said
        ))  # fmt: skip

    def end_trial(self, trial: str) -> Correction:
        """End a trial, given by its uid."""
        if not any(one.uid == trial and one.running for one in trials(self._bench)):
            return refused("that trial does not run")
        uid = self._uids.new()
        return Correction((Statement(uid, TRIALS, trial, self._now, self._now, uid, {"ended": self._now.isoformat()}),))

    # How it is judged

    def _struck(self, reed: str, of: str, entry: str, moved_to: Place | None = None) -> Strike:
        return Strike(self._uids.new(), reed_table(reed), of, self._now, entry, moved_to, correction=True)

    def _stands(self, place: Place) -> bool:
        step = step_at(self._bench, place)
        return step is not None and not step.struck

    def _weighed(self, records: Sequence[Record], touched: Iterable[str]) -> Correction:
        """The plan of these records: what they make of each reed, and what speaks against it that did not before, or
        that is about the events that are `touched`."""
        touched = frozenset(touched)
        effects = []
        errors: dict[str, list[str]] = {}
        questions: dict[str, list[str]] = {}
        by_reed: dict[str, list[Record]] = {}
        for record in records:
            by_reed.setdefault(_reed_of(record), []).append(record)
        for reed, new in by_reed.items():
            before = self._bench.reed(reed)
            whole = fold(reed, [*self._bench.lineages.records(reed), *new], before.bearer, before.bearers)
            after = replace(whole, tag=before.tag)
            effects.append((before, after))
            for impossible, message in self._against(before, after, touched):
                (errors if impossible else questions).setdefault(message, []).append(before.label)
        return Correction(tuple(records), tuple(effects), of_reeds(errors), of_reeds(questions))

    def _against(self, before: Reed, after: Reed, touched: frozenset[str]) -> Iterator[tuple[bool, str]]:
        """What can be said against a reed as a correction makes it: whether it is impossible, and why."""
        if after.void:
            if any(step.kind != ASSIGNED for step in after.standing):
                yield True, "strike the later events first: without its beginning there is no reed"
            return
        known = _known(before, self._bench)
        for step in after.standing:
            uid, mine = step.event.uid, step.event.uid in touched
            if step.at < after.begun and (mine or not _too_early(before, uid)):
                yield True, _worded(step, _not_yet(after), mine)
                continue
            for finding in objections_to(after, step, self._bench):
                if finding.severity == "impossible":
                    if mine or "impossible" not in known.get(uid, {}).values():
                        yield True, _worded(step, finding.message, mine)
                elif finding.message not in known.get(uid, {}):
                    yield False, _worded(step, finding.message, mine)
        if after.now.keeps_tag and (before.void or not before.now.keeps_tag):
            others = (self._bench.reed(one) for one in self._bench.tags.bearers(before.tag) if one != before.id)
            if any(other.now.keeps_tag for other in others):
                yield False, f"another reed bears the tag {before.tag} now; one of them needs another tag"


def why_not_tag(reed: Reed, tag: str, bench: Bench) -> str | None:
    """Why a reed cannot be called `tag`, which is sound, from now on; None if it can."""
    if reed.void:
        return "it was struck, and never was"
    if tag == reed.tag:
        return "that is its tag already"
    if tag_key(tag) != tag_key(reed.tag) and not bench.tags.is_free(tag) and reed.now.keeps_tag:
        return f"{tag} is in use; take another, such as {bench.tags.next()}"
    return None


def of_reeds(messages: Mapping[str, Sequence[str]]) -> tuple[str, ...]:
    """Messages, each with the labels of the reeds that it is about."""
    return tuple(f"{tag_list(dict.fromkeys(labels))}: {message}" for message, labels in messages.items())


def _at(step: Step, at: datetime) -> Restated:
    return Restated(at, step.facts, step.note)


def _reed_of(record: Record) -> str:
    if isinstance(record, (Event, Amendment)):
        return record.reed
    assert isinstance(record, Strike)
    return record.table.removeprefix(reed_table(""))


def _known(reed: Reed, bench: Bench) -> Mapping[str, Mapping[str, str]]:
    """What could be said against each event of a reed before: by the event's uid, the severity by the message."""
    if reed.void:
        return {}
    return {
        step.event.uid: {finding.message: finding.severity for finding in objections_to(reed, step, bench)}
        for step in reed.standing
    }


def _too_early(reed: Reed, uid: str) -> bool:
    return any(step.event.uid == uid and step.at < reed.begun and not step.struck for step in reed.steps)


def _not_yet(reed: Reed) -> str:
    return f"it was {reed.steps[0].kind} only on {moment_words(reed.begun)}"


def _worded(step: Step, message: str, mine: bool) -> str:
    """A message, with the event that it is about where that is none of those that are corrected."""
    return message if mine else about(step, message)


def alike(steps: Iterable[Step]) -> list[list[Step]]:
    """Events in the order given, those together that say the same of different reeds at one moment in one entry."""
    groups: list[list[Step]] = []
    for _, same in groupby(steps, key=lambda s: (s.event.entry, s.at, s.kind, s.struck, s.note)):
        groups += _by_facts(same)
    return groups


def _by_facts(steps: Iterable[Step]) -> list[list[Step]]:
    groups: list[list[Step]] = []
    for step in steps:
        last = groups[-1] if groups else []
        if last and last[0].facts == step.facts and all(one.event.reed != step.event.reed for one in last):
            last.append(step)
        else:
            groups.append([step])
    return groups
