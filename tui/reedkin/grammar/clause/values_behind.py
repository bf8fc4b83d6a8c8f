"""What stands at a place behind a verb, taken for the value of a fact: a number, a pitch, one of some words, a tube."""

from __future__ import annotations

import re
from collections.abc import Sequence

from reedkin.bench.titles import setting_word
from reedkin.domain.facts import FACTS, Fact, Value
from reedkin.domain.pitch import parse_pitch
from reedkin.domain.units import unit_named
from reedkin.errors import InputError
from reedkin.grammar.clause.behind_verb import BehindVerb
from reedkin.grammar.when.days import TwoMeaningsError, parse_when
from reedkin.grammar.words.measures import is_numeric, is_plain, measure_at
from reedkin.grammar.words.spoken import SMALL
from reedkin.grammar.words.tags import expand
from reedkin.grammar.words.tokens import Token, word_at
from reedkin.grammar.words.verbs import Slot
from reedkin.grammar.words.vocabulary import named_choices, vocabulary

_BETWEEN_PARTS = re.compile(r"[,+/&]")
_TUBE_LENGTH = FACTS["tube_mm"]
_DAY_OR_PART = re.compile(r"\d{1,2}/(\d{1,2})")
_HUNDREDTHS = re.compile(r"\d{1,2}\.\d\d")
"""No score is given so closely, but days and times are written so."""
_FEW = 4
"""Fewer characters than this has a count with the initial of what is counted."""
_LONGEST_COUNT = 9
_IN_HZ = range(450, 1401)
"""A plain number that is a crow in Hz; one about 440 may be how the maker tunes."""
_RULERS = (2, 4, 8, 16, 32, 64)
"""The parts that rulers have: 1/64 is no day, 15/10 may be one."""


