"""The words behind a verb that no fact took: a day, a slip, the maker's own words, or perhaps a note."""

from __future__ import annotations

import re
from collections.abc import Sequence
from difflib import get_close_matches
from itertools import pairwise
from typing import NamedTuple
from unicodedata import category

from reedkin.bench.engagements import ENGAGEMENTS
from reedkin.bench.orders import ORDERS
from reedkin.domain.facts import FACTS, KINDS, Fact, Facts
from reedkin.domain.units import unit_named
from reedkin.domain.words import MONTHS
from reedkin.errors import InputError
from reedkin.grammar.clause.behind_verb import BehindVerb
from reedkin.grammar.when.days import TwoMeaningsError, moment_in, parse_when
from reedkin.grammar.words.measures import is_numeric, is_plain, no_inch
from reedkin.grammar.words.prices import sum_of_money
from reedkin.grammar.words.spoken import SMALL
from reedkin.grammar.words.tokens import LONGEST_WORD, Problem, Token, cited, decimal, without_end, word_at
from reedkin.grammar.words.verbs import CAUSE_WORDS, in_full, verbs_beginning
from reedkin.grammar.words.vocabulary import NUMBERS, named_choices, of_others, takes, vocabulary

_A_REMARK = 3
"""Words that together are surely a remark, though one of them be spelt nearly as a fact is."""
_REMARKED = ("sharp", "unsteady", "too", "notes", "tones", "long", "late", "case", "old", "stale")
"""Words of remarks that are no slip of a fact although one is spelt nearly so."""
_CENTS = re.compile(r"(\d{1,2})(?:c|ct|cents?)?")
_DECIMAL = re.compile(r"\d{1,2}\.\d{1,2}")
GOES_ON = (
    "because", "until", "since", "when", "as", "after", "before", "during", "so", "but", "while", "although", "though",
)  # fmt: skip
"""Words with which a remark goes on in a sentence, which may have a verb in it."""
_OTHER_UNITS = (
    "feet", "foot", "ft", "yard", "yards", "yd", "metre", "metres", "meter", "meters", "line", "lines", "point",
    "points", "pt", "pounds", "lbs", "bar", "psi", "x", "times", "mms", "miles", "km", "nm", "hundredths", "tenths",
    "cent", "cents", "gauges", "ohm", "kelvin", "watt", "litre", "litres", "liter", "liters", "ml",
    "weeks", "week", "month", "months", "year", "years",
)  # fmt: skip
"""Units that the line does not know: behind a number they are no note."""
BEHIND_NAME = ("for", "until", "till", "as", "because", "to", "who", "so")
"""Words with which a name is over, and what is said of the handing over goes on."""
TO_COME = ("will", "back", "brings", "returns")
"""Words behind a name with which more is said of what is to come: "back friday"."""
_TERMS = ("account", "approval", "trial", "loan", "credit", "commission")
"""Words behind "on" that say how it was handed over: "on approval"."""
_SAID_OF_IT = ("it", "them", "for", "this", "these", "that", "away")
"""Words that say nothing behind a verb which takes the maker's own words."""


