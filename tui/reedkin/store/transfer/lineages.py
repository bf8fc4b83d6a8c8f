"""Which reed each row of an import means, and what is to be said against it there: one pass through time, the log's own
events among the new ones."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from reedkin.bench.bench import Bench
from reedkin.domain.checks import Objection, judge, judge_time
from reedkin.domain.describe import describe
from reedkin.domain.facts import begins
from reedkin.domain.reeds import State, Step, advance
from reedkin.grammar.tags import tag_problem
from reedkin.store.transfer.drafts import Draft
from reedkin.store.transfer.rows import RowFinding

_Key = tuple[datetime, str, bool, datetime, str]


@dataclass(slots=True)
class _ReedSoFar:
    """A reed on the way through time. `line` is that of the latest new row about it, 0 if there is none yet."""

    reed: str
    tag: str
    begun: datetime
    state: State = field(default_factory=State)
    line: int = 0


@dataclass(slots=True)
class Placement:
    """The drafts that are new to the log, each with its reed, and what is to be said."""

    placed: list[tuple[Draft, str, str]] = field(default_factory=list)
    """Draft, reed and the reed's tag."""
    faults: list[RowFinding] = field(default_factory=list)
    questions: list[RowFinding] = field(default_factory=list)
    repeated: int = 0


def place(drafts: Sequence[Draft], bench: Bench, spoiled: frozenset[str] = frozenset()) -> Placement:
    """Place drafts that have uids. Of the tags in `spoiled`, whose beginnings could not be read, nothing is said."""
    out = Placement()
    touched = _touched(drafts, bench)
    new = _new(drafts, _known(drafts, bench, touched), out)
    _Pass(bench, new, spoiled, out).through(touched)
    return out


def _touched(drafts: Iterable[Draft], bench: Bench) -> list[str]:
    """The reeds of the log that drafts may be about, void ones among them."""
    found: dict[str, None] = {}
    for draft in drafts:
        found.update(dict.fromkeys(bench.tags.bearers(draft.tag.partition("/")[0])))
        found.update(dict.fromkeys(reed for reed in (draft.reed, draft.uid) if reed in bench))
    return list(found)


def _known(drafts: Iterable[Draft], bench: Bench, touched: Iterable[str]) -> set[str]:
    """The uids in the log that drafts may repeat. A row that brings its uid may have had its tag changed since, so
    it is looked for everywhere."""
    reeds = set(touched)
    if any(draft.named for draft in drafts):
        reeds.update(heading.reed for heading in bench.headings)
    return {record.uid for reed in reeds for record in bench.lineages.records(reed)}


def _new(drafts: Iterable[Draft], known: set[str], out: Placement) -> list[Draft]:
    new: dict[str, Draft] = {}
    for draft in drafts:
        first = new.get(draft.uid)
        if draft.uid in known or (first is not None and first.same == draft.same):
            out.repeated += 1
        elif first is not None:
            out.faults.append(RowFinding(draft.line, f"its uid is that of line {first.line}, with other content"))
        else:
            new[draft.uid] = draft
    return list(new.values())


