"""Reading the facts that follow a verb."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from difflib import get_close_matches

from reedkin.bench.engagements import ENGAGEMENTS
from reedkin.domain.clock import Clock
from reedkin.domain.facts import FACTS, KINDS, Fact, Facts, Value
from reedkin.domain.pitch import parse_pitch
from reedkin.domain.units import unit_named
from reedkin.errors import InputError
from reedkin.grammar.measures import is_numeric, is_plain, measure_at
from reedkin.grammar.prices import plain_prices, takes_price
from reedkin.grammar.spoken import SMALL, days_after, plain_measures
from reedkin.grammar.tags import expand
from reedkin.grammar.tokens import Problem, Token, cited
from reedkin.grammar.verbs import Slot, Verb, implied, in_full
from reedkin.grammar.vocabulary import CHOICES, NUMBERS, TAKES_REST, named_choices, takes, value_of, vocabulary
from reedkin.grammar.when import TwoMeaningsError, When, day_meant, moment_in, parse_when

_GLUED = re.compile(r"([^\W\d_]+)([.,]?\d.*)")
_YEAR = re.compile(r"(19|20)\d\d")
_TUBE_LENGTH = FACTS["tube_mm"]
_DAY_OR_PART = re.compile(r"\d{1,2}/(\d{1,2})")
_RULERS = (2, 4, 8, 16, 32, 64)
"""The parts that rulers have: 1/64 is no day, 15/10 may be one."""
_LONGEST_WORD = 30
"""A longer one is a key that was held down."""
_SAID_OF_IT = ("it", "them", "for", "this", "these", "that")
"""Words that say nothing behind a verb which takes the maker's own words."""
_PART_OF_TEXT = (
    "since", "until", "till", "before", "for", "by", "to", "after", "from", "every", "each", "next", "of", "than",
    "like", "and",
)  # fmt: skip
"""Words after which a day is part of what the maker says in her own words."""


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


def read_facts(
    verb: Verb, words: Sequence[Token], clock: Clock, now: datetime | None = None, head: Token | None = None
) -> FactsRead:
    """Read `words`, which follow `verb`, slot by slot. Problems that more words could mend are `open`. The clock
    tells which day "yesterday" was; `now` is when the entry happened, from which a due day is counted; `head` is the
    verb as it was written."""
    return _FactsReader(verb, words, clock, now or clock.now(), head).read()


