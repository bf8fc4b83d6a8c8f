"""What can come next on an entry line: for Tab, and for the ghost of the likely rest."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from reedkin.bench.accounts import PAYMENTS
from reedkin.bench.bench import Bench
from reedkin.bench.orders import ORDERS, everybody
from reedkin.domain.facts import FACTS, begins
from reedkin.domain.reeds import BLANK, HANDED_OVER, IN_PROGRESS, IN_SERVICE, RETIRED, Reed, State
from reedkin.domain.units import unit_named
from reedkin.domain.words import MONTHS
from reedkin.grammar.actions import ReedAction
from reedkin.grammar.clause.clauses import LONGEST_LINE, parts_of
from reedkin.grammar.clause.one_clause import Clause
from reedkin.grammar.completing.suggestions import Suggestions
from reedkin.grammar.reading import as_last_time, read_apart
from reedkin.grammar.words.tags import tag_problem
from reedkin.grammar.words.tokens import Token, tokens
from reedkin.grammar.words.verbs import VERBS, Verb, verbs_beginning
from reedkin.grammar.writing import facts_line

MOST_OPTIONS = 8
_VERBS_AT_START = 6
"""On the empty line, so that some tags have room beside them."""

_LIKELY = {
    BLANK: "scrape measure clip crow wire tube",
    IN_PROGRESS: "scrape clip crow measure wire tube play",
    IN_SERVICE: "play scrape clip score clean crow soak retire",
    HANDED_OVER: "return heard note play",
    RETIRED: "note score measure",
    None: "tie join session",
}
_AFTER_THE_END = ("note", "score", "measure")
_TIMES = ("yesterday", "today", "yesterday 18:00", "-1h", "-1d")


@dataclass(frozen=True, slots=True)
class Completion:
    """`ghost` is the likely rest, to be shown behind the line; `options` are words that can stand from `start` on,
    the likeliest first; there is none where a whole word stands there already and can be nothing else."""

    ghost: str
    options: tuple[str, ...]
    start: int


def complete(line: str, bench: Bench, hand: Reed | None, minutes: int | None = None) -> Completion:
    """What can come at the end of `line`. `hand` and `minutes` are as for `read`."""
    if len(line) > LONGEST_LINE:
        return Completion("", (), len(line))
    return _Completing(line, bench, hand, minutes).result()


class _Completing:
    def __init__(self, line: str, bench: Bench, hand: Reed | None, minutes: int | None) -> None:
        self.line, self.bench, self.hand, self.minutes = line, bench, hand, minutes
        found = tokens(line)
        self.last = found[-1] if found else None
        self.found = found
        word = self.last if self.last is not None and self.last.end == len(line) and self.last.kind == "word" else None
        self.partial = word.text if word is not None else ""
        self.earlier: Sequence[Clause] = ()
        self.actions: Sequence[ReedAction] = ()
        self.start = word.start if word is not None else len(line)

    def result(self) -> Completion:
        last = self.last
        if last is not None and last.kind == "quote" and (last.open or last.end == len(self.line)):
            return self._completion()
        at = [t for t in self.found if t.kind == "at"]
        if at and not any(t.kind in ("quote", "semicolon") for t in self.found if t.start > at[-1].start):
            return self._time(at[-1]) if len(at) == 1 else self._completion()
        before = self.line[: self.start]
        parts = parts_of(before, self.bench)
        clauses = parts.clauses
        going_on = bool(clauses) and clauses[-1].final
        clause = clauses[-1] if going_on else Clause()
        self.earlier = clauses[:-1] if going_on else clauses
        if self.earlier:
            actions = read_apart(before, parts, self.bench, self.hand).actions
            self.actions = [a for a in actions if isinstance(a, ReedAction)]
        if any(p.severity == "impossible" for c in clauses for p in c.problems):
            return self._completion()
        if clause.verb is None:
            return self._verb(clause)
        return self._fact(clause, clause.verb)

    def _completion(self, options: Iterable[str] = (), ghost: str = "", start: int | None = None) -> Completion:
        kept = tuple(dict.fromkeys(options))[:MOST_OPTIONS]
        whole = len(kept) == 1 and kept[0].casefold() == self.partial.casefold()
        return Completion(ghost, () if whole else kept, self.start if start is None else start)

    def _beginning(self, options: Iterable[str]) -> list[str]:
        """Those that go on from what is typed of the word."""
        partial = self.partial.casefold()
        return [o for o in dict.fromkeys(options) if o.casefold().startswith(partial)]

    def _rest(self, options: Sequence[str]) -> str:
        """What is still to be typed of the first option; nothing where a whole word stands there already, or a comma,
        behind which any reed may come."""
        whole = any(o.casefold() == self.partial.casefold() for o in options)
        if not self.partial or self.partial[-1] == "," or not options or whole:
            return ""
        return options[0][len(self.partial) :]

    def _a_unit(self, clause: Clause, verb: Verb) -> bool:
        """Whether the word is the unit of the number before it, as of the grams of a lot ("250 g"), and so is whole."""
        unit = unit_named(self.partial) if self.partial and clause.words else None
        behind_number = unit is not None and self.line[: self.start].rstrip()[-1:].isdecimal()
        return behind_number and any(FACTS[slot.fact].measure == unit for slot in verb.slots)

    # The time

    def _time(self, at: Token) -> Completion:
        typed = self.line[at.end :]
        said = typed.lstrip().lower()
        start = len(self.line) - len(typed.lstrip())
        options = [time for time in _TIMES if time.startswith(said)]
        ghost = options[0][len(said) :] if said and options and said not in options else ""
        return self._completion(options, ghost, start)

    # Tags and verbs

    def _verb(self, clause: Clause) -> Completion:
        states = self._states(clause)
        free = bool(clause.tags) and all(self._is_free(tag.text) for tag in clause.tags)
        verbs = [verb for verb in _likely(states) if self._applies(verb, clause, states, free)]
        meant = verbs_beginning(self.partial) if self.partial else []
        words = [v.word for v in meant if len(meant) == 1 and v in verbs]
        words += self._beginning(v.word for v in verbs)
        if self.partial and len(meant) == 1 and meant[0] in verbs:
            word = meant[0].word  # which an everyday word for it, such as cut for clip, does not begin
            rest = word[len(self.partial) :] if word.startswith(self.partial.casefold()) else ""
            rest += self._implied(meant[0], states, " ")
            wanting = meant[0].asks or meant[0].table is not None  # says nothing alone: Tab goes on behind it
            if not rest and wanting and self.partial.casefold() == word:
                rest = " "
            return self._completion([*words, *self._tags(clause)], rest)
        if not self.line.strip():
            words = words[:_VERBS_AT_START]
        elif self.partial and not self.line[: self.start].strip() and "take back".startswith(self.partial.casefold()):
            words.append("take back")
        options = [*words, *self._tags(clause)]
        return self._completion(options, self._rest(options))

    def _applies(self, verb: Verb, clause: Clause, states: Sequence[State], free: bool) -> bool:
        """Whether a verb can be said of these reeds here."""
        tagged = bool(clause.tags)
        if verb.table is not None:
            return not tagged
        if begins(verb.kind):
            return free if tagged else not any(c.tags for c in self.earlier)
        if not states:
            return False
        if any(s.stage == RETIRED for s in states):
            return verb.word in _AFTER_THE_END
        away = [s.stage == HANDED_OVER for s in states]
        if verb.kind == "returned":
            return all(away)
        return verb.kind != "handed over" or not any(away)

    def _is_free(self, tag: str) -> bool:
        """Whether a tag can be a new reed's, and is not what one at work is called."""
        reed = self.bench.find(tag)
        begun = any(a.reed is None and a.tag.casefold() == tag.casefold() for a in self.actions)
        free = tag_problem(tag) is None and self.bench.tags.is_free(tag) and not begun
        return free and (reed is None or not reed.at_work)

    def _states(self, clause: Clause) -> list[State]:
        """What the reeds are that the clause is about; empty if there are none."""
        tags = clause.tags or next((c.tags for c in reversed(self.earlier) if c.tags), ())
        if not tags:
            newest = [a.after for a in self.actions if a.reed is None][-1:]
            return newest or ([] if self.hand is None else [_after(self.actions, self.hand)])
        states = []
        for tag in tags:
            begun = [a for a in self.actions if a.reed is None and a.tag.casefold() == tag.text.casefold()]
            reed = self.bench.find(tag.text)
            if not begun and reed is None:
                return []
            states.append(begun[-1].after if begun else _after(self.actions, reed) if reed is not None else State())
        return states

    def _tags(self, clause: Clause) -> Iterator[str]:
        """The tags of reeds at work, and on a beginning of one their names; after a comma, one more."""
        if clause.tags:
            return
        listed, comma, tag = self.partial.rpartition(",")
        named = set(listed.casefold().split(","))
        mark = "#" if tag.startswith("#") else ""
        tag = tag.removeprefix("#").casefold()
        for reed in self.bench.at_work():
            for word in (reed.tag, *([reed.now.name] if reed.now.name and tag and not comma else [])):
                if word.casefold().startswith(tag) and word.casefold() not in named and not set(word) & set(' ,;@"/#'):
                    sure = mark or ("#" if not word[0].isdecimal() and verbs_beginning(word) and not comma else "")
                    yield f"{listed}{comma}{sure}{word}"

    def _implied(self, verb: Verb, states: Sequence[State], space: str) -> str:
        """What a verb alone would record besides: as last time, or the bench clock's minutes."""
        if verb.kind == "scraped":
            return f"{space}{self.minutes}m" if self.minutes and self._alone(states) else ""
        instruments = {state.instrument for state in states}
        if not verb.repeats or (not begins(verb.kind) and len(instruments) != 1):
            return ""
        facts = as_last_time(self.bench, verb.kind, next(iter(instruments), ""))
        return space + facts_line(verb, facts) if facts else ""

    def _alone(self, states: Sequence[State]) -> bool:
        """Whether no other scrape of this entry shares the minutes of the bench clock."""
        named = [c.read for c in self.earlier if c.verb is not None and c.verb.kind == "scraped"]
        return len(states) < 2 and all(read is None or read.only or "minutes" in read.facts for read in named)

    # Facts

    def _fact(self, clause: Clause, verb: Verb) -> Completion:
        states = self._states(clause)
        state = states[0] if states else None
        if (names := self._whom(clause, verb)) is not None:
            return names
        minutes = self.minutes if self._alone(states) else None
        suggestions = Suggestions(self.bench, verb, clause.words, state, minutes)
        options = self._beginning(suggestions.options)
        whole = self._a_unit(clause, verb) and not set(options) <= set(MONTHS)
        if (suggestions.free_text and self.partial) or whole:
            return self._completion()
        if self.partial:
            ghost = self._rest(options)
            if options and verb.kind == "scraped" and suggestions.wants_minutes:
                ghost += self._implied(verb, states, " ")
        elif not clause.words or (verb.kind == "scraped" and suggestions.wants_minutes):
            ghost = self._implied(verb, states, "")
        else:
            ghost = options[0] if suggestions.likely and options else ""
        return self._completion(options, ghost)

    def _whom(self, clause: Clause, verb: Verb) -> Completion | None:
        """The names that go on from what stands behind "to", or behind the verb of an order or a payment; None where
        none does."""
        place = next((n for n, word in enumerate(clause.words, 1) if word.text.lower() == "to"), 0)
        begun = clause.words[place:]
        named = place if verb.text == "to" else verb.table in (ORDERS, PAYMENTS)
        if not named or any(word.text[-1] == "," or word.kind == "quote" for word in begun):
            return None
        start = begun[0].start if begun else self.start
        typed = self.line[start:].casefold()
        options = [name for name in everybody(self.bench) if name.casefold().startswith(typed)]
        if not options or typed in (name.casefold() for name in options):
            return None
        ghost = options[0][len(typed) :] if typed and len(options) == 1 else ""
        return self._completion(options, ghost, start)


def _after(actions: Sequence[ReedAction], reed: Reed) -> State:
    """What a reed is after the actions of the entry so far."""
    return next((a.after for a in reversed(actions) if a.reed == reed.id), reed.now)


def _likely(states: Sequence[State]) -> list[Verb]:
    """All verbs, those first that are likeliest at the stage that the reeds are in."""
    stage = states[0].stage if states else None
    first = _LIKELY[stage].split()
    ranks = {word: rank for rank, word in enumerate(first)}
    return sorted(VERBS, key=lambda verb: ranks.get(verb.word, len(first)))
