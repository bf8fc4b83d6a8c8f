"""Entry lines about things beside the reeds: the work session, a lot of cane, targets, trials, settings."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime

from reedkin.bench.accounts import PAYMENTS
from reedkin.bench.bench import Bench
from reedkin.bench.engagements import ENGAGEMENTS
from reedkin.bench.names import meant_by
from reedkin.bench.orders import ORDERS, everybody, is_somebody
from reedkin.bench.sessions import WorkSession
from reedkin.bench.settings import SETTINGS_SUBJECT
from reedkin.bench.titles import CALENDAR, title_key
from reedkin.bench.trials import TRIALS, Trial
from reedkin.domain.facts import FACTS, Value
from reedkin.domain.figures import moment_words
from reedkin.domain.instruments import instrument_named
from reedkin.domain.known import number
from reedkin.grammar.actions import BesideAction
from reedkin.grammar.beside.engagement_clause import EngagementClause, WhichOne, read_engagement
from reedkin.grammar.beside.order_clause import name_and_rest, which_order
from reedkin.grammar.beside.trial_clause import as_trial, clash, read_trial
from reedkin.grammar.clause.facts import read_facts
from reedkin.grammar.words.prices import sum_of_money
from reedkin.grammar.words.tokens import Problem, Token
from reedkin.grammar.words.verbs import Verb

PAIRED = ("price", "weight", "keep")
"""Words that are the first half of the name of a setting."""
_WHICH = {
    CALENDAR: "which word of a title",
    PAYMENTS: "who paid",
    ORDERS: "whose order",
    "targets": "for which instrument",
}
"""What to ask where a clause does not say what it is about."""


@dataclass
class BesideReader:
    """Reads the clauses of one entry that are about things beside the reeds. Remembers between them whether a
    session runs, so that one line can end a session and start the next."""

    bench: Bench
    now: datetime
    problems: list[Problem] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._running: WorkSession | None = self.bench.sessions.open()
        self._started = False
        self._trials: set[str] = set()
        self._starting: list[Trial] = []
        self._ordered = False
        self._engaged: list[str] = []

    def read(self, verb: Verb, head: Token, words: Sequence[Token]) -> BesideAction | None:
        """What a clause says; None, and a problem, where it is not understood."""
        assert verb.table is not None
        before = len(self.problems)
        engaged = read_engagement(head, words, self.bench.clock.now()) if verb.table == ENGAGEMENTS else None
        subject, rest, facts = self._subject(verb, head, words) if engaged is None else self._when(engaged)
        if subject is None:
            return None
        read = read_facts(verb, rest, self.bench.clock, self.now)
        self.problems += [*read.problems, *_judged(read.facts, read.spans)]
        facts |= read.facts
        if read.note:
            facts["note"] = read.note
        if engaged is not None:
            subject = self._engagement(head, words[-1], engaged, facts)
        elif not facts and not read.problems:
            self._wanting(verb, head, words)
        elif verb.table == ORDERS:
            subject = self._order(head, words[-1], subject, facts, read.in_all)
        elif verb.table == PAYMENTS:
            subject, facts = "", {"to": subject, **facts}
            if "price" not in facts:
                self._wanting(verb, head, words)
            self._payer(head, words[-1], str(facts["to"]))
        elif verb.table == TRIALS and "started" in facts:
            if why := clash(facts, self._starting, self.bench):
                self._problem(head, words[-1], why)
            self._starting.append(as_trial(facts))
        if any(p.severity == "impossible" for p in self.problems[before:]):
            return None
        return BesideAction(verb.table, subject, facts, self.now)

    def _problem(self, first: Token, last: Token, message: str, waiting: bool = False) -> None:
        start, end = min(first.start, last.start), max(first.end, last.end)  # end session: in either order
        self.problems.append(Problem(start, end, message, open=waiting))

    def _wanting(self, verb: Verb, head: Token, words: Sequence[Token]) -> None:
        last = words[-1] if words else head
        asks = verb.asks or "what about it?"
        self._problem(head, last, f"{asks} such as {verb.example}", waiting=True)

    def _subject(
        self, verb: Verb, head: Token, words: Sequence[Token]
    ) -> tuple[str | None, Sequence[Token], dict[str, Value]]:
        """Which thing a clause is about, the words that are left, and what the first words said of it."""
        if verb.table == "settings":
            return SETTINGS_SUBJECT, list(paired(words)), {}
        if verb.table == "sessions":
            return self._session(head, words)
        if verb.table == TRIALS:
            return self._trial(head, words)
        if not words:
            which = _WHICH.get(verb.table or "", f"which {verb.word}")
            self._problem(head, head, f"{which}? such as {verb.example}", waiting=True)
            return None, words, {}
        if verb.table in (ORDERS, PAYMENTS):
            whose, rest = name_and_rest(words, self.bench)
            somebody = any(sum_of_money(word.text) is not None for word in rest) or is_somebody(self.bench, whose)
            if sum_of_money(whose) is not None and not somebody:
                self._problem(words[0], words[-1], f"{_WHICH[verb.table]}? such as {verb.example}", waiting=True)
                return None, words, {}
            return whose, rest, {}
        if verb.table == CALENDAR:
            return title_key(words[0].text), words[1:], {}
        if verb.table != "targets":
            known = {name.casefold(): name for name in self.bench.beside.subjects(verb.table or "")}
            called = words[0].text.rstrip(",:") or words[0].text
            return known.get(called.casefold(), called), words[1:], {}
        for count in (2, 1):
            name = instrument_named(" ".join(w.text for w in words[:count]))
            if name and len(words) >= count:
                return name, words[count:], {}
        self._problem(words[0], words[0], f"{words[0].text} is not an instrument known here; such as {verb.example}")
        return None, words, {}

    def _when(self, said: EngagementClause) -> tuple[str | None, Sequence[Token], dict[str, Value]]:
        """Of an engagement the words without its day and hour; no subject where it has no day."""
        self.problems += said.problems
        return "" if said.day is not None else None, said.rest, {"minutes": said.minutes} if said.minutes else {}

    def _engagement(self, head: Token, last: Token, said: EngagementClause, facts: dict[str, Value]) -> str:
        """The engagement that a line is about."""
        subject, problem = WhichOne(said, facts, self.bench, head, last).settled()
        if problem is not None:
            self.problems.append(problem)
        which = f"{said.when} {facts.get('instrument', '')}"
        if which in self._engaged:
            self._problem(head, last, f"one line says once what is on {said.when}")
        self._engaged.append(which)
        return subject

    def _order(self, head: Token, last: Token, name: str, facts: dict[str, Value], in_all: bool) -> str:
        """The order that a line is about."""
        price, count = number(facts, "price"), number(facts, "count")
        if in_all and price is not None:
            if count is None:
                self._problem(head, last, "what does each of them cost? such as 25 each")
            else:
                facts["price"] = round(price / count, 4)
        if self._ordered and "count" not in facts:
            self._problem(head, last, "one line places an order, or says something of one that is there")
        said = which_order(name, facts, self.bench, head, last)
        if said.problem is not None:
            self.problems.append(said.problem)
        self._ordered = True
        return said.subject

    def _payer(self, head: Token, last: Token, name: str) -> None:
        """Ask about somebody who pays and never had anything."""
        if is_somebody(self.bench, name):
            return
        meant = " or ".join(meant_by(name, everybody(self.bench)))
        said = f"; if it is {meant}, write paid {meant}" if meant else ""
        message = f"nobody called {name} ordered or had a reed{said}"
        self.problems.append(Problem(head.start, last.end, message, "odd"))

    def _trial(self, head: Token, words: Sequence[Token]) -> tuple[str | None, Sequence[Token], dict[str, Value]]:
        clause = read_trial(head, words, self.bench, self.now)
        self.problems += clause.problems
        name = str(clause.facts.get("trial", "")).casefold()
        if name and name in self._trials:
            self._problem(head, words[-1], "one line starts a trial once")
        self._trials.add(name)
        return clause.subject, clause.rest, clause.facts

    def _session(self, head: Token, words: Sequence[Token]) -> tuple[str | None, Sequence[Token], dict[str, Value]]:
        word = words[0].text.lower() if words and words[0].kind == "word" else ""
        last = words[0] if words else head
        if word and "start".startswith(word) and self._running is not None and len(words) > 1:
            return self._running.uid, words[1:], {}  # its room, said late
        if word and "start".startswith(word):
            return self._start(head, last), words[1:], {"started": self.now.isoformat()}
        if self._running is None:
            said = "say it all where it starts" if self._started else "write session start"
            self._problem(head, last, f"no session is running; {said}", waiting=len(words) < 2)
            return None, words, {}
        subject = self._running.uid
        if word and "end".startswith(word):
            if self.now < self._running.started:
                started = moment_words(self._running.started, year=False)
                self._problem(head, last, f"that is before it started, {started}")
                return None, words, {}
            self._running = None
            return subject, words[1:], {"ended": self.now.isoformat()}
        return subject, words, {}

    def _start(self, head: Token, last: Token) -> str | None:
        if self._running is not None or self._started:
            since = f" since {moment_words(self._running.started, year=False)}" if self._running is not None else ""
            self._problem(head, last, f"a session is running{since}; write session end first")
            return None
        self._started = True
        return ""


def paired(words: Sequence[Token]) -> Iterator[Token]:
    """The words of a setting, "price tube" and the like made one."""
    rest = iter(words)
    for token in rest:
        if token.kind == "word" and token.text.lower() in PAIRED and (after := next(rest, None)):
            yield Token(f"{token.text} {after.text}", token.start, after.end)
        else:
            yield token


def _judged(facts: Mapping[str, Value], spans: Mapping[str, tuple[int, int]]) -> list[Problem]:
    found = []
    for name, value in facts.items():
        fact, (start, end) = FACTS[name], spans[name]
        if why := fact.impossible(value):
            found.append(Problem(start, end, why))
        elif odd := fact.odd(value):
            found.append(Problem(start, end, odd, "odd"))
    return found
