"""What stands behind a verb, and what was read of it so far."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime

from reedkin.domain.clock import Clock
from reedkin.domain.facts import FACTS, Fact, Value
from reedkin.grammar.when.days import When, day_meant
from reedkin.grammar.words.spoken import SMALL
from reedkin.grammar.words.tokens import Problem, Token
from reedkin.grammar.words.verbs import Slot, Verb, in_full
from reedkin.grammar.words.vocabulary import CHOICES, named_choices


@dataclass
class FactsRead:
    """What was read of a clause: facts, where each stands, the note, and problems by place."""

    facts: dict[str, Value] = field(default_factory=dict)
    spans: dict[str, tuple[int, int]] = field(default_factory=dict)
    note: str = ""
    problems: list[Problem] = field(default_factory=list)
    tubes: tuple[str, ...] = ()
    """Where several tubes are named ("#4-6"), each of them."""
    in_all: bool = False
    """Whether the price is that of all reeds together."""
    each: bool = False
    """Whether it is said to be that of each."""
    only: bool = False
    """Whether nothing is to be put in that is not said."""
    awaits: Slot | None = None
    """The slot whose word came last and is still without a value."""
    moments: list[tuple[When, int, int]] = field(default_factory=list)
    """When it happened, as far as words without an @ say so, and where each stands."""

    @property
    def sound(self) -> bool:
        """Whether nothing that was read is impossible in itself."""
        wrong = any(p.severity == "impossible" for p in self.problems)
        return not wrong and not any(FACTS[name].impossible(value) for name, value in self.facts.items())


class BehindVerb:
    """The words behind a verb, gone through once from the first on, and what was read of them so far. The clock tells
    which day "yesterday" was; `now` is when the entry happened, from which a due day is counted."""

    def __init__(self, verb: Verb, words: Sequence[Token], clock: Clock, now: datetime) -> None:
        self.verb, self.words, self.clock, self.now = verb, list(words), clock, now
        self.out = FactsRead(facts=dict(verb.preset))
        self.place = 0
        self.head: Token | None = None
        """The verb as it was written, where it was."""

    # What stands there

    def texts(self, start: int) -> list[str]:
        """The words from `start` on, up to a quoted text."""
        quote = next((n for n, t in enumerate(self.words[start:], start) if t.kind == "quote"), len(self.words))
        return [token.text for token in self.words[start:quote]]

    def is_word(self, place: int, words: Sequence[str]) -> bool:
        return self.words[place].kind == "word" and self.words[place].text.lower() in words

    def slot_named(self, text: str) -> Slot | None:
        """The slot that a word names in full, or by a beginning that no other has."""
        exact = [s for s in self.verb.slots if text in s.words]
        if exact:
            return exact[0]
        if len(text) < 2 or self.verb.text is not None or text in SMALL or self.is_choice(text):
            return None
        begins = [s for s in self.verb.slots if any(w.startswith(text) for w in s.words)]
        return begins[0] if len(begins) == 1 else None

    def is_choice(self, text: str) -> bool:
        """Whether a bare choice of this verb could be meant by `text`."""
        bare = [FACTS[s.fact] for s in self.verb.slots if s.bare and FACTS[s.fact].type in CHOICES]
        return any(named_choices(fact, text) for fact in bare if fact.name not in self.out.facts)

    @property
    def ended(self) -> bool:
        """Whether the verb says by itself that a reed's life is over: "binned", not "retire", which asks of what."""
        return (
            self.verb.kind == "retired"
            and self.head is not None
            and in_full(self.head.text) is not None
            and not (self.verb.word.startswith(self.head.text.lower().removesuffix("d")))
        )

    # What was read

    def set(self, fact: str, value: Value, first: Token, last: Token) -> None:
        """Take a fact as said by the words from `first` to `last`; another value of one that was said is a problem."""
        if fact in self.out.facts and FACTS[fact].type != "parts" and self.out.facts[fact] != value:
            self.problem(first, last, self._given_twice(fact, first))
        self.out.facts[fact] = value
        self.out.spans[fact] = _span(first, last)

    def _given_twice(self, fact: str, word: Token) -> str:
        """What to say of another value of a fact: of a word that is itself the fact, which it does not go with."""
        start, end = self.out.spans.get(fact, (0, 0))
        said = " ".join(token.text for token in self.words if start <= token.start < end)
        flags = next((slot.flags for slot in self.verb.slots if slot.fact == fact), {})
        if word.text.lower() in flags and said:
            return f"{word.text} does not go with {said}"
        return f"{FACTS[fact].words} is given twice: {FACTS[fact].show(self.out.facts[fact])}"

    def problem(self, first: Token, last: Token, message: str, waiting: bool = False, odd: bool = False) -> None:
        self.out.problems.append(Problem(*_span(first, last), message, "odd" if odd else "impossible", waiting))

    def add_parts(self, fact: Fact, parts: Sequence[str], token: Token) -> None:
        had = self.out.facts.get(fact.name, ())
        assert isinstance(had, tuple)
        self.set(fact.name, tuple(dict.fromkeys((*had, *parts))), token, token)

    def happened(self, when: When, first: Token, last: Token) -> None:
        self.out.moments.append((when, *_span(first, last)))

    def no_day(self, first: Token, last: Token) -> None:
        """Words that say when and name no day: taken for a note, the event would be of today."""
        said = " ".join(word.text for word in self.words if first.start <= word.start <= last.start)
        several = ", or several, such as mon-fri" if self.verb.kind == "played" else ""
        one = f"{said} is no day; write one, such as @18 nov{several}; or put the words in quotes as a note"
        self.problem(first, last, one)

    def due(self, first: Token, last: Token, text: str) -> None:
        """Take a day as the one on which something is due."""
        day, doubt = day_meant(text, self.now)
        self.set("due", day.isoformat(), first, last)
        if doubt:
            self.problem(first, last, doubt, odd=True)


def _span(first: Token, last: Token) -> tuple[int, int]:
    """From where to where on the line they stand, which may have been put in another order."""
    return min(first.start, last.start), max(first.end, last.end)
