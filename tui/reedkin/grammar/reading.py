"""From an entry line to what would be recorded: reeds found by tag, 'as last time' filled in, every fact judged."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import timedelta

from reedkin.bench.bench import Bench
from reedkin.bench.trials import TRIALS
from reedkin.domain.checks import Objection, judge, judge_time
from reedkin.domain.describe import describe
from reedkin.domain.facts import Facts, Value, begins
from reedkin.domain.figures import day_and_month, moment_words, tag_list
from reedkin.domain.known import number
from reedkin.domain.reeds import BLANK, Reed, State, Step, advance
from reedkin.grammar.actions import Action, BesideAction, Reading, ReedAction
from reedkin.grammar.assigning import assigned
from reedkin.grammar.beside.statements import BesideReader
from reedkin.grammar.clause.behind_verb import FactsRead
from reedkin.grammar.clause.clauses import Parts, parts_of
from reedkin.grammar.clause.one_clause import Clause
from reedkin.grammar.handing import Handing
from reedkin.grammar.making import read_making
from reedkin.grammar.reeds_meant import ReedsMeant, Working
from reedkin.grammar.retagging import read_retag
from reedkin.grammar.unsaid import example_of, goes_on, half_typed, to_come, to_go_on
from reedkin.grammar.when.days import When
from reedkin.grammar.words.reeds_named import Tag
from reedkin.grammar.words.tokens import Problem, Token
from reedkin.grammar.words.verbs import Verb

__all__ = ["Action", "BesideAction", "Reading", "ReedAction", "as_last_time", "read", "read_again", "read_apart"]

_TAKE_BACK = (
    "take back",
    "take that back",
    "undo",
    "strike",
    "strike that",
    "strike last",
    "delete that",
    "delete last",
)
_OF_A_SESSION = {"start": "start", "begin": "start", "end": "end", "stop": "end"}


def read(line: str, bench: Bench, hand: Reed | None = None, minutes: int | None = None) -> Reading:
    """Read an entry line against the bench, with `hand` the reed in hand. `minutes` stands in for those of a scrape
    that names none (the bench clock's). Never raises: what is wrong is in the result."""
    if " ".join(line.lower().split()).rstrip(".!") in _TAKE_BACK:
        return Reading(line, takes_back=True)
    if (retag := read_retag(line, bench)) is not None:
        return retag
    if (making := read_making(line, bench, hand, read_again)) is not None:
        return making
    return _LineReader(line, bench, hand, minutes).result()


def read_apart(line: str, parts: Parts, bench: Bench, hand: Reed | None = None) -> Reading:
    """Read a line that was taken apart already."""
    return _LineReader(line, bench, hand, None, taken_apart=parts).result()


def read_again(line: str, bench: Bench, reed: Reed, step: Step) -> Reading:
    """Read a line as what the event of `step` should have said: of `reed` as it was then, at its own time unless it
    names another, with nothing put in that it does not say. Its verb may be any; the caller looks at the kind."""
    return _LineReader(line, bench, reed, None, step).result()


def as_last_time(bench: Bench, kind: str, instrument: str) -> dict[str, Value]:
    """The facts that a verb alone repeats: of the last such event on this instrument, or else the targets'."""
    if kind == "tied":
        instrument = bench.headings.latest_instrument() or ""
    last = bench.last_time.facts(kind, instrument)
    if last is not None:
        single = ("tube", "name", "sink_min", "wire")  # these belong to one reed
        return {name: value for name, value in last.items() if name not in single}
    if instrument and kind in ("wired", "tubed"):
        targets = bench.settings.targets(instrument)
        if kind == "wired" and targets.gauge_awg:
            return {"gauge_awg": int(targets.gauge_awg), "material": "brass"}
        if kind == "tubed" and targets.tubing_mm:
            return {"tubing_mm": float(targets.tubing_mm)}
    return {}


@dataclass
class _LineReader:
    """One reading of one line. `amends` is the event whose place it would take."""

    line: str
    bench: Bench
    hand: Reed | None
    minutes: int | None
    amends: Step | None = None
    taken_apart: Parts | None = None
    actions: list[Action] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    shares: list[int] = field(default_factory=list)
    """What each scrape that names no minutes has of those of the bench clock."""
    sharing: Iterator[int] = field(default_factory=lambda: iter(()))

    def __post_init__(self) -> None:
        self.now = self.bench.clock.now()
        self.handing = Handing(self.bench)
        self.together = 1
        self.parts = self.taken_apart or parts_of(self.line, self.bench)
        self.when = self.parts.when
        self.reeds = ReedsMeant(self.parts, self.bench, self.hand, self.amends, self.problems)
        self.beside = BesideReader(self.bench, self.when.at if self.when is not None else self.now, self.problems)

    def result(self) -> Reading:
        parts = self.parts
        self.problems += parts.problems
        self._share_the_clock()
        tags: tuple[Tag, ...] = ()
        for clause in parts.clauses:
            before = len(self.problems)
            self.problems += clause.problems
            tags = clause.tags or tags
            if clause.when is not None:
                self.when, self.beside.now = clause.when, clause.when.at
                self.reeds.go_on_at(clause.when)
            self._clause(clause, tags)
            self.problems[before:] = [self._settled(p, clause) for p in self.problems[before:]]
        if not parts.clauses and not parts.problems and self.line.strip():
            self.problems.append(Problem(0, len(self.line), "what happened? such as 12 scrape tip 10m", open=True))
        if self.amends is None:
            self.actions += self._assigned()
        lone = self._lone_tag(parts.clauses)
        problems = sorted(dict.fromkeys(self.problems), key=lambda p: p.start)
        return Reading(
            self.line,
            tuple(self.actions),
            tuple(p for p in problems if p.severity == "impossible"),
            tuple(p for p in problems if p.severity == "odd"),
            _of_all(parts),
            apart=any(clause.when is not None for clause in parts.clauses),
            shared_minutes=self.minutes if len(self.shares) > 1 else None,
            lone_tag=lone.text if lone is not None else None,
            example=example_of(lone, self.bench) if lone is not None else "",
        )

    def _share_the_clock(self) -> None:
        """Share the minutes of the bench clock among all scrapes of the entry that name none: whole minutes, whose sum
        is what the clock shows. Where they are fewer than the scrapes, the last ones get none."""
        count, tags = 0, 1
        for clause in self.parts.clauses:
            if clause.tags:
                reeds = [self.bench.find(tag.text) for tag in clause.tags]
                named = zip(clause.tags, reeds, strict=True)
                tags = len({reed.id if reed is not None else tag.text.casefold() for tag, reed in named})
            elif clause.verb is not None and begins(clause.verb.kind):
                tags = 1
            read = clause.read
            if clause.verb is not None and clause.verb.kind == "scraped" and read is not None:
                count += 0 if read.only or "minutes" in read.facts else tags
        each, left = divmod(self.minutes or 0, max(1, count))
        self.shares = [each + (place < left) for place in range(count)] if self.minutes else []
        self.sharing = iter(self.shares)

    def _settled(self, problem: Problem, clause: Clause) -> Problem:
        """A problem is open while the line ends in its word, or in its clause if more words could mend it."""
        begun = clause.final and goes_on(self.line, problem.start, problem.end)
        waiting = begun or (clause.final and problem.open)
        half = clause.final and not problem.open and problem.end >= len(self.line.rstrip()) and half_typed(self.line)
        half = half or problem.half_typed or (begun and not problem.open)
        return replace(problem, open=waiting or half or problem.end >= len(self.line), half_typed=half)

    def _lone_tag(self, clauses: Sequence[Clause]) -> Tag | None:
        if len(clauses) != 1 or len(clauses[0].tags) != 1 or clauses[0].head is not None:
            return None
        tag = clauses[0].tags[0]
        return tag if self.when is None and self.bench.find(tag.text) is not None else None

    def _problem(self, first: Token, last: Token, message: str, waiting: bool = False) -> None:
        self.problems.append(Problem(first.start, last.end, message, open=waiting))

    # A clause

    def _clause(self, clause: Clause, tags: Sequence[Tag]) -> None:
        head, verb = clause.head, clause.verb
        if head is None:
            if clause.tags:
                last = clause.tags[-1].token
                self._problem(last, last, to_go_on(clause.tags, self.reeds.begun, self.bench), waiting=True)
            return
        if verb is None or any(p.severity == "impossible" for p in clause.problems):
            return
        if verb.table is not None:
            self._beside(clause, verb, head)
            return
        read = clause.read
        assert read is not None
        self.problems += read.problems
        before = len(self.problems)
        reeds = self.reeds.of(tags, verb, head)
        if len(self.problems) == before or not read.tubes:
            self._on_reeds(head, verb, read, reeds)

    def _beside(self, clause: Clause, verb: Verb, head: Token) -> None:
        if clause.tags or self.amends is not None:
            token = clause.tags[0].token if clause.tags else head
            does = _OF_A_SESSION.get(token.text.lower()) if verb.table == "sessions" else None
            reeds = any(t.text[:1].isdecimal() or self.bench.find(t.text) is not None for t in clause.tags)
            says = f"write session {does}" if does else _not_of_a_reed(verb) if reeds or self.amends else _first(verb)
            self._problem(token, token, says, waiting=head.end >= len(self.line))
        elif action := self.beside.read(verb, head, clause.words):
            self.actions.append(action)

    def _assigned(self) -> list[ReedAction]:
        """What running trials assign to the reeds that the entry ties."""
        tied = [a for a in self.actions if isinstance(a, ReedAction) and a.kind == "tied"]
        if not tied or not self.bench.beside.said(TRIALS):
            return []
        ending = {a.subject for a in self.actions if isinstance(a, BesideAction) and a.table == TRIALS}
        made, questions = assigned(tied, ending, self.bench)
        self.problems += [Problem(0, len(self.line), question, "odd") for question in questions]
        return made

    # An event on each

    def _on_reeds(self, head: Token, verb: Verb, read: FactsRead, reeds: Sequence[tuple[Working, Token]]) -> None:
        """The event on each of the reeds, which stand with the word that names them."""
        several = len(reeds) > 1
        self.together = len(reeds)
        tubes: Sequence[str | None] = [None] * len(reeds)
        if several and read.tubes:
            tubes = read.tubes
            if len(tubes) != len(reeds):
                start, end = read.spans["tube"]
                message = f"{len(tubes)} tubes for {len(reeds)} reeds; name one for each"
                self.problems.append(Problem(start, end, message))
                return
        found: dict[Objection, list[tuple[str, Token]]] = {}
        slip = any(p.severity == "impossible" for p in read.problems)
        tagged = not begins(verb.kind) or any(token is not head for _, token in reeds)
        for (working, token), tube in zip(reeds, tubes, strict=True):
            for finding in self._on_reed(verb, read, working, tube):
                # What is not understood may be what is missing, and what is odd may be so because of it.
                if not (slip and (finding.missing or finding.fact)):
                    found.setdefault(finding, []).append((working.label, token))
        for finding, of_reeds in found.items():
            labels = [label for label, _ in of_reeds]
            of_it = finding.message.removeprefix("it ") if finding.fact is None else finding.message
            start, end = self._place_of(finding, read, head)
            if of_it != finding.message:
                start, end = of_reeds[0][1].start, of_reeds[0][1].end
            if of_it != finding.message and len(labels) == 1:
                message = f"{labels[0]} {of_it}"
            else:
                message = (f"{tag_list(labels)}: " if several and len(labels) < len(reeds) else "") + finding.message
            if finding.missing and verb.asks:
                message = f"{verb.asks} such as {verb.example}"
                message += to_come(head)
            elif not tagged and finding.severity == "impossible" and self._is_free(self.line[start:end]):
                message += f"; a tag stands first: {self.line[start:end]} {verb.word}"
            self.problems.append(Problem(start, end, message, finding.severity, finding.missing))
        if several and begins(verb.kind):
            self._shared(read, len(reeds))

    def _place_of(self, finding: Objection, read: FactsRead, head: Token) -> tuple[int, int]:
        """Where the line says what is objected to: the fact, the time, or else the verb."""
        if finding.fact == "at" and self.when is not None and self.when.span is not None:
            return self.when.span
        return read.spans.get(finding.fact or "", (head.start, head.end))

    def _is_free(self, text: str) -> bool:
        return text.isdecimal() and self.bench.tags.is_free(text)

    def _shared(self, read: FactsRead, count: int) -> None:
        """One tube or one name for several reeds is a question."""
        for name, how in (("tube", "tube #4-6"), ("name", "name in each reed's own entry")):
            if name in read.spans and not (name == "tube" and read.tubes):
                self.problems.append(Problem(*read.spans[name], f"one {name} for {count} reeds? write {how}", "odd"))

    def _on_reed(self, verb: Verb, read: FactsRead, working: Working, tube: str | None) -> list[Objection]:
        """What can be said against the event; if nothing makes it impossible, it is added to the actions."""
        facts = self._filled(verb, read, working)
        if verb.kind == "played" and self.when is not None and self.when.lasting == facts.get("minutes"):
            facts["minutes"] = self.bench.clock.passed(working.at, self.when.lasting)
        if tube is not None:
            facts["tube"] = tube
        asked = list(self._handed(facts, read, working)) if verb.kind == "handed over" else []
        targets = self.bench.settings.targets(str(facts["instrument"])) if "instrument" in facts else None
        usual = self.bench.own_ranges.usual(verb.kind, working.state, facts)
        findings = judge(verb.kind, facts, working.state, read.note, targets, usual)
        reed = working.reed
        begun = reed.begun if reed is not None and working.state is not None else None
        findings += [*asked, *judge_time(working.at, self.now, begun)]
        if self.amends is None:
            findings = [*map(working.on_this_line, findings), *_said_again(working, verb.kind, facts, read.note)]
            if verb.kind == "played":
                findings += self._never_scraped(working)
        if begins(verb.kind):
            findings += self._tube_in_use(facts, reed)
        if verb.kind == "retired" and self.amends is None:
            findings += _used_later(working)
        if not any(f.severity == "impossible" for f in findings):
            before, after = working.state, advance(working.state or State(), verb.kind, facts)
            ident = reed.id if reed is not None else None
            self.actions.append(ReedAction(working.tag, ident, verb.kind, facts, working.at, read.note, before, after))
            working.state = after
        return findings

    def _never_scraped(self, working: Working) -> Iterator[Objection]:
        """The first playing of a reed of which nothing is noted but its tying, by a maker who notes her scraping: it
        may be another reed that was meant."""
        if working.state is None or working.state.stage != BLANK:
            return
        instruments = self.bench.headings.known("instrument")
        if any(self.bench.last_time.facts("scraped", one) is not None for one in instruments):
            yield Objection("odd", f"no scraping of {working.tag} is noted: is it this reed?")

    def _handed(self, facts: dict[str, Value], read: FactsRead, working: Working) -> Iterator[Objection]:
        """Settle to which order a reed goes and for what: a price of all together is shared among them."""
        price = facts.get("price")
        if read.in_all and isinstance(price, (int, float)):
            facts["price"] = round(price / self.together, 4)
        instrument = working.state.instrument if working.state is not None else ""
        was = self.amends.facts if self.amends is not None else {}
        if self.together > 1 and not (read.in_all or read.each):
            yield from self.handing.each_or_all(facts, instrument)
        yield from self.handing.settle(facts, instrument, working.at, was, self._quoted(read.spans.get("to")))

    def _quoted(self, span: tuple[int, int] | None) -> bool:
        return span is not None and self.line[span[0] : span[0] + 1] == '"'

    def _filled(self, verb: Verb, read: FactsRead, working: Working) -> dict[str, Value]:
        """The facts as typed, with what goes without saying put in: as last time, the bench clock's minutes."""
        facts = dict(read.facts)
        if read.only or self.amends is not None:
            return facts
        if verb.kind == "scraped" and "minutes" not in facts and (share := next(self.sharing, 0)):
            facts["minutes"] = share
        instrument = working.state.instrument if working.state is not None else ""
        if verb.repeats and not facts and not read.problems:
            facts.update(as_last_time(self.bench, verb.kind, instrument))
        if begins(verb.kind):
            if "instrument" not in facts and (last := self.bench.headings.latest_instrument()):
                facts["instrument"] = last
            tube = facts.get("tube")
            if isinstance(tube, str) and "tube_mm" not in facts and (known := self._tube_length(tube)):
                facts["tube_mm"] = known
        return facts

    def _tube_length(self, tube: str) -> float | None:
        """The length in mm that was said of a tube, or else that it had under a reed."""
        said = self.bench.beside.subjects("tubes").items()
        facts = next((facts for name, facts in said if name.casefold() == tube.casefold()), {})
        return number(facts, "tube_mm") or self.bench.headings.tube_length(tube)

    def _tube_in_use(self, facts: Facts, reed: Reed | None) -> Iterator[Objection]:
        tube = facts.get("tube")
        if isinstance(tube, str):
            for other in self.bench.at_work():
                taken = other.now.tube is not None and other.now.tube.casefold() == tube.casefold()
                if taken and (reed is None or other.id != reed.id):
                    yield Objection("odd", f"tube {tube} is on reed {other.label}", "tube")
                    return


def _of_all(parts: Parts) -> When | None:
    """The time of a line; of one whose clauses have their own the first, with its hour unless none has one."""
    own = [clause.when for clause in parts.clauses if clause.when is not None]
    return When(own[0].at, whole_day=all(when.whole_day for when in own)) if own else parts.when


_AGAIN_AND_AGAIN = ("scraped", "clipped", "crowed")
"""What is done over and over in a sitting."""
_NEAR = timedelta(minutes=10)


def _not_of_a_reed(verb: Verb) -> str:
    """What to say where a tag stands before a verb of something beside the reeds."""
    if verb.word == "lot":
        return "lot is not said of a reed like this; of which lot it is stands on a line of its own, such as 14 lot 7"
    return f"{verb.word} is not said of a reed; leave the tag out"


def _first(verb: Verb) -> str:
    """What to say where words that are no reed stand before such a verb."""
    return f"write {verb.word} first, such as {verb.example}"


def _said_again(working: Working, kind: str, facts: Facts, note: str) -> Iterator[Objection]:
    """The same that was recorded of this reed minutes ago, and is not done so soon again: a line sent twice."""
    if kind in _AGAIN_AND_AGAIN:
        return
    same = (s for s in reversed(working.reed.standing if working.reed else ()) if s.kind == kind and s.facts == facts)
    last = next((s for s in same if s.note == note and abs(working.at - s.at) < _NEAR), None)
    if last is not None:
        since = f"{last.at:%H:%M}" if last.at.date() == working.at.date() else day_and_month(last.at)
        yield Objection("odd", f"{describe(kind, facts)} is recorded already at {since}: once more?")


def _used_later(working: Working) -> Iterator[Objection]:
    """A reed retired on a day after which something was done to it."""
    later = [s for s in working.reed.standing if s.at > working.at and s.kind != "noted"] if working.reed else []
    if later:
        yield Objection("odd", f"it was {later[-1].kind} after that, {moment_words(later[-1].at)}")
