"""Which reed each row of an import means, and what is to be said against it there: one pass through time, the log's own
events among the new ones."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Literal

from reedkin.bench.bench import Bench
from reedkin.domain.checks import Objection, judge, judge_time
from reedkin.domain.describe import describe
from reedkin.domain.facts import begins
from reedkin.domain.figures import date_words
from reedkin.domain.reeds import State, Step, advance
from reedkin.domain.uid import free_uid
from reedkin.grammar.words.tags import tag_problem
from reedkin.store.transfer.drafts import Draft, keep_order, own_uid
from reedkin.store.transfer.identity import Changed, former_tags, identify, taken_back
from reedkin.store.transfer.rows import RowFinding

_Key = tuple[datetime, str, bool, datetime, str]


Answer = Literal["replace", "both", "log"]
"""What is to become of rows that say something else of an event of the log: it says that from now on, both count, or
what the log says stays."""


@dataclass(slots=True)
class _ReedSoFar:
    """A reed on the way through time, and the tags that it bore before. `line` is that of the latest new row about it,
    0 if there is none yet."""

    reed: str
    tag: str
    begun: datetime
    former: frozenset[str] = frozenset()
    state: State = field(default_factory=State)
    line: int = 0


@dataclass(slots=True)
class Placement:
    """The drafts that are new to the log, or that correct it, each with its reed, and what is to be said."""

    placed: list[tuple[Draft, str, str]] = field(default_factory=list)
    """Draft, reed and the reed's tag."""
    faults: list[RowFinding] = field(default_factory=list)
    questions: list[RowFinding] = field(default_factory=list)
    changed: list[RowFinding] = field(default_factory=list)
    """Rows that say something else of an event of the log, and await an answer."""
    gone: list[Step] = field(default_factory=list)
    repeated: int = 0
    struck: int = 0
    left: int = 0
    """Rows that say something else, and were passed over as asked."""


def place(
    drafts: Sequence[Draft], bench: Bench, spoiled: frozenset[str] = frozenset(), answer: Answer | None = None
) -> Placement:
    """Place drafts that have uids. Of the tags in `spoiled`, whose beginnings could not be read, nothing is said."""
    touched = _touched(drafts, bench)
    undone = taken_back(bench, {*touched, *bench.headings.untied()})
    known = identify(drafts, bench, touched, undone)
    out = Placement(faults=known.faults, gone=known.gone, repeated=known.repeated, struck=known.struck)
    keep_order(drafts)
    new = [*known.new, *_answered(known.changed, answer, bench, out)]
    for draft in new:
        if draft.corrects is None and not draft.named:
            draft.uid = free_uid(draft.uid, undone)
    reeds = dict.fromkeys((*touched, *(draft.reed for draft in new if draft.corrects is not None)))
    _Pass(bench, new, spoiled, out).through(reeds)
    return out


def _touched(drafts: Iterable[Draft], bench: Bench) -> list[str]:
    """The reeds of the log that drafts may be about, void ones among them."""
    former: dict[str, list[str]] = {}
    for reed, tags in former_tags(bench).items():
        for tag in tags:
            former.setdefault(tag, []).append(reed)
    found: dict[str, None] = {}
    for draft in drafts:
        tag = draft.tag.partition("/")[0]
        found.update(dict.fromkeys((*bench.tags.bearers(tag), *former.get(tag.casefold(), ()))))
        found.update(dict.fromkeys(reed for reed in (draft.reed, draft.uid) if reed in bench))
    return list(found)


def _answered(changed: Iterable[Changed], answer: Answer | None, bench: Bench, out: Placement) -> Iterator[Draft]:
    """The rows that say something else of an event, as far as the answer lets them count."""
    for one in changed:
        draft = one.draft
        if answer is None:
            out.changed.append(one.told(bench))
        elif answer == "log":
            out.left += 1
        elif answer == "both":
            draft.uid = own_uid(draft)
            yield draft
        else:
            draft.corrects, draft.reed, draft.uid = one.step, one.reed, one.step.event.uid
            draft.at, draft.facts, draft.note = one.now.at, dict(one.now.facts), one.now.note
            yield draft


