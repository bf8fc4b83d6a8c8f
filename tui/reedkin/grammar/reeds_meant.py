"""The reeds that an entry line is about: which a tag, or none, means, and each as it is in the middle of the entry."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from reedkin.bench.bench import Bench
from reedkin.domain.checks import Objection
from reedkin.domain.facts import begins
from reedkin.domain.reeds import HANDED_OVER, RETIRED, Reed, State, Step
from reedkin.grammar.clause.clauses import Parts
from reedkin.grammar.unsaid import no_reed, to_come
from reedkin.grammar.when.days import When
from reedkin.grammar.words.reeds_named import Tag
from reedkin.grammar.words.tags import tag_problem
from reedkin.grammar.words.tokens import Problem, Token
from reedkin.grammar.words.verbs import Verb


@dataclass
class Working:
    """A reed as it is in the middle of an entry; `reed` is None where the entry begins it."""

    tag: str
    label: str
    reed: Reed | None
    state: State | None
    at: datetime

    def on_this_line(self, finding: Objection) -> Objection:
        """What is said against an event, where it is about what this very line does to the reed, or another of its
        tag may be meant."""
        ended = self.state is not None and self.state.stage == RETIRED
        if ended and finding.stage == "retired" and not (self.reed and self.reed.stage == RETIRED):
            return finding._replace(message="it is retired earlier on this line; write what was done before that first")
        if finding.stage == "here" and self.reed is not None and self.reed.bearer > 1:
            earlier = f"{self.reed.tag}/{self.reed.bearer - 1}"
            return finding._replace(message=f"{finding.message}; the one before it of this tag is written {earlier}")
        return finding


class ReedsMeant:
    """Finds the reeds that the clauses of a line mean, with `hand` the reed in hand; `amends` is the event whose place
    the line would take. What is wrong goes to `problems`."""

    def __init__(
        self, parts: Parts, bench: Bench, hand: Reed | None, amends: Step | None, problems: list[Problem]
    ) -> None:
        self.begun: dict[str, Working] = {}
        """Those that the line begins, by their tags in lower case."""
        self._clauses, self._when = parts.clauses, parts.when
        self._bench, self._hand, self._amends, self._problems = bench, hand, amends, problems
        self._now = bench.clock.now()
        self._working: dict[str, Working] = {}
        self._newest: Working | None = None

    def go_on_at(self, when: When) -> None:
        """Go on to a clause that has a time of its own. A reed of which the entry has told already is then as that left
        it, or as it was at an earlier time."""
        self._when = when
        for key, working in self._working.items():
            if working.reed is not None:
                at, state = self._moment(working.reed)
                self._working[key] = replace(working, at=at, state=working.state if at >= working.at else state)
        for working in self.begun.values():
            working.at = when.at

    def of(self, tags: Sequence[Tag], verb: Verb, head: Token) -> list[tuple[Working, Token]]:
        """The reeds that a verb is about, each once, with the word that names it first: those of the tags, or else the
        one that goes without saying."""
        named = [(self._named(tag, verb), tag.token) for tag in tags] if tags else [(self._untagged(verb, head), head)]
        found = {id(working): (working, token) for working, token in reversed(named) if working is not None}
        return list(reversed(found.values()))

    def _problem(self, token: Token, message: str) -> None:
        self._problems.append(Problem(token.start, token.end, message))

    def _untagged(self, verb: Verb, head: Token) -> Working | None:
        """The reed in hand; or the one that this entry has begun without a tag, which gets the next number."""
        if begins(verb.kind) and self._amends is None:
            self._newest = self._new(self._bench.tags.next(self.begun), head)
            return self._newest
        if self._newest is not None:
            return self._newest
        if self._hand is not None:
            return self._known(self._hand)
        self._problem(head, f"which reed? write its tag first, such as 12 {verb.word}{to_come(head)}")
        return None

    def _named(self, tag: Tag, verb: Verb) -> Working | None:
        if self._amends is not None:
            self._problem(tag.token, "leave the tag out; this event stays with its reed")
            return None
        if begins(verb.kind):
            return self._new(tag.text, tag.token)
        if tag.text.casefold() in self.begun:
            return self.begun[tag.text.casefold()]
        reed = self._bench.find(tag.text)
        if reed is None:
            self._problem(tag.token, no_reed(tag.text, verb, self._bench))
            return None
        if "/" not in tag.text and (also := self._bench.tags.also_at_work(reed)):
            others = " or ".join(f"{other.tag}/{other.bearer}" for other in also)
            message = f"{tag.text} is on several reeds at work: taken for {reed.tag}/{reed.bearer}; else write {others}"
            self._problems.append(Problem(tag.token.start, tag.token.end, message, "odd"))
        return self._known(reed)

    def _known(self, reed: Reed) -> Working:
        if reed.id not in self._working:
            reed = self._bench.reed(reed.id) if reed.id in self._bench else reed
            at, state = self._moment(reed)
            self._working[reed.id] = Working(reed.tag, reed.label, reed, state, at)
        return self._working[reed.id]

    def _moment(self, reed: Reed) -> tuple[datetime, State | None]:
        """When an event on a reed happened, and what the reed was then."""
        if self._amends is not None:
            first = self._amends.event.uid == reed.id
            return self._when.at if self._when is not None else self._amends.at, None if first else self._amends.before
        if self._when is None:
            return self._now, reed.now
        at = self._when.at
        if self._when.until is not None:
            # A day without an hour: after what is known of that day, so that entries made later keep their order.
            local, until = self._bench.clock.local, self._when.until
            same = (s.at for s in reed.standing if local(s.at).date() == local(at).date() and s.at < until)
            at = max([at, *same])
        return at, reed.was(at)

    def _new(self, tag: str, token: Token) -> Working | None:
        if why := tag_problem(tag):
            self._problem(token, why)
            return None
        if tag.casefold() in self.begun:
            self._problem(token, f"{tag} is begun on this line already")
            return None
        if not (self._bench.tags.is_free(tag) or self._given_up(tag)):
            self._problem(token, self._in_use(tag))
            return None
        at = self._when.at if self._when is not None else self._now
        self.begun[tag.casefold()] = Working(tag, tag, None, None, at)
        return self.begun[tag.casefold()]

    def _in_use(self, tag: str) -> str:
        """What to say of a tag that no new reed may bear: whose it is, and as many free ones as were asked for."""
        bearers = reversed(self._bench.tags.bearers(tag))
        reed = next((r for one in bearers if (r := self._bench.reed(one)).now.keeps_tag), None)
        if reed is not None and reed.stage == HANDED_OVER:
            to = f" to {reed.now.to}" if reed.now.to else ""
            why = f"{tag} is in use: it is {reed.now.terms or 'handed over'}{to}"
        else:
            why = f"{tag} is in use: correct its tying with F3 and e, retire it"
        asked = max((len(c.tags) for c in self._clauses if any(t.text == tag for t in c.tags)), default=1)
        first = self._bench.tags.next(self.begun)
        free = [str(number) for number in range(int(first), int(first) + asked)]
        if asked > 1 and all(self._bench.tags.is_free(one) for one in free):
            return f"{why}, or take {free[0]}-{free[-1]}"
        return f"{why}, or take {first}"

    def _given_up(self, tag: str) -> bool:
        """Whether the reed that bears a tag is retired by this very entry."""
        reed = self._bench.find(tag)
        working = self._working.get(reed.id) if reed is not None else None
        return working is not None and working.state is not None and working.state.stage == RETIRED
