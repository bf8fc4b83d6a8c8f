"""Reading the facts that follow a verb."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from reedkin.domain.entry.tokens import Problem, Token
from reedkin.domain.entry.verbs import Slot, Verb
from reedkin.domain.facts import FACTS, Value
from reedkin.domain.instruments import instrument_named
from reedkin.domain.pitch import parse_pitch
from reedkin.domain.units import awg_near, quantity
from reedkin.errors import InputError

_TAKES_REST = ("to", "source", "how")
_NUMERIC = re.compile(r"[+-]?[.,]?\d")
_TUBE_LENGTHS = FACTS["tube_mm"]


@dataclass
class FactsRead:
    """What was read of a segment: facts, where each stands, the note, and problems by place."""

    facts: dict[str, Value] = field(default_factory=dict)
    spans: dict[str, tuple[int, int]] = field(default_factory=dict)
    note: str = ""
    problems: list[Problem] = field(default_factory=list)


def read_facts(verb: Verb, words: Sequence[Token], line_end: int) -> FactsRead:
    """Read `words`, which follow `verb`, slot by slot. `line_end` is where the line ends, to tell unfinished words."""
    return _Reader(verb, words, line_end).read()


class _Reader:
    """Goes through a segment's words once, each time asking which slot takes the next ones."""

    def __init__(self, verb: Verb, words: Sequence[Token], line_end: int) -> None:
        self.verb, self.words, self.line_end = verb, words, line_end
        self.out = FactsRead(facts=dict(verb.preset))
        self.place = 0
        self.loose: list[Token] = []

    def read(self) -> FactsRead:
        while self.place < len(self.words):
            token = self.words[self.place]
            if token.kind == "quote":
                self.out.note = f"{self.out.note} {token.text}".strip() if self.out.note else token.text
                self.place += 1
            elif not (self._keyword(token) or self._bare(token)):
                self.loose.append(token)
                self.place += 1
        self._settle_loose()
        return self.out

    # Slots by their words

    def _keyword(self, token: Token) -> bool:
        text = token.text.lower().rstrip(",:")
        for slot in self.verb.slots:
            if text in slot.flags:
                self.place += 1
                self._set(slot.fact, slot.flags[text], token, token)
                return True
        named = self._slot_named(text)
        if named is None:
            return False
        self.place += 1
        while self.place < len(self.words) and self.words[self.place].text.lower() in named.words:
            self.place += 1  # "tube cane 11 mm" names its fact twice
        if self.place >= len(self.words):
            if named.fact not in self.out.facts:  # "fresh knife" has said it already
                self._problem(token, token, f"{token.text} needs a value after it", still_typing=True)
            return True
        return self._value(named, token)

    def _slot_named(self, text: str) -> Slot | None:
        exact = [s for s in self.verb.slots if text in s.words]
        if exact:
            return exact[0]
        if len(text) < 2 or self._choices(text):
            return None
        begins = [s for s in self.verb.slots if any(w.startswith(text) for w in s.words)]
        return begins[0] if len(begins) == 1 else None

    def _value(self, slot: Slot, word: Token) -> bool:
        fact, token = FACTS[slot.fact], self.words[self.place]
        if slot.fact == "tube":
            self._tube(token)
        elif slot.fact == "crow":
            self._crow(token)
        elif fact.type in ("number", "whole"):
            if not self._take_number((slot,)):
                self._problem(word, token, f"{token.text} is not a measure; {word.text} takes a number ({fact.unit})")
                self.place += 1
        elif fact.type == "yes":
            if token.text.lower() in slot.flags:
                self._set(slot.fact, slot.flags[token.text.lower()], token, token)
                self.place += 1
        elif fact.type in ("choice", "parts"):
            if not self._choice(slot):
                self._problem(token, token, f"{token.text} is not one of: {', '.join(fact.choices)}")
                self.place += 1
        else:
            last = len(self.words) if slot.fact in _TAKES_REST else self.place + 1
            taken = self.words[self.place : last]
            self._set(slot.fact, " ".join(t.text for t in taken), taken[0], taken[-1])
            self.place = last
        return True

    def _tube(self, token: Token) -> None:
        """After "tube" comes which one, its length, or both: a number that can be a length is one; "#4" never is."""
        if token.kind == "word" and not token.text.startswith("#") and self._number_at(self.place, "mm"):
            self._take_number((Slot("tube_mm"),))
            return
        self._set("tube", token.text.removeprefix("#"), token, token)
        self.place += 1
        if self.place < len(self.words) and (read := self._number_at(self.place, "mm")):
            value, count = read
            first, last = self.words[self.place], self.words[self.place + count - 1]
            if _TUBE_LENGTHS.impossible(value) is None:
                self._set("tube_mm", value, first, last)
                self.place += count

    def _crow(self, token: Token) -> bool:
        for count in (3, 2, 1):
            group = self.words[self.place : self.place + count]
            if len(group) == count and all(t.kind == "word" for t in group):
                try:
                    pitch = parse_pitch(" ".join(t.text for t in group))
                except InputError as error:
                    if count == 1 and token.text[:1].isdigit():
                        self._problem(token, token, str(error))
                        self.place += 1
                        return True
                    continue
                self._set("crow", str(pitch), group[0], group[-1])
                self.place += count
                return True
        return False

    # Slots without a word

    def _bare(self, token: Token) -> bool:
        open_slots = [
            s for s in self.verb.slots if s.bare and (s.fact not in self.out.facts or FACTS[s.fact].type == "parts")
        ]
        if any(s.fact == "crow" for s in open_slots) and self._crow(token):
            return True
        if _NUMERIC.match(token.text):
            numeric = tuple(s for s in open_slots if FACTS[s.fact].type in ("number", "whole"))
            return self._turns() or self._take_number(numeric)
        return any(self._choice(s) for s in open_slots if FACTS[s.fact].type in ("choice", "parts"))

    def _turns(self) -> bool:
        """ "3 turns", with the word behind."""
        group = self.words[self.place : self.place + 2]
        slot = next((s for s in self.verb.slots if s.fact in ("turns", "pieces")), None)
        if slot is None or len(group) < 2 or group[1].text.lower() not in slot.words or not group[0].text.isdigit():
            return False
        self._set(slot.fact, int(group[0].text), group[0], group[1])
        self.place += 2
        return True

    def _take_number(self, slots: Sequence[Slot]) -> bool:
        """Give the number here to the first of `slots` whose unit it fits; a problem if it fits none."""
        if not slots or not _NUMERIC.match(self.words[self.place].text):
            return False
        why = ""
        for slot in slots:
            fact = FACTS[slot.fact]
            unit = {"°C": "degC", "turns": "", "pieces": ""}.get(fact.unit, fact.unit)
            try:
                value, count = self._number(self.place, unit, slot.fact)
            except InputError as error:
                why = why or str(error)
                continue
            first, last = self.words[self.place], self.words[self.place + count - 1]
            if fact.type == "whole":
                if value != round(value) and unit != "min":
                    self._problem(first, last, f"{fact.words} is a whole number")
                value = round(value)
            self._set(slot.fact, value, first, last)
            self.place += count
            return True
        token = self.words[self.place]
        self._problem(token, token, why)
        self.place += 1
        return True

    def _number(self, place: int, unit: str, fact: str = "") -> tuple[float, int]:
        """The number at `place` in `unit` and how many words it takes: with its unit behind if there is one."""
        group = self.words[place : place + 3]
        error: InputError | None = None
        for count in range(len(group), 0, -1):
            if any(t.kind != "word" for t in group[:count]):
                continue
            text = " ".join(t.text for t in group[:count])
            try:
                return round(quantity(text, unit), 6), count
            except InputError as problem:
                if fact == "gauge_awg" and (near := _gauge_of_thickness(text)):
                    return near, count
                error = problem
        assert error is not None
        raise error

    def _number_at(self, place: int, unit: str) -> tuple[float, int] | None:
        if not _NUMERIC.match(self.words[place].text):
            return None
        try:
            return self._number(place, unit)
        except InputError:
            return None

    def _choice(self, slot: Slot) -> bool:
        fact = FACTS[slot.fact]
        for count in (3, 2, 1):
            group = self.words[self.place : self.place + count]
            if len(group) < count or any(t.kind != "word" for t in group):
                continue
            phrase = " ".join(t.text.lower() for t in group).rstrip(",")
            if fact.type == "parts":
                if count == 1 and (parts := [_part(p, fact.choices) for p in phrase.split(",")]) and all(parts):
                    had = self.out.facts.get(slot.fact, ())
                    assert isinstance(had, tuple)
                    new = tuple(p for p in dict.fromkeys(parts) if p is not None and p not in had)
                    self._set(slot.fact, had + new, group[0], group[-1])
                    self.place += 1
                    return True
                continue
            found = self._named(slot.fact, phrase)
            if len(found) == 1:
                self._set(slot.fact, found[0], group[0], group[-1])
                self.place += count
                return True
            if len(found) > 1 and count == 1:
                message = f"{phrase} could be {' or '.join(found)}"
                self._problem(group[0], group[-1], message, still_typing=True)
                self.place += 1
                return True
        return False

    def _named(self, fact: str, phrase: str) -> list[str]:
        if fact == "instrument":
            found = instrument_named(phrase)
            return [found] if found else []
        choices = FACTS[fact].choices
        return [phrase] if phrase in choices else [c for c in choices if c.startswith(phrase)]

    def _choices(self, text: str) -> bool:
        """Whether a bare choice of this verb could be meant by `text`."""
        bare = [s.fact for s in self.verb.slots if s.bare and FACTS[s.fact].type == "choice"]
        return any(self._named(fact, text) for fact in bare if fact not in self.out.facts)

    # What nothing took

    def _settle_loose(self) -> None:
        if not self.loose:
            return
        if self.verb.text is not None:
            text = " ".join(t.text for t in self.loose)
            if self.verb.text == "note":
                self.out.note = f"{text} {self.out.note}".strip()
            else:
                self._set(self.verb.text, text, self.loose[0], self.loose[-1])
            return
        if any(s.fact == "where" for s in self.verb.slots):
            had = self.out.facts.get("where", ())
            assert isinstance(had, tuple)
            self.out.facts["where"] = had + tuple(t.text for t in self.loose)
            for t in self.loose:
                message = f"{t.text} is not a part of the reed known here; is it where you scraped?"
                self._problem(t, t, message, severity="odd")
            return
        for t in self.loose:
            self._problem(
                t, t, f"{t.text} is not understood after {self.verb.word}; {_takes(self.verb)}", still_typing=True
            )

    def _set(self, fact: str, value: Value, first: Token, last: Token) -> None:
        if fact in self.out.facts and FACTS[fact].type != "parts" and self.out.facts[fact] != value:
            self._problem(first, last, f"{FACTS[fact].words} is given twice")
        self.out.facts[fact] = value
        self.out.spans[fact] = (first.start, last.end)

    def _problem(
        self, first: Token, last: Token, message: str, severity: str = "impossible", still_typing: bool = False
    ) -> None:
        unfinished = still_typing and last.end >= self.line_end
        self.out.problems.append(
            Problem(first.start, last.end, message, "odd" if severity == "odd" else "impossible", unfinished)
        )


def _part(text: str, choices: Sequence[str]) -> str | None:
    fits = [c for c in choices if c.startswith(text)] if text else []
    return text if text in choices else fits[0] if len(fits) == 1 else None


def _gauge_of_thickness(text: str) -> int | None:
    """A wire given by its thickness ("0.32 mm") as the nearest gauge; None if the text is no such thing."""
    try:
        thickness = quantity(text, "mm")
        return awg_near(thickness) if not text.replace(".", "").isdigit() else None
    except InputError:
        return None


def _takes(verb: Verb) -> str:
    """What a verb takes, in words, for an error."""
    show: Callable[[Slot], str] = lambda s: "/".join(s.words or tuple(s.flags)) or FACTS[s.fact].words  # noqa: E731
    names = ", ".join(show(s) for s in verb.slots)
    return f"it takes {names}" if names else "it takes nothing but a note in quotes"
