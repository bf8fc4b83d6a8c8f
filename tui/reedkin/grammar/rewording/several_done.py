"""Several things done, said in one breath: "clip .5 and crow C5", "scraped the tip 10 min, then clipped .3"."""

from __future__ import annotations

from collections.abc import Sequence

from reedkin.bench.titles import setting_word
from reedkin.domain.facts import FACTS, begins
from reedkin.domain.units import unit_named
from reedkin.grammar.rewording.playing_said import lasts
from reedkin.grammar.words.heads import measured_by, plain, unglued
from reedkin.grammar.words.tokens import Token, said_from, word_at
from reedkin.grammar.words.verbs import BY_LETTER, BY_WORD, Verb, in_full, verbs_beginning
from reedkin.grammar.words.vocabulary import CHOICES, named_choices, vocabulary

NOTE = BY_WORD["note"]
_AND = ("and", "then", "&", "+", "-", "–")
_BEFORE_CROWS = ("it", "now")
"""Words between "and" and what a reed does: "and now it crows C"."""
_ALSO_SURE = ("cleaned", "soaked", "rinsed", "washed", "noted", "note")
"""Verbs with the maker's own words behind them that are surely meant: "p 45, clean attack" is no cleaning."""


def at_verbs(segment: Sequence[Token]) -> list[list[Token]]:
    """The words of a clause, parted before each verb in full that stands behind "and", "then" or a comma."""
    begun, verb = _first_verb(segment)
    if verb is None:
        return [list(segment)]
    parts = [list(segment[:begun])]
    for place, token in enumerate(segment[begun:], begun):
        if verb.kind == "scraped" and _further_part(segment, place, parts[-1]):
            parts.append([Token("scrape", token.start, token.start), token])
            continue
        found = in_full(token.text.rstrip(":,")) if token.kind == "word" else None
        found = found or _by_letter(segment, place, verb) or _otherwise(segment, place, verb)
        between = _before_crows(segment, place) if found is BY_WORD["crow"] else 0
        joined = word_at(segment, place - between - 1)
        if found is None or not _may_follow(verb, joined, token) or not _done(found, token) or _is_fact(token, verb):
            parts[-1].append(token)
            continue
        parts[-1] = _without_joint(parts[-1], between)
        parts.append([token])
        verb = found
    return parts


def _by_letter(segment: Sequence[Token], place: int, before: Verb) -> Verb | None:
    """The verb of a letter with a number behind it: "crow C -10, p 20"; behind a score it may be one by its initial."""
    scored = any(slot.fact == "response" for slot in before.slots)
    text, behind = word_at(segment, place), word_at(segment, place + 1)
    part = text == "s" and len(behind) > 1 and bool(named_choices(FACTS["where"], behind))  # & s tip 2
    return None if scored or not (behind[:1].isdecimal() or part) else BY_LETTER.get(text)


def _otherwise(segment: Sequence[Token], place: int, before: Verb) -> Verb | None:
    """A verb that is said in other words: took the tubing off; what was played, with how long: reh 2h."""
    text = word_at(segment, place)
    if text in ("took", "put") and {"off", "on"} & set(said_from(segment, place)):
        return BY_WORD["clip"]  # or what else was taken off
    setting = setting_word(text) is not None or (len(text) > 2 and len(named_choices(FACTS["setting"], text)) == 1)
    return BY_WORD["play"] if before.kind != "played" and setting and lasts(segment, place + 1) else None


def _first_verb(segment: Sequence[Token]) -> tuple[int, Verb | None]:
    """The verb that a clause begins with, or a note, and the place behind it."""
    for place, token in enumerate(segment, 1):
        if token.kind == "quote":
            return place, NOTE
        fits = verbs_beginning(plain(unglued(token)[0].text)) if token.kind == "word" else []
        if len(fits) == 1:
            return place, fits[0]
        if token.kind == "word" and (measure := measured_by(segment[place - 1 :])) is not None:
            return place, measure
    return len(segment), None


def _before_crows(segment: Sequence[Token], place: int) -> int:
    """How many words between "and" and what a reed does stand right before a place."""
    count = 0
    while count + 1 < place and word_at(segment, place - count - 1) in _BEFORE_CROWS:
        count += 1
    return count


def _may_follow(verb: Verb, joined: str, token: Token) -> bool:
    """Whether a further verb may stand behind one, by the word that joins it on. Of her own words it is one, unless
    both are of the past: "soaked 3 min and scraped the tip"."""
    past = verb.text == "how" and (token.text.lower().endswith("ed") or joined == "then")
    return (verb.text is None or past) and verb.table is None and (joined in _AND or joined.endswith(","))


def _without_joint(words: Sequence[Token], between: int) -> list[Token]:
    """The words before a further verb without "and", and without so many words between that and the verb."""
    kept = list(words[: max(1, len(words) - between)])
    while len(kept) > 1 and kept[-1].text.lower() in _AND:
        kept.pop()
    return kept


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
