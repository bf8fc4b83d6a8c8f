"""When it happened, where it is said among the facts without an @."""

from __future__ import annotations

import re

from reedkin.domain.facts import FACTS
from reedkin.domain.units import unit_named
from reedkin.grammar.clause.behind_verb import BehindVerb
from reedkin.grammar.when.days import moment_in, vague_in
from reedkin.grammar.words.measures import is_plain
from reedkin.grammar.words.tokens import Token, decimal, word_at
from reedkin.grammar.words.vocabulary import NUMBERS

_MEASURED_AT = ("scored", "crowed", "clipped")
"""What may be said to be at a number."""
_DAY_OR_NUMBER = re.compile(r"(\d{1,2}\.\d)\.")
_SOME_HOURS = re.compile(r"[0-6]h(?:[0-5]\d)?[.,]?")
"""More behind a day is the time of day."""


class MomentsBehind(BehindVerb):
    """Takes days and times out of the words behind a verb; what may be a fact as well is a problem that names both."""

    def moment(self, token: Token) -> bool:
        """A day or a time among the facts that can be nothing else."""
        if self.verb.text is not None or self.verb.table is not None:
            return False
        behind = self.words[self.place + 1 : self.place + 2]
        if behind and is_plain(behind[0]) and any(token.text.lower() in s.words for s in self.verb.slots):
            return False  # a wire at 5.15
        texts = self.texts(self.place)
        if count := vague_in(texts):
            self.no_day(token, self.words[self.place + count - 1])
            self.place += count
            return True
        if (found := moment_in(texts, self.clock)) is None:
            return False
        if found[1] == 1 and self._day_or_number(token):
            return True
        if found[1] > 1 and self._lasting(texts[found[1] - 1]):
            found = moment_in(texts[: found[1] - 1], self.clock) or found
        self.happened(found[0], token, self.words[self.place + found[1] - 1])
        self.place += found[1]
        return True

    def _lasting(self, text: str) -> bool:
        """Whether "2h" behind a day is how long something took, which else would not be told: "concert saturday 2h"."""
        takes = any(slot.fact == "minutes" for slot in self.verb.slots)
        return takes and "minutes" not in self.out.facts and _SOME_HOURS.fullmatch(text.lower()) is not None

    def _day_or_number(self, token: Token) -> bool:
        """ "8.5.", the eighth of May or a score and the end of a sentence: a problem that names both."""
        number = _DAY_OR_NUMBER.fullmatch(token.text)
        if number is None:
            return False
        value = decimal(number[1])
        facts = [FACTS[s.fact] for s in self.verb.slots if s.bare and s.fact not in self.out.facts]
        fits = [f for f in facts if f.type in NUMBERS and not (f.odd(value) or f.impossible(value))]
        if not fits or (fits[0].name == "minutes" and len(fits) == 1):
            return False
        message = f"{token.text} could be a day or {fits[-1].words}: write @{token.text}, or {number[1]}"
        self.problem(token, token, message)
        self.place += 1
        return True

    def at_a_number(self, token: Token) -> bool:
        """ "at 9", which may be the time of day as well as what the verb takes: a problem that names both."""
        behind = word_at(self.words, self.place + 1).rstrip(",.")
        if token.text.lower() != "at" or self.verb.kind in _MEASURED_AT or self.slot_named("at") is not None:
            return False
        if self.verb.text is not None or not behind.isdecimal() or int(behind) > 24 or self.verb.table is not None:
            return False
        if unit_named(word_at(self.words, self.place + 2)) is not None:
            return False
        both = f"at {behind} could be the time of day or a fact: write @{behind}:00, or {behind} without at"
        self.problem(token, self.words[self.place + 1], both)
        self.place += 2
        return True
