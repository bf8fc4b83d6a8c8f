"""Reeds that a line speaks of without naming them: "cleaned all", "scraped 3 reeds". Which they are is nobody's guess,
and the reed in hand alone is surely not meant."""

from __future__ import annotations

from collections.abc import Sequence

from reedkin.domain.facts import begins
from reedkin.domain.instruments import instrument_named
from reedkin.grammar.words.spoken import NUMBER_WORDS
from reedkin.grammar.words.tokens import Problem, Token, word_at
from reedkin.grammar.words.verbs import Verb

_ALL = ("all", "everything", "both", "them")
_NO_REEDS = ("over", "around", "round", "along", "day", "morning", "afternoon", "evening", "the", "sides", "rails",
             "windows", "of")  # fmt: skip
"""Words behind "all" that say that it is no reeds: all over, all day, both sides."""
_REEDS = ("reeds", "blanks")


def counted(head: Token, verb: Verb, words: Sequence[Token]) -> Problem | None:
    """That a clause without tags before its verb tells how many reeds and not which; None where it does not."""
    if begins(verb.kind) or verb.kind == "noted":
        return None
    place = next((n for n in range(len(words)) if _counted_at(words, n, verb.text == "to")), None)
    return None if place is None else _which(head, verb, words[place])


def all_of_them(head: Token, verb: Verb, words: Sequence[Token], stepped: Sequence[Token]) -> Problem | None:
    """That a clause which names no reeds is about all of them; None where it is not. `stepped` are the small words
    that stand before its verb."""
    if begins(verb.kind) or verb.kind == "noted":
        return None
    said = [token for token in stepped if token.text.lower() in ("all", "both")]
    said += [words[n] for n in range(len(words)) if _all_at(words, n, verb)]
    return _which(head, verb, said[0]) if said else None


def _which(head: Token, verb: Verb, said: Token) -> Problem:
    message = f"which reeds? write their tags before {head.text}, such as 7,8 {verb.word} or 7-9 {verb.word}"
    return Problem(said.start, said.end, message)


def _all_at(words: Sequence[Token], place: int, verb: Verb) -> bool:
    """Whether "all" stands for reeds here: right behind the verb, or at the end of facts; "p 45 all good" is a
    remark."""
    said, behind = word_at(words, place).rstrip(",."), word_at(words, place + 1).rstrip(",.")
    if place and (verb.text is not None or place + 1 < len(words)):
        return False
    return said in _ALL and behind not in _NO_REEDS and not (said == "them" and verb.text is None)


def _counted_at(words: Sequence[Token], place: int, handed: bool) -> bool:
    """Whether a number of reeds is told here: "3 reeds", "two oboe reeds"."""
    number = word_at(words, place)
    if not (number.isdecimal() or number in NUMBER_WORDS):
        return False
    if handed and number in NUMBER_WORDS and not place and word_at(words, 1) in ("to", "more"):
        return True  # sold three to Ann
    for length in range(3):
        if word_at(words, place + 1 + length).rstrip(",.") in _REEDS:
            between = " ".join(word_at(words, place + 1 + n) for n in range(length))
            tag = word_at(words, place + 2 + length).removeprefix("#")[:1].isdecimal()
            return (not length or instrument_named(between) is not None) and not (tag and not length and place)
    return False