class _Pass:
    """Goes through the log's events and the new ones in the order in which lineages are folded."""

    def __init__(self, bench: Bench, new: Sequence[Draft], spoiled: frozenset[str], out: Placement) -> None:
        self.bench, self.new, self.spoiled, self.out = bench, new, spoiled, out
        self.lives: dict[str, _ReedSoFar] = {}
        self.bearers: dict[str, list[_ReedSoFar]] = {}
        self.beginnings = {draft.uid: draft for draft in new if begins(draft.kind)}

    def through(self, touched: Iterable[str]) -> None:
        items: list[tuple[_Key, Draft | tuple[str, Step]]] = [(self._key(draft), draft) for draft in self.new]
        for reed in map(self.bench.reed, touched):
            if not reed.void:
                begun = (reed.begun, reed.id)
                items += [(_key(step.at, step.event.uid, begun), (reed.id, step)) for step in reed.standing]
        for _, item in sorted(items, key=lambda item: item[0]):
            if isinstance(item, Draft):
                self._take(item)
            else:
                self._pass_by(*item)

    def _key(self, draft: Draft) -> _Key:
        begun = None
        if draft.reed in self.beginnings:
            begun = (self.beginnings[draft.reed].at, draft.reed)
        elif draft.reed in self.bench:
            begun = (self.bench.reed(draft.reed).begun, draft.reed)
        return _key(draft.at, draft.uid, begun)

    # The log's own events

    def _pass_by(self, reed: str, step: Step) -> None:
        if begins(step.kind):
            self._begin(_ReedSoFar(reed, step.event.tag, step.at))
        life = self.lives[reed]
        if life.line and not _impossible(step, step.before) and _impossible(step, life.state):
            self.out.faults.append(
                RowFinding(life.line, f"reed {life.tag}: after it the log's own “{describe(step.kind, step.facts)}” of "
                           f"{step.at:%d %b %Y} could not be")
            )  # fmt: skip
            life.line = 0
        life.state = advance(life.state, step.kind, step.facts)

    def _begin(self, life: _ReedSoFar) -> None:
        self.lives[life.reed] = life
        self.bearers.setdefault(life.tag.casefold(), []).append(life)

    # New events

    def _take(self, draft: Draft) -> None:
        if draft.tag.partition("/")[0].casefold() in self.spoiled:
            return
        life = self._begun_by(draft) if begins(draft.kind) else self._meant(draft)
        if life is None:
            return
        ours = draft.reed == life.reed
        impossible = False
        for finding in self._findings(draft, life):
            message = f"reed {draft.tag}: {finding.message}"
            if finding.severity == "odd" or (ours and finding not in _by_itself(draft)):
                # What a log held in spite of it comes back as it was; it stays a question.
                self.out.questions.append(RowFinding(draft.line, message))
            else:
                impossible = True
                self.out.faults.append(RowFinding(draft.line, message))
        if not impossible or begins(draft.kind):
            life.state = advance(life.state, draft.kind, draft.facts)
            life.line = draft.line
            self.out.placed.append((draft, life.reed, life.tag))

    def _findings(self, draft: Draft, life: _ReedSoFar) -> Iterator[Objection]:
        beginning = begins(draft.kind)
        instrument = draft.facts.get("instrument")
        targets = self.bench.settings.targets(str(instrument)) if instrument else None
        state = None if beginning else life.state
        usual = self.bench.own_ranges.usual(draft.kind, state)
        yield from judge(draft.kind, draft.facts, state, draft.note, targets, usual)
        yield from judge_time(draft.at, self.bench.clock.now(), None if beginning else life.begun, typed=False)

    def _begun_by(self, draft: Draft) -> _ReedSoFar | None:
        if why := tag_problem(draft.tag):
            self.out.faults.append(RowFinding(draft.line, why))
            return None
        bearer = next((b for b in self.bearers.get(draft.tag.casefold(), ()) if b.state.keeps_tag), None)
        if bearer is not None:
            message = f"reed {draft.tag}: the tag is borne by the reed begun on {bearer.begun:%d %b %Y}"
            if draft.reed == draft.uid:
                self.out.questions.append(RowFinding(draft.line, message))
            else:
                self.out.faults.append(RowFinding(draft.line, f"{message}; retire that one first, or change the tag"))
                return None
        life = _ReedSoFar(draft.uid, draft.tag, draft.at)
        self._begin(life)
        return life

    def _meant(self, draft: Draft) -> _ReedSoFar | None:
        life = self.lives.get(draft.reed) or self._by_tag(draft)
        if life is None:
            self.out.faults.append(RowFinding(draft.line, self._nobody(draft)))
        elif life.tag.casefold() != draft.tag.partition("/")[0].casefold():
            self.out.faults.append(RowFinding(draft.line, f"it says reed {draft.tag}, but means one tagged {life.tag}"))
            return None
        return life

    def _by_tag(self, draft: Draft) -> _ReedSoFar | None:
        tag, slash, number = draft.tag.partition("/")
        bearers = self.bearers.get(tag.casefold(), [])
        if slash:
            return bearers[int(number) - 1] if number.isdecimal() and 0 < int(number) <= len(bearers) else None
        return next((b for b in reversed(bearers) if b.state.keeps_tag), bearers[-1] if bearers else None)

    def _nobody(self, draft: Draft) -> str:
        later = [d for d in self.beginnings.values() if d.tag.casefold() == draft.tag.casefold()]
        if later:
            return f"reed {draft.tag} is begun only on {later[0].at:%d %b %Y}, in line {later[0].line}"
        return f"there is no reed {draft.tag} then; a row that ties or joins it has to come first"


def _key(at: datetime, uid: str, begun: tuple[datetime, str] | None) -> _Key:
    """Where an event stands in time: by its moment, but after the beginning of its reed."""
    if begun is None:
        return (at, uid, False, at, uid)
    return (*max((at, uid), begun), uid != begun[1], at, uid)


def _impossible(step: Step, before: State) -> bool:
    findings = judge(step.kind, step.facts, None if begins(step.kind) else before, step.note)
    return any(finding.severity == "impossible" for finding in findings)


def _by_itself(draft: Draft) -> list[Objection]:
    """What is to be said against an event whatever reed it happened to."""
    return judge(draft.kind, draft.facts, None, draft.note)
