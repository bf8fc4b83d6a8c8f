"""Reading the facts that follow a verb."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import replace
from datetime import datetime

from reedkin.bench.titles import setting_word
from reedkin.domain.clock import Clock
from reedkin.domain.facts import FACTS, Fact
from reedkin.domain.units import unit_named
from reedkin.errors import InputError
from reedkin.grammar.clause.as_a_whole import ended_unsaid, heard_to_end, saved_for_a_day, short_for_hours
from reedkin.grammar.clause.behind_verb import FactsRead
from reedkin.grammar.clause.edge_days import days_at_the_edges
from reedkin.grammar.clause.leftovers import Leftovers, name_is_over
from reedkin.grammar.clause.moments_behind import MomentsBehind
from reedkin.grammar.clause.values_behind import ValuesBehind
from reedkin.grammar.when.days import day_meant
from reedkin.grammar.words.measures import is_numeric, is_plain, measure_at
from reedkin.grammar.words.prices import plain_prices, takes_price
from reedkin.grammar.words.spoken import NUMBER_WORDS, SMALL, days_after, plain_measures
from reedkin.grammar.words.tokens import Token, without_end, word_at
from reedkin.grammar.words.verbs import BY_WORD, Slot, Verb, implied
from reedkin.grammar.words.vocabulary import CHOICES, NUMBERS, TAKES_REST, value_of, vocabulary

_GLUED = re.compile(r"([^\W\d_]+)([.,]?\d.*)")
_YEAR = re.compile(r"(19|20)\d\d")
_SPANS = ("day", "days", "week", "weeks", "month", "months", "year", "years", "rehearsals", "concerts", "lessons")
_BEFORE_NUMBER = ("is", "was", "of", "in", "after", "about", "now", "from", "at", "down", "up", "to", "only")
_LONGEST_STEP = 3
"""Small words between a fact's word and its number: "opening is down to 1.1"."""
_HARVEST = next(slot.words for slot in BY_WORD["lot"].slots if slot.fact == "harvest")
_DURING = ("since", "during", "within")
_SHADES = ("dark", "light", "pale", "bright", "deep", "royal", "navy", "sky", "bottle", "olive")
"""Words before the name of a colour that belong to it."""


def read_facts(
    verb: Verb, words: Sequence[Token], clock: Clock, now: datetime | None = None, head: Token | None = None
) -> FactsRead:
    """Read `words`, which follow `verb`, slot by slot. Problems that more words could mend are `open`. The clock
    tells which day "yesterday" was; `now` is when the entry happened, from which a due day is counted; `head` is the
    verb as it was written."""
    return _FactsReader(verb, words, clock, now or clock.now(), head).read()


def _without_stop(word: Token, known: Collection[str]) -> Token:
    """A number, a unit or a `known` word without the stop behind it: "90 min, 9", "clip .5: better", "score 8!"."""
    if word.kind != "word" or word.text[-1] not in ",:!":
        return word
    text = word.text[:-1].lower()
    if not (text in known or unit_named(text) is not None or any(c.isdigit() for c in text)):
        return word
    return replace(word, text=word.text[:-1])


def _lasting(words: Sequence[Token]) -> list[Token]:
    """The words without one that says that something lasted, before how long: "since 10 minutes"."""
    return [
        word for place, word in enumerate(words) if word.text.lower() not in _DURING or not _number_at(words, place + 1)
    ]


def _number_at(words: Sequence[Token], place: int) -> bool:
    return place < len(words) and (is_numeric(words[place]) or word_at(words, place) in NUMBER_WORDS)


