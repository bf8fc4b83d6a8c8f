"""Several things done, said in one breath: "clip .5 and crow C5", "scraped the tip 10 min, then clipped .3"."""

from __future__ import annotations

from collections.abc import Sequence

from reedkin.domain.facts import FACTS, begins
from reedkin.domain.units import unit_named
from reedkin.grammar.words.heads import plain, unglued
from reedkin.grammar.words.tokens import Token, word_at
from reedkin.grammar.words.verbs import BY_WORD, Verb, in_full, verbs_beginning
from reedkin.grammar.words.vocabulary import CHOICES, named_choices, vocabulary

NOTE = BY_WORD["note"]
_AND = ("and", "then", "&", "+", "-", "–")
_BEFORE_CROWS = ("it", "now")
"""Words between "and" and what a reed does: "and now it crows C"."""
_ALSO_SURE = ("cleaned", "soaked", "rinsed", "washed", "noted", "note")
"""Verbs with the maker's own words behind them that are surely meant: "p 45, clean attack" is no cleaning."""


def at_verbs(segment: Sequence[Token]) -> list[list[Token]]:
    """The words of a clause, parted before each verb in full that stands behind "and", "then" or a comma."""
    parts: list[list[Token]] = [[]]
    verb: Verb | None = None
    for place, token in enumerate(segment):
        found = in_full(token.text.rstrip(":")) if token.kind == "word" else None
        if verb is None:
            begun = verbs_beginning(plain(unglued(token)[0].text)) if token.kind == "word" else []
            verb = NOTE if token.kind == "quote" else begun[0] if len(begun) == 1 else None
            parts[-1].append(token)
            continue
        back = 1
        while back < place and word_at(segment, place - back) in _BEFORE_CROWS and found is BY_WORD["crow"]:
            back += 1
        joined = word_at(segment, place - back)
        if verb.kind == "scraped" and _further_part(segment, place, parts[-1]):
            parts.append([Token("scrape", token.start, token.start), token])
            continue
        past = verb.text == "how" and token.text.lower().endswith("ed")  # soaked 3 min and scraped the tip
        goes_on = (verb.text is None or past) and verb.table is None and (joined in _AND or joined.endswith(","))
        if found is None or not goes_on or not _done(found, token) or _is_fact(token, verb):
            parts[-1].append(token)
            continue
        while len(parts[-1]) > 1 and (parts[-1][-1].text.lower() in _AND or back > 1):
            back -= parts[-1][-1].text.lower() not in _AND
            parts[-1].pop()
        verb = found
        parts.append([token])
    return parts


def _further_part(segment: Sequence[Token], place: int, before: Sequence[Token]) -> bool:
    """Whether another part of the reed begins at `place` that has minutes of its own: "back 10m, tip 5m"."""
    joined, start = word_at(segment, place - 1), place
    told = joined[:1].isdecimal() or unit_named(joined) == "min"  # tip 5 heart 3
    if not (told or joined in _AND or joined.endswith(",")) or not _part_and_minutes(before):
        return False
    if told and not word_at(segment, place + 1)[:1].isdecimal():
        return False
    if word_at(segment, start) == "the":
        start += 1
    part = word_at(segment, start).rstrip(",")
    behind = next((n for n in range(start, len(segment)) if word_at(segment, n)[-1:] in (",", "")), len(segment))
    return len(named_choices(FACTS["where"], part)) == 1 and len(part) > 1 and _minutes_in(segment[start : behind + 1])


def _part_and_minutes(words: Sequence[Token]) -> bool:
    """Whether a part of the reed and minutes are told among the words, or minutes with their unit: "scraped 7, tip 10"
    says on which reed."""
    said = [word.text.lower().rstrip(",") for word in words if word.kind == "word"]
    where = any(len(text) > 1 and named_choices(FACTS["where"], text.removesuffix("s")) for text in said[1:])
    timed = any(unit_named(text.lstrip("0123456789")) == "min" for text in said[1:])
    return timed or (where and _minutes_in(words))


def _minutes_in(words: Sequence[Token]) -> bool:
    """Whether minutes are told among the words, behind a part."""
    return any(word.kind == "word" and word.text[0].isdecimal() for word in words[1:])


def _done(verb: Verb, token: Token) -> bool:
    """Whether a verb is surely a further thing done to the same reeds."""
    return verb.table is None and not begins(verb.kind) and (verb.text is None or token.text.lower() in _ALSO_SURE)


def _is_fact(token: Token, verb: Verb) -> bool:
    """Whether the word is one of the facts of the verb before it: a lesson, a score."""
    text = token.text.lower().rstrip(":")
    choices = (FACTS[slot.fact] for slot in verb.slots if slot.bare and FACTS[slot.fact].type in CHOICES)
    return text in vocabulary(verb) or any(named_choices(fact, text) for fact in choices)
