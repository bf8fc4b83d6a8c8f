"""How thick a reed is somewhere, as people say it: "tip thickness 0.09", "thickness of the heart .45", "tip .09 thick";
put into the line's own words."""

from __future__ import annotations

import re
from collections.abc import Sequence

from reedkin.grammar.words.heads import plain
from reedkin.grammar.words.tokens import Token, decimal, word_at
from reedkin.grammar.words.verbs import verbs_beginning

_PARTS = ("tip", "heart", "back")
_NUMBER = re.compile(r"(\d*[.,]\d+)(?:mm)?,?")
_SAID = ("thick", "thickness")
_STEPPED = ("is", "of", "at", "the", "now", "was")
_THICKEST = 1.5
"""Mm; what is more is no thickness of a blade."""


def thicknesses(words: Sequence[Token]) -> list[Token]:
    """The words with each thickness as "thicktip .09", and "measure" before the first where no verb stands."""
    found: list[Token] = []
    place, first = 0, -1
    while place < len(words):
        said = _at(words, place)
        if said is None:
            found.append(words[place])
            place += 1
            continue
        first = len(found) if first < 0 else first
        part, number, count = said
        start, end = words[place].start, words[place + count - 1].end
        found += [Token(f"thick{part}", start, end), Token(number, start, end)]
        place += count
    verbs = any(len(verbs_beginning(word.text)) == 1 for word in found[: max(0, first)] if word.kind == "word")
    if first >= 0 and not verbs:
        found.insert(first, Token("measure", found[first].start, found[first].start))
    return found


def _at(words: Sequence[Token], start: int) -> tuple[str, str, int] | None:
    """The part, its thickness, and how many words say so from `start` on."""
    part = number = ""
    thick, place = False, start
    while place < len(words) and not (part and number and thick):
        text = plain(word_at(words, place))
        if text in _PARTS and not part:
            part = text
        elif text in _SAID and not thick:
            thick = True
        elif (match := _NUMBER.fullmatch(text)) and not number and decimal(match[1]) < _THICKEST:
            number = match[1]
        elif place == start or not (text in _STEPPED or (text == "mm" and number)):
            return None
        place += 1
    if not (part and number and thick) or word_at(words, start) not in (*_PARTS, *_SAID):
        return None
    return part, number, place - start + (word_at(words, place) == "mm")