class _FactsReader(MomentsBehind, ValuesBehind):
    """Goes through a clause's words once, each time asking which slot takes the next ones."""

    def __init__(self, verb: Verb, words: Sequence[Token], clock: Clock, now: datetime, head: Token | None) -> None:
        if verb.text is None:
            known = vocabulary(verb)
            words = [_without_stop(word, known) for word in words if word.kind != "word" or word.text.strip(",:.")]
        if any(slot.fact == "minutes" for slot in verb.slots):
            words = _lasting(words)
        measured = verb.text is None or any(s.bare and FACTS[s.fact].type in NUMBERS for s in verb.slots)
        super().__init__(verb, plain_measures(words) if measured else words, clock, now)
        self.head = head
        if verb.kind == "heard":
            self.words = days_after(self.words)
        if takes_price(verb):
            self.words, self.out.in_all, self.out.each = plain_prices(self.words, verb)
        if head is not None and (said := implied(head.text)):
            self.out.facts |= said
            self.out.spans |= dict.fromkeys(said, (head.start, head.end))
        self.loose: list[Token] = []

    def read(self) -> FactsRead:
        if self.verb.filler and self.words and self.words[0].text.lower() == self.verb.filler:
            self.place = 1
        if self.verb.text is not None and self.verb.table is None:
            days_at_the_edges(self)
        while self.place < len(self.words):
            token = self.words[self.place]
            if token.kind == "quote":
                self.out.note = f"{self.out.note} {token.text}".strip() if self.out.note else token.text
                self.place += 1
            elif not (
                self.moment(token)
                or self.at_a_number(token)
                or self._keyword(token)
                or self._bare(token)
                or self._unglued(token)
            ):
                self.loose.append(token)
                self.place += 1
        Leftovers(self, self.loose).settle()
        short_for_hours(self)
        saved_for_a_day(self)
        ended_unsaid(self)
        heard_to_end(self)
        return self.out

    # Slots by their words

    def _tells_setting(self, text: str, named: Slot) -> bool:
        """Whether a word that is also the beginning of a fact says where one played: in the pit, pit 3h, not pit 7."""
        behind = self.words[self.place + 1 :][:1]
        alone = not behind or not is_plain(behind[0]) or unit_named(word_at(self.words, self.place + 2)) is not None
        return self.verb.kind == "played" and text not in named.words and alone and setting_word(text) is not None

    def _keyword(self, token: Token) -> bool:
        text = token.text.lower().rstrip(",:.!")
        if text == "only" and self.verb.fills:
            self.out.only = True
            self.place += 1
            return True
        if self._flag(text, token):
            return True
        named = self.slot_named(text)
        if named is None or not self._may_follow(named) or self._tells_setting(text, named):
            return False
        if named.fact == "price" and text == "for" and (self._day_at(self.place + 1) or ("", 0))[1] > 1:
            named = next((slot for slot in self.verb.slots if slot.fact == "due"), named)  # for 15 dec
        if named.fact == "to" and "to" in self.out.facts and self.verb.text == "to":
            return False  # gave it to Ann to try out
        self.place += 1
        while self.place < len(self.words) and self.is_word(self.place, named.words):
            self.place += 1  # "tube cane 11 mm" names its fact twice
        if named.fact in self.out.facts and FACTS[named.fact].type == "yes":
            return True  # "fresh knife" has said it already
        before = self.words[self.place - 2] if self.place > 1 else None
        alone = self.place >= len(self.words) or not is_numeric(self.words[self.place])
        counted = named.bare and FACTS[named.fact].type in NUMBERS
        if counted and alone and before is not None and self.out.spans.get(named.fact, (0, -1))[1] == before.end:
            return True  # 71.2 overall
        if named.fact == "thread" and self._colour_before(token):
            return True  # "red thread"
        if self.place >= len(self.words):
            self.out.awaits = named
            self.problem(token, self.words[-1], f"{token.text} needs {value_of(named)} after it", waiting=True)
        else:
            self._step_to_number(named)
            self._value(named, token)
            if self.verb.kind == "played" and text not in named.words and setting_word(text) is not None:
                said = (
                    f"{token.text} is taken for the {named.fact}; for where it was played write score before the number"
                )
                self.problem(token, token, said, odd=True)
        return True

    def _step_to_number(self, slot: Slot) -> None:
        """Go on to the number that stands behind a small word, "opening of 1.2", and put one said in words in
        figures: "score eight"."""
        if FACTS[slot.fact].type not in NUMBERS:
            return
        steps = (n for n in range(_LONGEST_STEP + 1) if word_at(self.words, self.place + n) not in _BEFORE_NUMBER)
        small = next(steps, 0)
        word = word_at(self.words, self.place + small).rstrip(",.")
        if word in NUMBER_WORDS:
            token = self.words[self.place + small]
            self.words[self.place + small] = replace(token, text=str(NUMBER_WORDS[word]))
        if small and self.place + small < len(self.words) and is_numeric(self.words[self.place + small]):
            self.place += small

    def _colour_before(self, thread: Token) -> bool:
        """Whether the word before "thread" is its colour: one that nothing took, where none comes behind."""
        behind = self.words[self.place] if self.place < len(self.words) else None
        none_behind = (
            behind is None or behind.kind == "quote" or is_numeric(behind)
            or self.slot_named(behind.text.lower()) is not None
        )  # fmt: skip
        if not (none_behind and self.loose and self.loose[-1] is self.words[self.place - 2]):
            return False
        colour = self.loose.pop()
        text, first = without_end(colour), colour
        if self.loose and self.loose[-1].text.lower() in _SHADES and self.loose[-1].end < colour.start <= first.start:
            first = self.loose.pop()
            text = f"{first.text} {text}"
        self.set("thread", text, first, thread)
        return True

    def _may_follow(self, slot: Slot) -> bool:
        """Whether what stands behind the word of a slot can be its value. Among the maker's own words it may be
        none: "in the case for good"."""
        fact, place = FACTS[slot.fact], self.place + 1
        free = self.verb.text is not None and fact.type in (*NUMBERS, "date")
        return not free or place >= len(self.words) or self._fits_at(fact, place)

    def _fits_at(self, fact: Fact, place: int) -> bool:
        """Whether a number, or for a fact that is a day a day, stands at `place`; "for 2 weeks" is no price."""
        if fact.name == "price" and word_at(self.words, place + 1).rstrip(",.") in _SPANS:
            return False
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

    def _flag(self, text: str, token: Token) -> bool:
        flags = {word: (slot.fact, value) for slot in self.verb.slots for word, value in slot.flags.items()}
        found = flags.get(text)
        if found is None and len(text) > 2 and self.verb.text is None:
            begins = [flag for word, flag in flags.items() if word.startswith(text)]
            found = begins[0] if len(begins) == 1 and not self.slot_named(text) else None
        if found is None:
            return False
        self.set(*found, token, token)
        self.place += 1
        return True

    def _value(self, slot: Slot, word: Token) -> None:
        """Take the value that follows the word of a slot; a problem if what follows is none."""
        fact, token = FACTS[slot.fact], self.words[self.place]
        if fact.name == "tube":
            self.tube_here(token)
        elif fact.name in TAKES_REST:
            self._rest(fact.name)
        elif fact.type in ("word", "keys"):
            self._word(fact.name)
        elif fact.type == "parts" and token.kind == "quote":
            self.add_parts(fact, [token.text], token)
            self.place += 1
        elif not self._fitting(slot, fact, token):
            end = token if is_numeric(token) or fact.type in CHOICES else word
            last = end is token and self.place + 1 == len(self.words)  # by 20 nov
            self.problem(word, end, f"{word.text} needs {value_of(slot)} after it", waiting=last)
            self.place += end is token

    def _fitting(self, slot: Slot, fact: Fact, token: Token) -> bool:
        if token.kind != "word":
            return False
        if fact.type == "pitch":
            return self.pitch(fact.name)
        if fact.type == "date" and (found := self._day_at(self.place)):
            group = self.words[self.place : self.place + found[1]]
            self.due(group[0], group[-1], " ".join(t.text for t in group))
            self.place += found[1]
            return True
        if token.text.lower() in slot.flags:
            return self._flag(token.text.lower(), token)
        if fact.type in CHOICES:
            return self.choice(fact)
        return fact.type != "date" and is_numeric(token) and self.number((slot,))

    def _word(self, fact: str) -> None:
        """One word or a quoted text; of a harvest also the year behind it: "spring 2024"."""
        last = self.place + 1
        if fact == "harvest" and last < len(self.words) and _YEAR.fullmatch(self.words[last].text):
            last += 1
        if fact == "thread" and self.words[self.place].text.lower() in _SHADES and word_at(self.words, last).isalpha():
            last += self.slot_named(word_at(self.words, last)) is None
        taken = self.words[self.place : last]
        self.set(fact, " ".join(map(without_end, taken)), taken[0], taken[-1])
        self.place = last

    def _rest(self, fact: str) -> None:
        """All words up to a note or a further fact; or a quoted text, if that comes first."""
        last = self.place + 1
        if self.words[self.place].kind == "word":
            while last < len(self.words) and self.words[last].kind == "word" and not self._ends_rest(fact, last):
                last += 1
            if fact == "to":
                commas = (n + 1 for n in range(self.place, last) if self.words[n].text.endswith(","))
                last = next(commas, last)
        taken = self.words[self.place : last]
        self.set(fact, " ".join([*(t.text for t in taken[:-1]), without_end(taken[-1])]), taken[0], taken[-1])
        self.place = last

    def _ends_rest(self, fact: str, place: int) -> bool:
        """Whether what takes all the words ends before `place`: a further fact stands there; behind whom a reed goes to
        also one that is a word alone, such as "unpaid"."""
        flags = {word for slot in self.verb.slots for word in slot.flags} if fact == "to" else ()
        if fact == "to" and name_is_over(self.words, place):
            return True
        source = fact == "source" and (self._measured(place) or self._harvested(place))
        return source or self._further(place) or self.words[place].text.lower() in flags

    def _measured(self, place: int) -> bool:
        """Whether a measure with its unit stands at `place`: "250 g"."""
        text, behind = self.words[place].text.lower(), word_at(self.words, place + 1)
        units = (unit_named(text.lstrip("0123456789.,")), unit_named(behind) if is_plain(self.words[place]) else None)
        return text[0].isdecimal() and any(unit is not None for unit in units)

    def _harvested(self, place: int) -> bool:
        """Whether a harvest is told at `place`, with its year: "harvest spring 2024"."""
        years = [word for word in self.words[place + 1 : place + 3] if _YEAR.fullmatch(word.text)]
        return word_at(self.words, place) in _HARVEST and bool(years)

    def _further(self, place: int) -> bool:
        """Whether the word of another slot stands at `place`, with a number or a day behind it."""
        named = next((FACTS[s.fact] for s in self.verb.slots if self.is_word(place, s.words)), None)
        if named is None or named.type not in (*NUMBERS, "date"):
            return False
        return place + 1 < len(self.words) and self._fits_at(named, place + 1)

    # Slots without a word

    def _bare(self, token: Token) -> bool:
        slots = [
            s for s in self.verb.slots if s.bare and (s.fact not in self.out.facts or FACTS[s.fact].type == "parts")
        ]
        if any(FACTS[s.fact].type == "pitch" and self.pitch(s.fact) for s in slots):
            return True
        if is_plain(token) and self.out.facts.get("wire") == "off":
            return False
        if self._behind_remark(token):
            return True
        if is_numeric(token):
            if self._from_the_butt(token):
                return self.number((Slot("wire_mm"),))
            if self._length_left(token):
                return self.number((Slot("overall_mm"),))
            return (
                self.counted()
                or self._of_what(token, slots)
                or self.number([s for s in slots if FACTS[s.fact].type in NUMBERS])
            )
        return any(self.choice(FACTS[s.fact]) for s in slots if FACTS[s.fact].type in CHOICES)

    def _behind_remark(self, token: Token) -> bool:
        """Whether a number without a unit stands behind a word that no fact took: "concert 2h Brahms 4". It may be a
        part of what is played or a score, a problem that names both."""
        remark = self.loose[-1] if self.loose and self.loose[-1] is self.words[self.place - 1] else None
        idle = (*SMALL, *self.verb.idle)
        if self.verb.kind not in ("played", "heard") or remark is None or remark.text.lower().rstrip(",.") in idle:
            return False
        if not any(c.isalpha() for c in remark.text):
            return False
        if not is_plain(token) or token.text.rstrip(".,").endswith("/10") or self.with_its_unit(FACTS["minutes"]):
            return False
        of_score = self.verb.kind == "heard" or "minutes" in self.out.facts
        fact = f"score {token.text}" if of_score else f"{token.text} min"
        both = f"{remark.text} {token.text} could be a remark, or {token.text} a fact: write the remark in quotes"
        self.problem(remark, token, f"{both}, or {fact}")
        self.place += 1
        return True

    def _length_left(self, token: Token) -> bool:
        """Whether a number behind "clip" is how long the reed is then: nobody clips so much."""
        if self.verb.kind != "clipped" or self.out.facts or not is_plain(token):
            return False
        try:
            value = measure_at(self.words, self.place, FACTS["clip_mm"])[0]
        except InputError:
            return False
        return bool(FACTS["clip_mm"].impossible(value)) and not FACTS["overall_mm"].odd(value)

    def _of_what(self, token: Token, slots: Sequence[Slot]) -> bool:
        """A plain number said of a lot may be its pieces as well as its weight: a problem that names both."""
        if self.verb.table != "lots" or not is_plain(token) or any(self.with_its_unit(FACTS[s.fact]) for s in slots):
            return False
        number = token.text
        last = self.place + 1 == len(self.words)
        return self.refuse(f"{number} of what? write {number} pieces, {number} g, or cane {number} mm", waiting=last)

    def _from_the_butt(self, token: Token) -> bool:
        """Whether a number behind "wire" is where it lies: "31 mm", which no wire is thick."""
        in_mm = token.text.lower().endswith("mm") or word_at(self.words, self.place + 1) == "mm"
        if self.verb.kind != "wired" or not in_mm or "wire_mm" in self.out.facts:
            return False
        try:
            return not FACTS["wire_mm"].impossible(measure_at(self.words, self.place, FACTS["wire_mm"])[0])
        except InputError:
            return False

    def _unglued(self, token: Token) -> bool:
        """ "tip10" as "tip 10", where the first part means something here."""
        match = _GLUED.fullmatch(token.text)
        if match is None or self.verb.text is not None:
            return False
        head = match[1].lower()
        if not (self.slot_named(head) or self.is_choice(head)):
            return False
        cut = token.start + len(match[1])
        self.words[self.place : self.place + 1] = [
            Token(match[1], token.start, cut), Token(match[2], cut, token.end)
        ]  # fmt: skip
        return True
