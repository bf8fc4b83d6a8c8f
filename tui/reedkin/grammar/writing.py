"""From an event to the entry line that records it: for amending, and as the proof that the grammar can say
everything."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import datetime
from decimal import Decimal

from reedkin.domain.characters import looks_like, plain_word
from reedkin.domain.facts import FACTS, Facts, Value
from reedkin.domain.words import spelt
from reedkin.errors import InputError
from reedkin.grammar.words.tokens import quoted
from reedkin.grammar.words.verbs import Slot, Verb, verb_of
from reedkin.grammar.words.vocabulary import TAKES_REST

_PLAIN_WORD = re.compile(r"\w[\w'-]*")
_TUBE_WORD = re.compile(r"[^\W\d_][\w-]*")
_TUBE_NUMBER = re.compile(r"\d+")
_PHRASE = re.compile(r"\w[\w',.()-]*( [\w',.()-]+)*(?<![.,])")
_UNITS = {"minutes": " min", "hours_before": " h", "gauge_awg": " awg"}
_ONLY_BARE = ("tied", "clipped", "tubed", "measured", "scored")
"""Kinds whose verb takes but one plain number, which therefore needs no word of its own."""


def as_line(kind: str, facts: Facts, at: datetime | None = None, note: str = "") -> str:
    """The entry line (without a tag) that reads back to these facts, time and note. Which order a reed went to is
    not among them: it stays as it is while whom it went to does.

    Raises InputError for what the program records by itself and nobody types.
    """
    terms = facts.get("terms")
    verb = verb_of(kind, str(terms) if terms is not None else None)
    if verb is None:
        raise InputError(f"{kind} is recorded by the program itself; there is no entry line for it")
    words = [verb.word, *([verb.filler] if verb.filler else []), *_facts(verb, facts)]
    if at is not None:
        words.append(f"@{at.isoformat()}")
    if note:
        words.append(quoted(note))
    return " ".join(words)


def facts_line(verb: Verb, facts: Facts) -> str:
    """What follows a verb to say these facts."""
    return " ".join(_facts(verb, facts))


def tube_word(name: str) -> str:
    """A tube's name as it can stand behind the word tube."""
    if _is_typed_so(name, _TUBE_WORD):
        return name
    return f"#{name}" if _is_typed_so(name, _TUBE_NUMBER) else quoted(name)


def _is_typed_so(text: str, form: re.Pattern[str]) -> bool:
    """Whether a text has a form, and reads as it is where it stands without quotation marks."""
    return form.fullmatch(text) is not None and plain_word(looks_like(text)) == text


def word_for(fact: str, text: str) -> str:
    """A text as it can stand behind the word of its fact: as it is where it can be taken for nothing else."""
    return text if _is_typed_so(text, _PLAIN_WORD) and text.lower() != fact else quoted(text)


def _facts(verb: Verb, facts: Facts) -> Iterator[str]:
    if (verb.repeats and not facts) or ("tube" in facts and "tube_mm" not in facts):
        yield "only"
    for slot in verb.slots:
        if slot.fact == "tube":
            yield from _tube(facts)
        elif slot.fact in facts:
            yield from _fact(verb, slot, facts[slot.fact])


def _tube(facts: Facts) -> Iterator[str]:
    if "tube" not in facts and "tube_mm" not in facts:
        return
    yield "tube"
    if "tube" in facts:
        yield tube_word(str(facts["tube"]))
    if "tube_mm" in facts:
        yield f"{_plain(facts['tube_mm'])} mm"


def _fact(verb: Verb, slot: Slot, value: Value) -> Iterator[str]:
    flag = next((word for word, meant in slot.flags.items() if meant == value), None)
    if flag is not None:
        yield flag
    elif isinstance(value, tuple):
        known = FACTS[slot.fact].choices
        yield " ".join(part if part in known else f"{slot.words[0]} {quoted(part)}" for part in value)
    elif FACTS[slot.fact].type == "word":
        yield f"{slot.words[0]} {_words(verb, slot, str(value))}"
    elif isinstance(value, str):
        yield spelt(value) if slot.bare else f"{slot.words[0]} {value}"
    elif slot.fact == "turns":
        yield f"{_plain(value)} turns"
    else:
        bare = slot.bare and (verb.kind in _ONLY_BARE or slot.fact in _UNITS)
        yield f"{'' if bare else slot.words[0] + ' '}{_plain(value)}{_UNITS.get(slot.fact, '')}"


def _words(verb: Verb, slot: Slot, text: str) -> str:
    """A text as it can stand behind its slot's word, quoted where it could be taken for something else."""
    if slot.fact not in TAKES_REST:
        return text if _is_typed_so(text, _PLAIN_WORD) and text.lower() not in slot.words else quoted(text)
    meaningful = {word for other in verb.slots for word in other.words} & set(text.lower().split(" "))
    a_day = slot.fact == "how" and any(c.isdecimal() for c in text)  # "12 March" behind clean is when it was done
    plain = _is_typed_so(text, _PHRASE) and not meaningful and not a_day
    return text if plain else quoted(text)


def _plain(value: Value) -> str:
    """A number in full, to the last digit that it has."""
    text = format(Decimal(repr(value)), "f")
    return text.rstrip("0").rstrip(".") if "." in text else text