class _Pass:
    """Goes through the log's events and the new ones in the order in which lineages are folded."""

    def __init__(self, bench: Bench, new: Sequence[Draft], spoiled: frozenset[str], out: Placement) -> None:
        self.bench, self.new, self.spoiled, self.out = bench, new, spoiled, out
        self.lives: dict[str, _ReedSoFar] = {}
        self.bearers: dict[str, list[_ReedSoFar]] = {}
        self.beginnings = {draft.uid: draft for draft in new if begins(draft.kind)}
        self.corrected = {draft.uid for draft in new if draft.corrects is not None}
        self.former = former_tags(bench)

    def through(self, touched: Iterable[str]) -> None:
        items: list[tuple[_Key, Draft | tuple[str, Step]]] = [(self._key(draft), draft) for draft in self.new]
        for reed in map(self.bench.reed, touched):
            if not reed.void:
                begun = self._begun(reed.id)
                stays = [step for step in reed.standing if step.event.uid not in self.corrected]
                items += [(_key(step.at, step.event.uid, begun), (reed.id, step)) for step in stays]
        for _, item in sorted(items, key=lambda item: item[0]):
            if isinstance(item, Draft):
                self._take(item)
            else:
                self._pass_by(*item)

    def _key(self, draft: Draft) -> _Key:
        return _key(draft.at, draft.uid, self._begun(draft.reed))

    def _begun(self, reed: str) -> tuple[datetime, str] | None:
        """When the reed with this id was begun, and the id; None where nobody knows it."""
        if reed in self.beginnings:
            return (self.beginnings[reed].at, reed)
        return (self.bench.reed(reed).begun, reed) if reed in self.bench else None

    # The log's own events

    def _pass_by(self, reed: str, step: Step) -> None:
        if begins(step.kind):
            self._begin(self._of_log(reed, step.at))
        life = self.lives[reed]
        if life.line and not _impossible(step, step.before) and _impossible(step, life.state):
            self.out.faults.append(
                RowFinding(life.line, f"reed {life.tag}: after it the log's own “{describe(step.kind, step.facts)}” of "
                           f"{date_words(step.at)} could not be")
            )  # fmt: skip
            life.line = 0
        life.state = advance(life.state, step.kind, step.facts)

    def _of_log(self, reed: str, begun: datetime) -> _ReedSoFar:
        return _ReedSoFar(reed, self.bench.reed(reed).tag, begun, self.former.get(reed, frozenset()))

    def _begin(self, life: _ReedSoFar) -> None:
        self.lives[life.reed] = life
        for tag in (life.tag.casefold(), *life.former):
            self.bearers.setdefault(tag, []).append(life)

    # New events

    def _take(self, draft: Draft) -> None:
        if draft.tag.partition("/")[0].casefold() in self.spoiled:
            return
        life = self._corrected(draft) or (self._begun_by(draft) if begins(draft.kind) else self._meant(draft))
        if life is None:
            return
        ours = draft.reed == life.reed and draft.corrects is None
        impossible = False
        for finding in self._findings(draft, life):
            message = f"reed {draft.tag}: {finding.message}"
            before = draft.corrects
            if finding.severity == "odd" or (ours and finding not in _by_itself(draft)) or (
                before is not None and _impossible(before, before.before)
            ):  # fmt: skip
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

    def _corrected(self, draft: Draft) -> _ReedSoFar | None:
        """The reed of the log whose event a row corrects."""
        if draft.corrects is None:
            return None
        if begins(draft.kind):
            self._begin(self._of_log(draft.reed, draft.at))
        return self.lives.get(draft.reed)

    def _begun_by(self, draft: Draft) -> _ReedSoFar | None:
        if why := tag_problem(draft.tag):
            self.out.faults.append(RowFinding(draft.line, why))
            return None
        bearers = self.bearers.get(draft.tag.casefold(), ())
        bearer = next((b for b in bearers if b.state.keeps_tag and draft.tag.casefold() not in b.former), None)
        if bearer is not None:
            message = f"reed {draft.tag}: the tag is borne by the reed begun on {date_words(bearer.begun)}"
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
        elif draft.tag.partition("/")[0].casefold() not in (life.tag.casefold(), *life.former):
            self.out.faults.append(RowFinding(draft.line, f"it says reed {draft.tag}, but means one tagged {life.tag}"))
            return None
        return life

    def _by_tag(self, draft: Draft) -> _ReedSoFar | None:
        tag, slash, number = draft.tag.partition("/")
        bearers = self.bearers.get(tag.casefold(), [])
        if slash:
            bearers = [one for one in bearers if one.tag.casefold() == tag.casefold()]
            return bearers[int(number) - 1] if number.isdecimal() and 0 < int(number) <= len(bearers) else None
        return next((b for b in reversed(bearers) if b.state.keeps_tag), bearers[-1] if bearers else None)

    def _nobody(self, draft: Draft) -> str:
        later = [d for d in self.beginnings.values() if d.tag.casefold() == draft.tag.casefold()]
        if later:
            return f"reed {draft.tag} is begun only on {date_words(later[0].at)}, in line {later[0].line}"
        if "," in draft.tag:
            return f"{draft.tag} is no tag of one reed; write a row for each of them"
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
