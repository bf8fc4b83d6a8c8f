"""The words that mean something behind a verb, and how to ask for what is missing."""

from __future__ import annotations

from reedkin.domain.facts import FACTS, Fact
from reedkin.domain.instruments import instrument_named
from reedkin.domain.words import INSTRUMENTS, spelt
from reedkin.grammar.words.verbs import Slot, Verb

TAKES_REST = ("to", "source", "how", "occasion")
"""Facts that take all the words that follow."""
NUMBERS = ("number", "whole")
CHOICES = ("choice", "parts")
"""Types of fact."""


_ALSO_CALLED = {
    "concert": "performance", "recital": "performance", "moldy": "mouldy", "mold": "mouldy", "split": "cracked",
    "conc": "performance", "gig": "performance", "ms": "medium soft", "mh": "medium hard",
    "med": "medium", "med soft": "medium soft", "med hard": "medium hard",
    "light": "paper", "white": "paper",
}  # fmt: skip
"""Other words for a choice."""
_SHORTEST = 3
"""Letters of the beginning of one."""


def named_choices(fact: Fact, phrase: str) -> list[str]:
    """The choices that a phrase may mean: the one it names or is short for, or all that begin with it."""
    phrase = _ALSO_CALLED.get(phrase, phrase)
    if fact.name == "instrument":
        found = instrument_named(phrase)
        return [found] if found else []
    phrase = phrase.replace("-", " ") if fact.name == "strength" else phrase
    begun = [phrase] if phrase in fact.choices else [c for c in fact.choices if c.startswith(phrase)]
    if begun or len(phrase) < _SHORTEST:
        return begun
    also = {meant for word, meant in _ALSO_CALLED.items() if word.startswith(phrase)}
    return [choice for choice in fact.choices if choice in also]  # con


_OTHERS = (
    "bassoon",
    "contrabassoon",
    "fagott",
    "fagotto",
    "basson",
    "clarinet",
    "saxophone",
    "sax",
    "bagpipe",
    "bagpipes",
)


def of_others(text: str) -> str | None:
    """What to say of an instrument whose reeds are made in another way; None of any other word."""
    if text.lower().rstrip(",.!") not in _OTHERS:
        return None
    return f"{text}: no reeds of that are kept here; the instruments are {', '.join(map(spelt, INSTRUMENTS))}"


def vocabulary(verb: Verb) -> dict[str, None]:
    """Every word that has a meaning after a verb."""
    words: dict[str, None] = {}
    for slot in verb.slots:
        bare = FACTS[slot.fact].choices if slot.bare else ()
        words |= dict.fromkeys((*slot.words, *slot.flags, *bare))
    return words


_VALUES = {
    "tube": "which one, or its length", "to": "whom", "crow": "a note such as C5", "occasion": "an occasion",
    "source": "where", "material": "a metal",
}  # fmt: skip
_PREPOSITIONS = ("to", "at", "for", "from", "on", "by")
"""Words of a fact that say little without what comes after them."""


def value_of(slot: Slot) -> str:
    """What a slot's word takes after it, in words."""
    fact = FACTS[slot.fact]
    if slot.flags and fact.type == "yes":
        return " or ".join(slot.flags)
    if fact.choices:
        return f"one of: {', '.join(fact.choices)}"
    if fact.type in NUMBERS:
        return f"a number in {fact.unit}" if fact.unit else "a number"
    if fact.type == "date":
        return "a day such as 12 March"
    return _VALUES.get(fact.name, "a word")


_FEW = 3
"""Facts of a verb of which the choices are told, too."""
_MOST_TAKEN = 10
"""Of what a verb takes: more is not read, and fills the screen."""


def takes(verb: Verb) -> str:
    """What a verb takes, in words: each fact once, and not more than can be read."""
    taken = [_taken(slot, verb) for slot in verb.slots if slot.fact != "how"]
    taken += ["your own words"] if verb.text in ("how", "note") else []
    if len(taken) > _MOST_TAKEN:
        taken = [*taken[:_MOST_TAKEN], f"and {len(taken) - _MOST_TAKEN} more (F1)"]
    return ", ".join(taken) or "nothing but a note in quotes"


def _taken(slot: Slot, verb: Verb) -> str:
    fact = FACTS[slot.fact]
    if slot.flags and not slot.bare:
        return " or ".join(slot.flags)
    if slot.words and slot.words[0] in _PREPOSITIONS and not slot.bare:
        return f"{slot.words[0]} {value_of(slot)}"
    if not slot.bare:
        return slot.words[0]
    if verb.kind == "clipped":
        return "how much in mm"
    if fact.choices and fact.name != "instrument" and len(verb.slots) <= _FEW:
        return f"{fact.words} ({', '.join(fact.choices)})"
    return fact.words if fact.words != verb.word else value_of(slot)
