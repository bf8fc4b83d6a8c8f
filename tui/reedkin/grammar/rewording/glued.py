"""What was typed without spaces: "22p45", "22-24c.2", "31tie oboe", "crC5", "p45r8p7", "sold 7to Max for30"; parted
into words.

A number is parted from what stands behind it only where it is a reed's tag and that is a verb, so that "2h15" stays
how long something took and "21C" how warm it is.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from reedkin.bench.bench import Bench
from reedkin.domain.facts import begins
from reedkin.domain.words import HIGHEST_SCORE
from reedkin.errors import InputError
from reedkin.grammar.words.heads import plain, unglued
from reedkin.grammar.words.tags import expand
from reedkin.grammar.words.tokens import Token, word_at
from reedkin.grammar.words.verbs import BY_WORD, Verb, in_full, verbs_beginning

_TAGS_AND_VERB = re.compile(r"(\d[\d,+–-]*?)([a-z]+)([.,]?\d.*|[A-G][#b]?[3-6]?)?")
_VERB_AND_NUMBER = re.compile(r"([a-z]{3,})([.,]?\d.*)", re.IGNORECASE)
_VERB_AND_NOTE = re.compile(r"(cro?w?)([A-G](?:#|b)?[3-6]?(?:[+-].*)?)")
_NUMBER_AND_SCORES = re.compile(r"(\d+(?:[.,]\d+)?(?:h\d*|m|min)?)((?:[rpste]\d{1,2}){1,5})", re.IGNORECASE)
_ONE_SCORE = re.compile(r"[rpste]\d{1,2}", re.IGNORECASE)
_SCORES = re.compile(rf"(?:{_ONE_SCORE.pattern}){{1,5}}", re.IGNORECASE)
_VERB_AND_SCORES = re.compile(rf"([a-z]+){_NUMBER_AND_SCORES.pattern}", re.IGNORECASE)
_TAGS_AND_WAY = re.compile(r"(\d[\d,–-]*)(to|for|on|by|and)", re.IGNORECASE)
_WAY_AND_NUMBER = re.compile(r"(for|on|to|at|of|off|from|by|reeds?)([.,]?\d.*)", re.IGNORECASE)
_SHORTEST = 4
"""Letters of the beginning of a word for a score or a measure."""
_REED_AND_VERB = re.compile(r"(.*\d,)([a-z]+)", re.IGNORECASE)
_NEVER = ("h", "m")
"""Letters that are units of time behind a number before they are verbs."""


def respaced(words: Sequence[Token], bench: Bench) -> list[Token]:
    """The words between two semicolons with each comma at the word before it, "7 , 8", "7 clip .3 ,play 10", "8,clip",
    and a row of reeds as one word, "7 -9", "7- 9"."""
    found: list[Token] = []
    for place, word in enumerate(words):
        after = found[-1] if found and found[-1].kind == word.kind == "word" else None
        if after is not None and word.text[0] == "," and not word.text[1:2].isdecimal():
            found[-1] = replace(after, text=after.text.rstrip(",") + ",")
            word = Token(word.text[1:], word.start + 1, word.end)
        elif (
            after is not None
            and len(found) == 1
            and _row(f"{after.text}{word.text}", bench)
            and word_at(words, place + 1) not in ("cent", "cents")
        ):
            found[-1] = Token(f"{after.text}{word.text}", after.start, word.end)
            continue
        listed = _REED_AND_VERB.fullmatch(word.text) if word.kind == "word" else None
        if listed is not None and in_full(listed[2]) is not None and bench.find(listed[2]) is None:
            found.append(Token(listed[1], word.start, word.start + len(listed[1])))
            word = Token(listed[2], word.start + len(listed[1]), word.end)
        found += [word] if word.text or word.kind != "word" else []
    return found


def _row(text: str, bench: Bench) -> bool:
    """Whether a text is the first and the last of a row of reeds that are there."""
    ends = re.split("[-–]", text)
    return len(ends) == 2 and all(end.isdecimal() and bench.find(end) is not None for end in ends)


def in_words(segment: Sequence[Token], bench: Bench) -> list[Token]:
    """The words of a clause, with those that were typed as one parted."""
    if not segment or segment[0].kind != "word":
        return list(segment)
    words = [*_head(segment, bench), *segment[1:]]
    fits = (verbs_beginning(plain(unglued(word)[0].text)) for word in words if word.kind == "word")
    verb = next((found[0] for found in fits if len(found) == 1), None)
    if verb is None:
        return [part for word in words for part in _scored(word, bench)]
    if verb.table is not None or verb.text not in (None, "to", "occasion"):
        return words  # her own words stay as she wrote them
    return [words[0], *(part for word in words[1:] for part in _with_its_way(word, verb, bench))]


def _head(segment: Sequence[Token], bench: Bench) -> list[Token]:
    """The first word, parted into tags, a verb and what stands behind that."""
    first = segment[0]
    match = _glued(segment, bench) if bench.find(plain(first.text)) is None else None
    if match is None:
        return [first]
    return [word for part in _parts(first, match) for word in _with_scores(part)]


def _glued(segment: Sequence[Token], bench: Bench) -> re.Match[str] | None:
    """What the first word is made of, if of several words."""
    text = segment[0].text
    if (match := _TAGS_AND_VERB.fullmatch(text)) is not None and _tagged_verb(match, segment, bench):
        return match
    if (match := _VERB_AND_SCORES.fullmatch(text)) is not None and _scores(verbs_beginning(match[1])):
        return match
    if (match := _VERB_AND_NUMBER.fullmatch(text)) is not None and in_full(match[1]) is not None:
        return match
    return _VERB_AND_NOTE.fullmatch(text)


def _scores(fits: Sequence[Verb]) -> bool:
    """Whether a verb is one that scores go with."""
    return len(fits) == 1 and any(slot.fact == "response" for slot in fits[0].slots)


def _with_scores(word: Token) -> list[Token]:
    """ "45r8p7" as three words, and "r8p7" as two."""
    match = _NUMBER_AND_SCORES.fullmatch(word.text)
    start = word.start + (len(match[1]) if match is not None else 0)
    scores = match[2] if match is not None else word.text
    if _SCORES.fullmatch(scores) is None:
        return [word]
    number = [Token(match[1], word.start, start)] if match is not None else []
    return number + [Token(one[0], start + one.start(), start + one.end()) for one in _ONE_SCORE.finditer(scores)]


def scored_by_initial(initial: Token, number: Token) -> bool:
    """Whether a letter and a number are a score by its initial."""
    return _ONE_SCORE.fullmatch(initial.text + number.text) is not None and int(number.text) <= HIGHEST_SCORE


def _tagged_verb(match: re.Match[str], segment: Sequence[Token], bench: Bench) -> bool:
    """Whether these are reeds' tags and a verb, and no tag with a letter that a verb follows: "7c clip .5"."""
    tags, letters, amount = match.groups()
    fits = verbs_beginning(letters)
    if len(fits) != 1 or fits[0].table is not None or letters in _NEVER:
        return False
    if amount is None and (len(segment) < 2 or in_full(plain(word_at(segment, 1))) is not None):
        return False
    try:
        named = expand(tags.replace("+", ","))
    except InputError:
        return False
    if begins(fits[0].kind):
        return in_full(letters) is not None and all(bench.tags.is_free(tag) for tag in named)
    return bool(named) and all(bench.find(tag) is not None for tag in named)