class ValuesBehind(BehindVerb):
    """Takes the values of facts out of the words behind a verb, each where it stands. What may be a value and is none
    of the fact's is a problem."""

    def take(self, fact: str, value: Value, count: int = 1) -> bool:
        """Take a value that so many words from here on say, and go on behind them."""
        self.set(fact, value, self.words[self.place], self.words[self.place + count - 1])
        self.place += count
        return True

    def refuse(self, message: str, waiting: bool = False) -> bool:
        """The word here is no such value, which is a problem; go on behind it."""
        self.problem(self.words[self.place], self.words[self.place], message, waiting)
        self.place += 1
        return True

    def number(self, slots: Sequence[Slot]) -> bool:
        """Give the number here to the first of `slots` that it fits; a problem if it is no measure of any."""
        if not slots:
            return False
        token, why = self.words[self.place], ""
        if len(slots) > 1 and is_plain(token) and unit_named(word_at(self.words, self.place + 1)) is not None:
            slots = sorted(slots, key=lambda slot: not self.with_its_unit(FACTS[slot.fact]))
        for slot in slots:
            fact = FACTS[slot.fact]
            if fact.name == "minutes" and token.text.rstrip(".,").endswith("/10"):
                continue  # a score
            try:
                value, count = measure_at(self.words, self.place, fact)
            except InputError as error:
                why = why or str(error)
                if fact.name == "minutes" and is_plain(token) and "whole number" in why:
                    break
                continue
            plain = count == 1 and is_plain(token)
            if plain and self.verb.text is not None and word_at(self.words, self.place + 1) in ("times", "x", "days"):
                return False
            if plain and (self._no_score(slot) or fact.impossible(value)) and (both := self._two_moments(token)):
                return self.refuse(both)
            if slot.usual and plain and (fact.odd(value) or fact.impossible(value)):
                continue
            self.take(fact.name, value, count)
            if plain and fact.unit and (day := _DAY_OR_PART.fullmatch(token.text)) and int(day[1]) not in _RULERS:
                message = f"{token.text} is taken as {fact.show(value)}; for the day write @{token.text}"
                self.problem(token, token, message, odd=True)
            if ":" in token.text and fact.odd(value):
                message = f"{token.text} is taken as {fact.show(value)}; for the time of day write @{token.text}"
                self.problem(token, token, message, odd=True)
            return True
        return bool(why) and self.refuse(why, waiting=self.place + 1 == len(self.words))  # its unit may come

    def _no_score(self, slot: Slot) -> bool:
        """Whether a number behind a playing is no score, since it is in hundredths, though it could be: "p 45 3.05"."""
        said_so = word_at(self.words, self.place - 1) in slot.words
        hundredths = _HUNDREDTHS.fullmatch(self.words[self.place].text) is not None
        return self.verb.kind == "played" and FACTS[slot.fact].is_score and hundredths and not said_so

    def _two_moments(self, token: Token) -> str:
        """What to say of figures that no fact can be and that are a day or a time: "p 45 18.10"."""
        try:
            parse_when(token.text, self.clock)
        except TwoMeaningsError as both:
            return str(both)
        except InputError:
            return ""
        return ""

    def with_its_unit(self, fact: Fact) -> bool:
        """Whether the number here is a measure of a fact with the unit behind it: "10.5 mm" is no weight."""
        try:
            return measure_at(self.words, self.place, fact)[1] > 1
        except InputError:
            return False

    def counted(self) -> bool:
        """ "3 turns", with the word behind; "12 left"."""
        text = self.words[self.place].text
        behind, further = word_at(self.words, self.place + 1), word_at(self.words, self.place + 2)
        if behind == "left" and self.verb.table == "lots" and text.isdecimal() and not further[:1].isdecimal():
            return self.take("left", int(text), 2)
        slot = next((s for s in self.verb.slots if FACTS[s.fact].unit in s.words), None)
        if slot is None:
            return False
        if text[:-1].isdecimal() and text[-1] == slot.words[0][0] and len(text) < _FEW:
            return self.take(slot.fact, int(text[:-1]))  # 2t
        if behind not in slot.words or not text.isdecimal() or len(text) > _LONGEST_COUNT:
            return False
        if slot.fact == "pieces" and further == "left":
            return self.take("left", int(text), 3)  # 40 pieces left
        return self.take(slot.fact, int(text), 2)

    def pitch(self, fact: str) -> bool:
        for count in (3, 2, 1):
            group = self.words[self.place : self.place + count]
            if len(group) < count or any(t.kind != "word" for t in group):
                continue
            try:
                pitch = parse_pitch(self._said_pitch(group))
            except InputError as error:
                if count == 1 and is_plain(group[0]) and group[0].text.isdecimal() and int(group[0].text) in _IN_HZ:
                    return self.take(fact, f"{group[0].text} Hz")
                if count == 1 and is_numeric(group[0]):
                    return self.refuse(str(error))
            else:
                return self.take(fact, str(pitch), count)
        return False

    def _said_pitch(self, group: Sequence[Token]) -> str:
        """What is said of a pitch; "a" before a further word is no note: "crows a bit flat"."""
        behind = word_at(self.words, self.place + 1)
        article = group[0].text == "a" and behind.isalpha() and behind not in vocabulary(self.verb)
        return "" if article else " ".join(t.text for t in group).rstrip(",")

    def choice(self, fact: Fact) -> bool:
        if fact.type == "parts":
            return self._parts(fact)
        for count in (3, 2, 1):
            group = self.words[self.place : self.place + count]
            if len(group) < count or any(t.kind != "word" for t in group):
                continue
            said = " ".join(t.text.lower() for t in group).rstrip(",.!")
            found = named_choices(fact, said)
            if fact.name == "setting" and self.verb.kind == "played" and len(found) != 1 and (told := _setting(said)):
                found = told
                self.out.note = f"{self.out.note} {said}".strip()  # opera: a performance, and which
            if len(found) == 1:
                return self.take(fact.name, found[0], count)
            if found and count == 1:
                return self._could_be(found)
        return False

    def _parts(self, fact: Fact) -> bool:
        """ "tip", "ti,he", "backs": parts of the reed, which add to those already named."""
        token = self.words[self.place]
        pieces = [piece for piece in _BETWEEN_PARTS.split(token.text.lower().rstrip(".!")) if piece]
        pieces = [piece if named_choices(fact, piece) else piece.removesuffix("s") for piece in pieces]
        if pieces and pieces[0] in SMALL:
            return False
        meant = [named_choices(fact, piece) for piece in pieces]
        if not meant or not all(meant):
            return False
        for found in meant:
            if len(found) > 1:
                return self._could_be(found)
        self.add_parts(fact, [found[0] for found in meant], token)
        self.place += 1
        return True

    def _could_be(self, found: Sequence[str]) -> bool:
        return self.refuse(f"{self.words[self.place].text} could be {' or '.join(found)}")

    def tube_here(self, token: Token) -> None:
        """After "tube" comes which one, its length, or both. A number that can be a length is one; "#4", a quoted
        name and a number that no tube is long are which."""
        if is_numeric(token) and not (is_plain(token) and self._is_no_tube_length()):
            self.number((Slot("tube_mm"),))
            return
        if token.kind == "word":
            self._which_tube(token)
        else:
            self.set("tube", token.text, token, token)
        self.place += 1
        if self.place < len(self.words) and is_numeric(self.words[self.place]) and not self._is_no_tube_length():
            # An overall length may stand here as well: a plain number that would be odd for a tube is that.
            self.number((Slot("tube_mm", usual=True),))

    def _which_tube(self, token: Token) -> None:
        try:
            names = expand(token.text)
        except InputError as error:
            self.problem(token, token, str(error))
            return
        if len(names) > 1:
            self.out.tubes = tuple(names)
        self.set("tube", token.text.removeprefix("#"), token, token)

    def _is_no_tube_length(self) -> bool:
        try:
            value, _ = measure_at(self.words, self.place, _TUBE_LENGTH)
        except InputError:
            return True
        return is_plain(self.words[self.place]) and _TUBE_LENGTH.impossible(value) is not None


def _setting(said: str) -> list[str]:
    """What is played by the words that titles have: opera, dress rehearsal; of an engagement they say what it is."""
    told = {setting_word(word) for word in said.split()}
    return [setting for setting in told if setting is not None] if len(told) == 1 else []