class Leftovers(NamedTuple):
    """Settles what became of the `loose` words: those that no fact took, in their order."""

    at: BehindVerb
    loose: Sequence[Token]

    def settle(self) -> None:
        fact = self.at.verb.text
        if not self.loose:
            return
        if fact is None:
            for run in self._runs():
                self._settle_run(run)
        elif fact == "note":
            self._as_note()
        elif not all(token.text.lower() in _SAID_OF_IT for token in self.loose):  # "gave it to Ann"
            self._in_own_words(fact)

    def _as_note(self) -> None:
        """All of it is the note, of a verb that takes one, or of the verb that is one."""
        if self.at.verb.kind != "noted" and self._slip_of_a_day():
            return
        text, first = _said(self.loose), self.loose[0]
        if self.at.verb.kind == "noted" and len(self.loose) == 1 and is_plain(first):
            self.at.problem(first, first, f"{text} is kept as a note; for a score write score {text}", odd=True)
        self.at.out.note = f"{text} {self.at.out.note}".strip()

    def _in_own_words(self, fact: str) -> None:
        """A fact that is said in the maker's own words; of a handing over they may go on behind the name."""
        if fact == "how" and self._slip_of_a_day():
            return
        if self._paid_behind_name():
            Leftovers(self.at, self.loose[1:]).settle()
            return
        named, known = self._name(), fact in self.at.out.facts
        if fact == "to" and known and (not named or self._behind_name()):
            self._offer(self.loose, _said(self.loose))
        elif fact == "to" and not known and len(named) < len(self.loose):
            if named:
                self.at.set("to", _own_words(named), named[0], named[-1])
            rest = self.loose[len(named) :]
            self._offer(rest, _said(rest))
        elif known:
            beside = f"{cited(_said(self.loose))} is not understood beside {self.at.out.facts[fact]}"
            self.at.problem(self.loose[0], self.loose[-1], f"{beside}; a note stands in quotes")
        else:
            self.at.set(fact, _own_words(self.loose), self.loose[0], self.loose[-1])
            if self.at.verb.kind == "soaked" and not any(t.text.lower() in ("times", "x") for t in self.loose):
                self._odd_way()

    def _slip_of_a_day(self) -> bool:
        """Whether a word at the edge is nearly a day: kept with the rest, the event would be of today."""
        for token in (self.loose[0], self.loose[-1]):
            text = token.text.lower().rstrip(".,!")
            near = get_close_matches(text, ("yesterday", "tomorrow"), 1, 0.8) if len(text) > _A_REMARK else []
            if near and text not in near:
                self.at.problem(token, token, f"{cited(token.text)}: did you mean {near[0]}?")
                return True
        return False

    def _odd_way(self) -> None:
        """Ask about a number or a slip of "minutes" in how it was soaked: nothing else is said of it there."""
        for token in self.loose:
            text = token.text.lower().rstrip(".,!")
            near = text == "min" or get_close_matches(text, ("minutes", "minute", "hours"), 1, 0.75)
            if near or self._may_be_unit(token) or any(c.isdigit() for c in text):
                said = _said(self.loose)
                self.at.problem(token, token, f"{cited(said)} is taken as how it was {self.at.verb.kind}", odd=True)
                return

    def _name(self) -> Sequence[Token]:
        """The loose words that are somebody's name: those before "for" or "until"."""
        ends = (n for n in range(len(self.loose)) if name_is_over(self.loose, n))
        named = self.loose[: next(ends, len(self.loose))]
        return [] if all(token.text.lower() in _SAID_OF_IT for token in named) else named

    def _runs(self) -> list[list[Token]]:
        """What nothing took, words that stand together as one; those of small words alone are left out."""
        runs: list[list[Token]] = []
        for token in self.loose:
            place = next(n for n, word in enumerate(self.at.words) if word is token)
            if runs and runs[-1] and place and self.at.words[place - 1] is runs[-1][-1]:
                runs[-1].append(token)
            else:
                runs.append([token])
        idle = SMALL | set(self.at.verb.idle)
        return [run for run in runs if any(t.text.lower().rstrip(",.!") not in idle for t in run)]

    def _settle_run(self, run: Sequence[Token]) -> None:
        """Words that are no facts: a day, a slip, or what may be meant as a note, which is asked."""
        other = next((token for token in run if of_others(token.text)), None)
        if other is not None and any(slot.fact == "instrument" for slot in self.at.verb.slots):
            self.at.problem(other, other, of_others(other.text) or "")
            return
        if (unit := next((token for token in run if self._may_be_unit(token)), None)) is not None:
            self._other_unit(unit)
            return
        idle = SMALL | set(self.at.verb.idle)
        said = [t for t in run if t.text.lower().rstrip(",.!") not in idle]
        if all(any(_tells(letter) for letter in t.text) for t in said) and self._may_be_note(said, len(run)):
            while run[0].text.lower() in self.at.verb.idle:
                run = run[1:]  # worn out, after the concert
            self._offer(run, _said(run).strip(" ,"))
            return
        if self.at.verb.table is not None and moment_in([t.text for t in run], self.at.clock) is not None:
            text = _said(run)
            due = any(s.fact == "due" for s in self.at.verb.slots)
            day = text.removeprefix("on ")
            message = f"{text}: write @{day} for when it happened" + (f", by {text} for when it is due" if due else "")
            self.at.problem(run[0], run[-1], message)
            return
        for token in said:
            if not self._loose_day(token):
                self._not_understood(token)

    def _offer(self, run: Sequence[Token], text: str) -> None:
        """Keep words as a note, which is asked."""
        self.at.out.note = f"{self.at.out.note} {text}".strip()
        message = f"{cited(text)}: not understood behind {self.at.verb.word}; keep it as a note?"
        self.at.out.problems.append(Problem(run[0].start, run[-1].end, message, "odd", offer=True))

    def _paid_behind_name(self) -> bool:
        """Take a number behind a name as what was paid, which is asked: "17 to Ann, 28"."""
        token, facts = self.loose[0], self.at.out.facts
        said = token.text.rstrip(",.")
        price = sum_of_money(said)
        if self.at.verb.text != "to" or price is None or "to" not in facts or "price" in facts:
            return False
        if facts.get("terms") not in (None, "sold") or token.start < self.at.out.spans["to"][1]:
            return False
        self.at.set("price", price, token, token)
        self.at.problem(token, token, f"{said} is taken for the price; a note stands in quotes", odd=True)
        return True

    def _behind_name(self) -> bool:
        """Whether what is left stands behind a comma that ends the name, "lent to Ann, back by friday", or behind what
        was paid: "sold to Ann for 25 and a coffee"."""
        if "price" in self.at.out.facts and not any(c.isdigit() for token in self.loose for c in token.text):
            return True
        place = next(n for n, word in enumerate(self.at.words) if word is self.loose[0])
        return place > 0 and self.at.words[place - 1].text.endswith(",")

    def _may_be_note(self, said: Sequence[Token], length: int) -> bool:
        """Whether words can be offered as a note: no digit, no unit, nothing that is nearly a fact, and all there that
        the verb needs."""
        one = len(said) == 1
        takes_parts = any(s.fact == "where" for s in self.at.verb.slots)
        words = [t.text.lower().rstrip(",.!") for t in said]
        told = words[0] in GOES_ON
        known = self._known_words(said[0])
        slip = any(
            any(c.isdigit() for c in w)
            or len(w) > LONGEST_WORD
            or unit_named(w)
            or (in_full(w) and not told)
            or (length < _A_REMARK and w not in _REMARKED and get_close_matches(w, known, 1, 0.7))
            for w in words
        )
        needed = (
            not (self.at.verb.table == ENGAGEMENTS or "price" in self.at.out.facts)  # what it is, how it was paid
            if self.at.verb.table is not None
            else KINDS[self.at.verb.kind].missing(self._fallen_back()) is not None
        )
        return not slip and not needed and not (takes_parts and one)

    def _known_words(self, first: Token) -> list[str]:
        """Words of which one that is loose may be a slip; behind a number the months, too: "5. juni"."""
        number = self._before(first)
        months = MONTHS if number is not None and is_plain(number) and first.text.lower() not in MONTHS else ()
        return [*vocabulary(self.at.verb), "yesterday", "today", "tomorrow", *months]

    def _may_be_unit(self, token: Token) -> bool:
        """Whether a word stands right behind a number that has a unit, and may be another one: "3 feet", "45 mm" of a
        playing."""
        text, number = token.text.rstrip(".,!"), self._before(token)
        if number is None or not is_plain(number) or no_inch(self.at.words, token):
            return False
        if text.lower() not in _OTHER_UNITS and (unit_named(text) is None or (len(text) == 1 and not text.isupper())):
            return False
        taken = self._taken_by(number)
        if text.lower() in ("cent", "cents") and any(str(self.at.out.facts[f.name]).endswith("c") for f in taken):
            return False  # C5 - 20 cents
        return any(fact.unit or fact.type == "pitch" for fact in taken)

    def _before(self, token: Token) -> Token | None:
        """The word right before one of these; None where that is the first."""
        return next((before for before, word in pairwise(self.at.words) if word is token), None)

    def _taken_by(self, number: Token) -> Sequence[Fact]:
        """The facts that took a number."""
        return [FACTS[name] for name, (_, end) in self.at.out.spans.items() if end == number.end]

    def _other_unit(self, token: Token) -> None:
        """Refuse a number whose unit is of something else."""
        number = self._before(token)
        assert number is not None, "it may be a unit"
        fact = self._taken_by(number)[0]
        says = f"{fact.words} is in {fact.unit or 'Hz, or a note and cents: C5 -20c'}"
        if fact.unit and fact.words.startswith(fact.unit):
            says = f"write {fact.words}"
        self.at.problem(number, token, f"{number.text} {cited(token.text)} is not understood; {says}")

    def _fallen_back(self) -> Facts:
        """The facts with what may go without saying: what is tied need not say for which instrument."""
        return {"instrument": "", **({"cause": ""} if self.at.ended else {}), **self.at.out.facts}

    def _loose_day(self, token: Token) -> bool:
        """A day in figures that no fact took: "24.11", "15/10"."""
        if self.at.verb.table is not None or not is_numeric(token) or not set(token.text) & set("./"):
            return False
        try:
            when = parse_when(token.text, self.at.clock)
            if self._as_well_a_number(token.text):
                return False
            self.at.happened(when, token, token)
        except TwoMeaningsError as both:
            self.at.problem(token, token, str(both))
        except InputError:
            return False
        return True

    def _as_well_a_number(self, text: str) -> bool:
        """Whether figures with one point and no stop, "8.5", may be a further number as well as a day."""
        if _DECIMAL.fullmatch(text) is None:
            return False
        facts = [FACTS[s.fact] for s in self.at.verb.slots if s.bare and FACTS[s.fact].type == "number"]
        return any(not (fact.odd(decimal(text)) or fact.impossible(decimal(text))) for fact in facts)

    def _not_understood(self, token: Token) -> None:
        takes_parts = any(s.fact == "where" for s in self.at.verb.slots)
        text = token.text.rstrip(",.!")
        if in_full(text) is not None:
            self.at.problem(token, token, f"{text} is a verb of its own; write ; before it")
            return
        if takes_parts and text.isalpha() and unit_named(text) is None:
            self.at.add_parts(FACTS["where"], [text], token)
            parts = FACTS["where"].choices
            near = get_close_matches(text.lower(), parts, 1)
            message = (
                f"did you mean {near[0]}?"
                if near
                else f"the parts are {', '.join(parts)}; is it a part as well? a note stands in quotes"
            )
            self.at.problem(token, token, f"{cited(text)}: {message}", odd=True)
            return
        if self.at.verb.table is None and (further := self._further_verbs(token)):
            self.at.problem(token, token, f"{text} may be {further}, a verb of its own; write ; before it")
            return
        if self.at.verb.table is None and is_plain(token) and (said := self._numbers_said()):
            self.at.problem(token, token, f"{text} is not understood; {said} said already; a note stands in quotes")
            return
        if text.lower() in CAUSE_WORDS:
            said = f"{self.at.out.facts['cause']} is said already; " if "cause" in self.at.out.facts else ""
            self.at.problem(token, token, f"{said}{text} is said of another reed? write ; before that")
            return
        if self.at.verb.table == ORDERS and is_plain(token) and "count" in self.at.out.facts:
            self.at.problem(token, token, f"{token.text}: an order is of one instrument; write a further one behind ;")
            return
        if self.at.verb.kind == "crowed" and (cents := _CENTS.fullmatch(text)) is not None:
            message = f"{text}: sharp or flat? write +{cents[1]}c or -{cents[1]}c"
            self.at.problem(token, token, message)
            return
        known = self._known_words(token)
        near = get_close_matches(text.lower(), known, 1, 0.7)
        help_ = (
            f"did you mean {near[0].title() if near[0] in MONTHS else near[0]}?"
            if near
            else f"{self.at.verb.word} takes {takes(self.at.verb)}"
        )
        if not near and self.at.verb.table is None:
            help_ += f"; {'a tag stands before the verb, a note' if is_numeric(token) else 'a note stands'} in quotes"
        self.at.problem(token, token, f"{cited(text)} is not understood; {help_}")

    def _further_verbs(self, token: Token) -> str:
        """The verbs that a word may be short for, one letter where a number or a part of the reed stands behind it."""
        text = token.text.rstrip(",.!")
        fits = [verb.word for verb in verbs_beginning(text) if verb.table is None] if text.isalpha() else []
        behind = next((after for word, after in pairwise(self.at.words) if word is token), None)
        told = behind is not None and (is_numeric(behind) or bool(named_choices(FACTS["where"], behind.text.lower())))
        return " or ".join(fits) if told or (len(text) > 1 and len(fits) == 1) else ""

    def _numbers_said(self) -> str:
        """What is said by the numbers that the verb takes without a word, where it has them all: "45 min and 8 are"; of
        what is taken off there is none: "off is"."""
        bare = [slot for slot in self.at.verb.slots if slot.bare and FACTS[slot.fact].type in NUMBERS]
        facts = self.at.out.facts
        if "off" in (word for slot in self.at.verb.slots for word, value in slot.flags.items()
                     if facts.get(slot.fact) == value):  # fmt: skip
            return "off is"
        if len(bare) < 2 or any(slot.fact not in facts for slot in bare):
            return ""
        said = " and ".join(FACTS[slot.fact].told(facts[slot.fact]) for slot in bare)
        return f"{said} are"


def _tells(letter: str) -> bool:
    """Whether a character can be a note's: a letter, or a picture."""
    return letter.isalpha() or category(letter) == "So"


def name_is_over(words: Sequence[Token], place: int) -> bool:
    """Whether a name ends before the word at `place`, which says more of the handing over."""
    text, behind = word_at(words, place), word_at(words, place + 1).rstrip(".,!")
    if not words[place].text.islower():
        return False  # Kim So Young
    return text in BEHIND_NAME or (text == "on" and behind in _TERMS) or (text in TO_COME and behind != "")


def _said(words: Sequence[Token]) -> str:
    return " ".join(token.text for token in words)


def _own_words(words: Sequence[Token]) -> str:
    """The maker's own words as a fact, without the end of the sentence."""
    return " ".join([*(token.text for token in words[:-1]), without_end(words[-1])])