def _scored(word: Token, bench: Bench) -> list[Token]:
    """ "resp8" and "opening1.2" as two words, where no verb stands."""
    match = _VERB_AND_NUMBER.fullmatch(word.text) if word.kind == "word" and bench.find(word.text) is None else None
    if match is None or len(match[1]) < _SHORTEST:
        return [word]
    named = {name for kind in ("score", "measure") for slot in BY_WORD[kind].slots for name in slot.words}
    return _parts(word, match) if any(name.startswith(match[1].lower()) for name in named) else [word]


def _with_its_way(word: Token, verb: Verb, bench: Bench) -> list[Token]:
    """ "7to" and "for30" as two words."""
    if word.kind != "word" or bench.find(word.text) is not None:
        return [word]
    if _scores([verb]):
        glued = _VERB_AND_SCORES.fullmatch(word.text)
        parts = _parts(word, glued) if glued is not None and _scores(verbs_beginning(glued[1])) else [word]
        if len(scored := [one for part in parts for one in _with_scores(part)]) > 1:
            return scored
    match = _TAGS_AND_WAY.fullmatch(word.text)
    if match is not None and all(bench.find(tag) is not None for tag in filter(None, match[1].split(","))):
        return _parts(word, match)
    match = _WAY_AND_NUMBER.fullmatch(word.text)
    if match is not None and verb is not BY_WORD["save"]:
        return _parts(word, match)
    return [word]


def _parts(word: Token, match: re.Match[str]) -> list[Token]:
    return [
        Token(text, word.start + match.start(place), word.start + match.end(place))
        for place, text in enumerate(match.groups(), 1)
        if text
    ]