class _FactsReader:
    """Goes through a clause's words once, each time asking which slot takes the next ones."""

    def __init__(self, verb: Verb, words: Sequence[Token], clock: Clock, now: datetime, head: Token | None) -> None:
        measured = verb.text is None or any(s.bare and FACTS[s.fact].type in NUMBERS for s in verb.slots)
        self.verb, self.words = verb, plain_measures(words) if measured else list(words)
        self.clock, self.now = clock, now
        self.out = FactsRead(facts=dict(verb.preset))
        if verb.kind == "heard":
            self.words = days_after(self.words)
        if takes_price(verb):
            self.words, self.out.in_all = plain_prices(self.words, verb)
        if head is not None and (said := implied(head.text)):
            self.out.facts |= said
            self.out.spans |= dict.fromkeys(said, (head.start, head.end))
        self.place = 0
        self.loose: list[Token] = []

    def read(self) -> FactsRead:
        if self.verb.filler and self.words and self.words[0].text.lower() == self.verb.filler:
            self.place = 1
        if self.verb.text is not None and self.verb.table is None:
            self._days_at_the_edges()
        while self.place < len(self.words):
            token = self.words[self.place]
            if token.kind == "quote":
                self.out.note = f"{self.out.note} {token.text}".strip() if self.out.note else token.text
                self.place += 1
            elif not (self._moment(token) or self._keyword(token) or self._bare(token) or self._unglued(token)):
                self.loose.append(token)
                self.place += 1
        self._settle_loose()
        return self.out

    # When it happened, without an @

    def _moment(self, token: Token) -> bool:
        """A day or a time among the facts that can be nothing else."""
        if self.verb.text is not None or self.verb.table is not None:
            return False
        behind = self.words[self.place + 1 : self.place + 2]
        if behind and is_plain(behind[0]) and any(token.text.lower() in s.words for s in self.verb.slots):
            return False  # a wire at 5.15
        if (found := moment_in(self._texts(self.place), self.clock)) is None:
            return False
        self._happened(found[0], token, self.words[self.place + found[1] - 1])
        self.place += found[1]
        return True

    def _texts(self, start: int) -> list[str]:
        """The words from `start` on, up to a quoted text."""
        quote = next((n for n, t in enumerate(self.words[start:], start) if t.kind == "quote"), len(self.words))
        return [token.text for token in self.words[start:quote]]

    def _happened(self, when: When, first: Token, last: Token) -> None:
        self.out.moments.append((when, first.start, last.end))

    def _days_at_the_edges(self) -> None:
        """Among the maker's own words, a day right behind the verb or at the end. It is when it happened; of what is
        saved for, the day itself; in a note, a part of it, which is asked."""
        note, due = self.verb.text == "note", any(FACTS[s.fact].type == "date" for s in self.verb.slots)
        texts = self._texts(self.place)
        if self.verb.kind != "noted" and not due and (found := moment_in(texts, self.clock)) is not None:
            first, last = self.words[self.place], self.words[self.place + found[1] - 1]
            self._happened(found[0], first, last)
            del self.words[self.place : self.place + found[1]]
            return
        for start in range(self.place + (not note), self.place + len(texts)):
            behind = [text.rstrip(".") if n == len(texts) - 1 else text for n, text in enumerate(texts)]
            behind = behind[start - self.place :]
            before = self.words[start - 1].text.lower() if start > self.place else ""
            if before in _PART_OF_TEXT or (due and self._slot_named(before)):
                continue
            said = next((f for b in (texts[start - self.place :], behind) if (f := self._to_the_end(b, due))), None)
            if said is not None:
                self._at_the_end(start, start + len(behind), said, note)
                return

    def _to_the_end(self, texts: Sequence[str], due: bool) -> When | str | None:
        """The moment that all of these words give, or the day that something is due."""
        if due:
            try:
                return day_meant(" ".join(texts), self.now)[0].isoformat() if len(texts) < 4 else None
            except InputError:
                return None
        found = moment_in(texts, self.clock)
        return found[0] if found is not None and found[1] == len(texts) else None

    def _at_the_end(self, start: int, end: int, said: When | str, note: bool) -> None:
        first, last = self.words[start], self.words[end - 1]
        words = " ".join(t.text for t in self.words[start:end])
        day = words.lower().removeprefix("on ").rstrip(".")
        if note:
            self._problem(first, last, f"{words} is taken as part of the note; for the day write @{day}", odd=True)
            return
        del self.words[start:end]
        if isinstance(said, str):
            self._due(first, last, words)
            return
        self._happened(said, first, last)
        if self.verb.text == "to" and len(day.split()) == 1 and day.isalpha() and day not in ("yesterday", "today"):
            message = f"{day} is taken as the day; if it is part of the name, put the whole name in quotes"
            self._problem(first, last, message, odd=True)

    def _due(self, first: Token, last: Token, text: str) -> None:
        day, doubt = day_meant(text, self.now)
        self._set("due", day.isoformat(), first, last)
        if doubt:
            self._problem(first, last, doubt, odd=True)

    # Slots by their words

    def _keyword(self, token: Token) -> bool:
        text = token.text.lower().rstrip(",:.!")
        if text == "only" and self.verb.fills:
            self.out.only = True
            self.place += 1
            return True
        if self._flag(text, token):
            return True
        named = self._slot_named(text)
        if named is None or not self._may_follow(named):
            return False
        self.place += 1
        while self.place < len(self.words) and self._is_word(self.place, named.words):
            self.place += 1  # "tube cane 11 mm" names its fact twice
        if named.fact in self.out.facts and FACTS[named.fact].type == "yes":
            return True  # "fresh knife" has said it already
        if named.fact == "thread" and self._colour_before(token):
            return True  # "red thread"
        if self.place >= len(self.words):
            self.out.awaits = named
            self._problem(token, self.words[-1], f"{token.text} needs {value_of(named)} after it", waiting=True)
        else:
            self._value(named, token)
        return True

    def _colour_before(self, thread: Token) -> bool:
        """Whether the word before "thread" is its colour: one that nothing took, where none comes behind."""
        behind = self.words[self.place] if self.place < len(self.words) else None
        none_behind = behind is None or behind.kind == "quote" or self._slot_named(behind.text.lower()) is not None
        if not (none_behind and self.loose and self.loose[-1] is self.words[self.place - 2]):
            return False
        colour = self.loose.pop()
        self._set("thread", colour.text, colour, thread)
        return True

    def _may_follow(self, slot: Slot) -> bool:
        """Whether what stands behind the word of a slot can be its value. Among the maker's own words it may be
        none: "in the case for good"."""
        fact, place = FACTS[slot.fact], self.place + 1
        free = self.verb.text is not None and fact.type in (*NUMBERS, "date")
        return not free or place >= len(self.words) or self._fits_at(fact, place)

    def _fits_at(self, fact: Fact, place: int) -> bool:
        """Whether a number, or for a fact that is a day a day, stands at `place`."""
        return self._day_at(place) is not None if fact.type == "date" else is_numeric(self.words[place])

    def _day_at(self, place: int) -> tuple[str, int] | None:
        """The day that is named at `place` and how many words it takes; None if none is."""
        for count in (3, 2, 1):
            group = self.words[place : place + count]
            if len(group) == count and all(t.kind == "word" for t in group):
                try:
                    return day_meant(" ".join(t.text for t in group), self.now)[0].isoformat(), count
                except InputError:
                    continue
        return None

    def _is_word(self, place: int, words: Sequence[str]) -> bool:
        return self.words[place].kind == "word" and self.words[place].text.lower() in words

    def _flag(self, text: str, token: Token) -> bool:
        flags = {word: (slot.fact, value) for slot in self.verb.slots for word, value in slot.flags.items()}
        found = flags.get(text)
        if found is None and len(text) > 2 and self.verb.text is None:
            begins = [flag for word, flag in flags.items() if word.startswith(text)]
            found = begins[0] if len(begins) == 1 and not self._slot_named(text) else None
        if found is None:
            return False
        self._set(*found, token, token)
        self.place += 1
        return True

    def _slot_named(self, text: str) -> Slot | None:
        exact = [s for s in self.verb.slots if text in s.words]
        if exact:
            return exact[0]
        if len(text) < 2 or self.verb.text is not None or text in SMALL or self._is_choice(text):
            return None
        begins = [s for s in self.verb.slots if any(w.startswith(text) for w in s.words)]
        return begins[0] if len(begins) == 1 else None

    def _is_choice(self, text: str) -> bool:
        """Whether a bare choice of this verb could be meant by `text`."""
        bare = [FACTS[s.fact] for s in self.verb.slots if s.bare and FACTS[s.fact].type in CHOICES]
        return any(named_choices(fact, text) for fact in bare if fact.name not in self.out.facts)

    def _value(self, slot: Slot, word: Token) -> None:
        """Take the value that follows the word of a slot; a problem if what follows is none."""
        fact, token = FACTS[slot.fact], self.words[self.place]
        if fact.name == "tube":
            self._tube(token)
        elif fact.name in TAKES_REST:
            self._rest(fact.name)
        elif fact.type in ("word", "keys"):
            self._word(fact.name)
        elif fact.type == "parts" and token.kind == "quote":
            self._add_parts(fact, [token.text], token)
            self.place += 1
        elif not self._fitting(slot, fact, token):
            end = token if is_numeric(token) or fact.type in CHOICES else word
            self._problem(word, end, f"{word.text} needs {value_of(slot)} after it")
            self.place += end is token

    def _fitting(self, slot: Slot, fact: Fact, token: Token) -> bool:
        if token.kind != "word":
            return False
        if fact.type == "pitch":
            return self._pitch(fact.name)
        if fact.type == "date" and (found := self._day_at(self.place)):
            group = self.words[self.place : self.place + found[1]]
            self._due(group[0], group[-1], " ".join(t.text for t in group))
            self.place += found[1]
            return True
        if token.text.lower() in slot.flags:
            return self._flag(token.text.lower(), token)
        if fact.type in CHOICES:
            return self._choice(fact)
        return is_numeric(token) and self._number((slot,))

    def _word(self, fact: str) -> None:
        """One word or a quoted text; of a harvest also the year behind it: "spring 2024"."""
        last = self.place + 1
        if fact == "harvest" and last < len(self.words) and _YEAR.fullmatch(self.words[last].text):
            last += 1
        taken = self.words[self.place : last]
        self._set(fact, " ".join(t.text for t in taken), taken[0], taken[-1])
        self.place = last

    def _rest(self, fact: str) -> None:
        """All words up to a note or a further fact; or a quoted text, if that comes first."""
        last = self.place + 1
        if self.words[self.place].kind == "word":
            while last < len(self.words) and self.words[last].kind == "word" and not self._further(last):
                last += 1
        taken = self.words[self.place : last]
        self._set(fact, " ".join(t.text for t in taken), taken[0], taken[-1])
        self.place = last

    def _further(self, place: int) -> bool:
        """Whether the word of another slot stands at `place`, with a number or a day behind it."""
        named = next((FACTS[s.fact] for s in self.verb.slots if self._is_word(place, s.words)), None)
        if named is None or named.type not in (*NUMBERS, "date"):
            return False
        return place + 1 < len(self.words) and self._fits_at(named, place + 1)

    def _tube(self, token: Token) -> None:
        """After "tube" comes which one, its length, or both. A number that can be a length is one; "#4", a quoted
        name and a number that no tube is long are which."""
        if is_numeric(token) and not (is_plain(token) and self._is_no_tube_length()):
            self._number((Slot("tube_mm"),))
            return
        if token.kind == "word":
            self._which_tube(token)
        else:
            self._set("tube", token.text, token, token)
        self.place += 1
        if self.place < len(self.words) and is_numeric(self.words[self.place]) and not self._is_no_tube_length():
            # An overall length may stand here as well: a plain number that would be odd for a tube is that.
            self._number((Slot("tube_mm", usual=True),))

    def _which_tube(self, token: Token) -> None:
        try:
            names = expand(token.text)
        except InputError as error:
            self._problem(token, token, str(error))
            return
        if len(names) > 1:
            self.out.tubes = tuple(names)
        self._set("tube", token.text.removeprefix("#"), token, token)

    def _is_no_tube_length(self) -> bool:
        try:
            value, _ = measure_at(self.words, self.place, _TUBE_LENGTH)
        except InputError:
            return True
        return is_plain(self.words[self.place]) and _TUBE_LENGTH.impossible(value) is not None

    # Slots without a word

    def _bare(self, token: Token) -> bool:
        slots = [
            s for s in self.verb.slots if s.bare and (s.fact not in self.out.facts or FACTS[s.fact].type == "parts")
        ]
        if any(FACTS[s.fact].type == "pitch" and self._pitch(s.fact) for s in slots):
            return True
        if is_numeric(token):
            return self._counted() or self._number([s for s in slots if FACTS[s.fact].type in NUMBERS])
        return any(self._choice(FACTS[s.fact]) for s in slots if FACTS[s.fact].type in CHOICES)

    def _counted(self) -> bool:
        """ "3 turns", with the word behind."""
        group = self.words[self.place : self.place + 2]
        slot = next((s for s in self.verb.slots if FACTS[s.fact].unit in s.words), None)
        if slot is None or len(group) < 2 or not self._is_word(self.place + 1, slot.words):
            return False
        if not group[0].text.isdecimal() or len(group[0].text) > 9:
            return False
        self._set(slot.fact, int(group[0].text), group[0], group[1])
        self.place += 2
        return True

    def _number(self, slots: Sequence[Slot]) -> bool:
        """Give the number here to the first of `slots` that it fits; a problem if it is no measure of any."""
        if not slots:
            return False
        token, why = self.words[self.place], ""
        for slot in slots:
            fact = FACTS[slot.fact]
            try:
                value, count = measure_at(self.words, self.place, fact)
            except InputError as error:
                why = why or str(error)
                if fact.name == "minutes" and is_plain(token) and "whole number" in why:
                    break
                continue
            last = self.words[self.place + count - 1]
            plain = count == 1 and is_plain(token)
            if slot.usual and plain and (fact.odd(value) or fact.impossible(value)):
                continue
            self._set(fact.name, value, token, last)
            self.place += count
            if plain and fact.unit and (day := _DAY_OR_PART.fullmatch(token.text)) and int(day[1]) not in _RULERS:
                message = f"{token.text} is taken as {fact.show(value)}; for the day write @{token.text}"
                self._problem(token, token, message, odd=True)
            if ":" in token.text and fact.odd(value):
                message = f"{token.text} is taken as {fact.show(value)}; for the time of day write @{token.text}"
                self._problem(token, token, message, odd=True)
            return True
        if not why:
            return False
        self._problem(token, token, why)
        self.place += 1
        return True

    def _pitch(self, fact: str) -> bool:
        for count in (3, 2, 1):
            group = self.words[self.place : self.place + count]
            if len(group) == count and all(t.kind == "word" for t in group):
                try:
                    pitch = parse_pitch(" ".join(t.text for t in group))
                except InputError as error:
                    if count == 1 and is_numeric(group[0]):
                        self._problem(group[0], group[0], str(error))
                        self.place += 1
                        return True
                    continue
                self._set(fact, str(pitch), group[0], group[-1])
                self.place += count
                return True
        return False

    def _choice(self, fact: Fact) -> bool:
        if fact.type == "parts":
            return self._parts(fact)
        for count in (3, 2, 1):
            group = self.words[self.place : self.place + count]
            if len(group) < count or any(t.kind != "word" for t in group):
                continue
            found = named_choices(fact, " ".join(t.text.lower() for t in group).rstrip(",.!"))
            if len(found) == 1:
                self._set(fact.name, found[0], group[0], group[-1])
                self.place += count
                return True
            if found and count == 1:
                self._could_be(group[0], found)
                return True
        return False

    def _parts(self, fact: Fact) -> bool:
        """ "tip", "ti,he": parts of the reed, which add to those already named."""
        token = self.words[self.place]
        pieces = [piece for piece in token.text.lower().rstrip(".!").split(",") if piece]
        if pieces and pieces[0] in SMALL:
            return False
        meant = [named_choices(fact, piece) for piece in pieces]
        if not meant or not all(meant):
            return False
        for found in meant:
            if len(found) > 1:
                self._could_be(token, found)
                return True
        self._add_parts(fact, [found[0] for found in meant], token)
        self.place += 1
        return True

    def _add_parts(self, fact: Fact, parts: Sequence[str], token: Token) -> None:
        had = self.out.facts.get(fact.name, ())
        assert isinstance(had, tuple)
        self._set(fact.name, tuple(dict.fromkeys((*had, *parts))), token, token)

    def _could_be(self, token: Token, found: Sequence[str]) -> None:
        self._problem(token, token, f"{token.text} could be {' or '.join(found)}")
        self.place += 1

    def _unglued(self, token: Token) -> bool:
        """ "tip10" as "tip 10", where the first part means something here."""
        match = _GLUED.fullmatch(token.text)
        if match is None or self.verb.text is not None:
            return False
        head = match[1].lower()
        if not (self._slot_named(head) or self._is_choice(head)):
            return False
        cut = token.start + len(match[1])
        self.words[self.place : self.place + 1] = [
            Token(match[1], token.start, cut), Token(match[2], cut, token.end)
        ]  # fmt: skip
        return True

    # What nothing took

    def _settle_loose(self) -> None:
        if not self.loose:
            return
        text = " ".join(t.text for t in self.loose)
        if self.verb.text not in (None, "note") and all(t.text.lower() in _SAID_OF_IT for t in self.loose):
            return  # "gave it to Ann"
        if self.verb.text == "note":
            self.out.note = f"{text} {self.out.note}".strip()
        elif self.verb.text is not None:
            if self.verb.text in self.out.facts:
                self._problem(self.loose[0], self.loose[-1], f"{FACTS[self.verb.text].words} is given twice")
            else:
                self._set(self.verb.text, text, self.loose[0], self.loose[-1])
        else:
            for run in self._runs():
                self._settle_run(run)

    def _runs(self) -> list[list[Token]]:
        """What nothing took, words that stand together as one; those of small words alone are left out."""
        runs: list[list[Token]] = []
        for token in self.loose:
            place = next(n for n, word in enumerate(self.words) if word is token)
            if runs and runs[-1] and place and self.words[place - 1] is runs[-1][-1]:
                runs[-1].append(token)
            else:
                runs.append([token])
        idle = SMALL | set(self.verb.idle)
        return [run for run in runs if any(t.text.lower().rstrip(",.!") not in idle for t in run)]

    def _settle_run(self, run: Sequence[Token]) -> None:
        """Words that are no facts: a day, a slip, or what may be meant as a note, which is asked."""
        idle = SMALL | set(self.verb.idle)
        said = [t for t in run if t.text.lower().rstrip(",.!") not in idle]
        if all(any(letter.isalpha() for letter in t.text) for t in said) and self._may_be_note(said):
            text = " ".join(t.text for t in run).strip(" ,")
            self.out.note = f"{self.out.note} {text}".strip()
            message = f"{cited(text)}: no fact of {self.verb.word}; as a note?"
            self.out.problems.append(Problem(run[0].start, run[-1].end, message, "odd", offer=True))
            return
        if self.verb.table is not None and moment_in([t.text for t in run], self.clock) is not None:
            text = " ".join(t.text for t in run)
            due = any(s.fact == "due" for s in self.verb.slots)
            message = f"{text}: write @{text} for when it happened" + (f", by {text} for when it is due" if due else "")
            self._problem(run[0], run[-1], message)
            return
        for token in said:
            if not self._loose_day(token):
                self._not_understood(token)

    def _may_be_note(self, said: Sequence[Token]) -> bool:
        """Whether words can be offered as a note: no digit, no unit, nothing that is nearly a fact, and all there that
        the verb needs."""
        one = len(said) == 1
        if one and self._may_be_unit(said[0]):
            return False
        takes_parts = any(s.fact == "where" for s in self.verb.slots)
        words = [t.text.lower().rstrip(",.!") for t in said]
        known = [*vocabulary(self.verb), "yesterday", "today", "tomorrow"]
        slip = any(
            any(c.isdigit() for c in w)
            or len(w) > _LONGEST_WORD
            or unit_named(w)
            or in_full(w)
            or get_close_matches(w, known, 1, 0.7)
            for w in words
        )
        needed = (
            self.verb.table != ENGAGEMENTS  # where a note says what it is
            if self.verb.table is not None
            else KINDS[self.verb.kind].missing(self._fallen_back()) is not None
        )
        return not slip and not needed and not (takes_parts and one)

    def _may_be_unit(self, token: Token) -> bool:
        """Whether a word stands right behind a number that has a unit, and may be one unknown here: "3 feet"."""
        place = next(n for n, word in enumerate(self.words) if word is token)
        if not place or not is_plain(self.words[place - 1]):
            return False
        return any(end == self.words[place - 1].end and FACTS[f].unit for f, (_, end) in self.out.spans.items())

    def _fallen_back(self) -> Facts:
        """The facts with what may go without saying: what is tied need not say for which instrument."""
        return {"instrument": "", **self.out.facts}

    def _loose_day(self, token: Token) -> bool:
        """A day in figures that no fact took: "24.11", "15/10"."""
        if self.verb.table is not None or not is_numeric(token) or not set(token.text) & set("./"):
            return False
        try:
            self._happened(parse_when(token.text, self.clock), token, token)
        except TwoMeaningsError as both:
            self._problem(token, token, str(both))
        except InputError:
            return False
        return True

    def _not_understood(self, token: Token) -> None:
        takes_parts = any(s.fact == "where" for s in self.verb.slots)
        text = token.text.rstrip(",.!")
        if in_full(text) is not None:
            self._problem(token, token, f"{text} is a verb of its own; write ; before it")
            return
        if takes_parts and text.isalpha() and unit_named(text) is None:
            self._add_parts(FACTS["where"], [text], token)
            parts = FACTS["where"].choices
            near = get_close_matches(text.lower(), parts, 1)
            message = (
                f"did you mean {near[0]}?"
                if near
                else f"the parts are {', '.join(parts)}; is it a part as well? a note stands in quotes"
            )
            self._problem(token, token, f"{cited(text)}: {message}", odd=True)
            return
        known = [*vocabulary(self.verb), "yesterday", "today", "tomorrow"]
        near = get_close_matches(text.lower(), known, 1, 0.7)
        help_ = f"did you mean {near[0]}?" if near else f"{self.verb.word} takes {takes(self.verb)}"
        if not near and self.verb.table is None:
            help_ += "; a reed's tag stands before the verb, a note in quotes"
        self._problem(token, token, f"{cited(text)} is not understood; {help_}")

    def _set(self, fact: str, value: Value, first: Token, last: Token) -> None:
        if fact in self.out.facts and FACTS[fact].type != "parts" and self.out.facts[fact] != value:
            self._problem(first, last, f"{FACTS[fact].words} is given twice: {FACTS[fact].show(self.out.facts[fact])}")
        self.out.facts[fact] = value
        self.out.spans[fact] = (first.start, last.end)

    def _problem(self, first: Token, last: Token, message: str, waiting: bool = False, odd: bool = False) -> None:
        self.out.problems.append(Problem(first.start, last.end, message, "odd" if odd else "impossible", waiting))
