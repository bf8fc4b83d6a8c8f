"""How good a reed is, said in other ways: "7 out of ten", "sound 9", "r8 p7"; put into the line's own words."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from reedkin.bench.bench import Bench
from reedkin.domain.words import SCORES
from reedkin.grammar.words.spoken import NUMBER_WORDS
from reedkin.grammar.words.tokens import NUMBER, Token, word_at
from reedkin.grammar.words.verbs import verbs_beginning

SCORE = re.compile(r"10|\d(?:[.,]\d)?")
"""One that is said by itself, in tenths of a point at the most."""
_OF_TEN = re.compile(r"\d+(?:[.,]\d+)?/10")
_INITIAL = re.compile(r"([rpste])(\d{1,2}(?:[.,]\d)?),?", re.IGNORECASE)
"""A score by the initial of what is scored; no two of them begin alike."""
_ALSO_CALLED = {"intonation": "pitch", "sound": "tone", "colour": "tone", "color": "tone"}


def called_scores(words: Sequence[Token]) -> list[Token]:
    """ "sound 9" as "tone 9"."""
    found = list(words)
    for place, token in enumerate(words):
        behind = word_at(words, place + 1)
        called = _ALSO_CALLED.get(word_at(words, place))
        if called is not None and (behind[:1].isdecimal() or behind in NUMBER_WORDS):
            found[place] = replace(token, text=called)
    return found


def by_initials(words: Sequence[Token]) -> Iterator[Token]:
    """ "score r8 p7.5" as "score response 8 pitch 7.5"."""
    begun = False
    for token in words:
        short = _INITIAL.fullmatch(token.text) if token.kind == "word" and begun else None
        if short is not None:
            cut = token.start + 1
            yield Token(next(name for name in SCORES if name[0] == short[1].lower()), token.start, cut)
            yield Token(short[2], cut, token.end)
        else:
            yield token
        begun = begun or (token.kind == "word" and len(verbs_beginning(token.text)) == 1)


def of_ten(words: Sequence[Token]) -> Iterator[Token]:
    """ "7 out of ten" as "7/10"."""
    place = 0
    while place < len(words):
        ten = word_at(words, place + 3).rstrip(".,!") in ("10", "ten")
        number = str(NUMBER_WORDS.get(word_at(words, place), word_at(words, place)))
        if ten and (word_at(words, place + 1), word_at(words, place + 2)) == ("out", "of") and NUMBER.fullmatch(number):
            yield Token(f"{number}/10", words[place].start, words[place + 3].end)
            place += 4
        else:
            yield words[place]
            place += 1


def score_alone(words: list[Token], bench: Bench) -> list[Token]:
    """ "3 7/10" as a score: a reed by that name there is none, and nothing is said of it."""
    last = len(words) - 1
    while last >= 0 and words[last].kind == "quote":
        last -= 1
    alone = last >= 0 and _OF_TEN.fullmatch(word_at(words, last)) and bench.find(words[last].text) is None
    if not alone or any(verbs_beginning(word_at(words, place)) for place in range(last)):
        return words
    return [*words[:last], Token("score", words[last].start, words[last].start), *words[last:]]
