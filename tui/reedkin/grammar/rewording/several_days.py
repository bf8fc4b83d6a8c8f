"""Several days of one month behind what is to be played: "engage 3, 5 and 7 jan 19:30 oboe 2", "concerts 3-6 jan oboe
2", as on a tour. They are parted into a clause for each day."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from reedkin.bench.titles import setting_word
from reedkin.grammar.when.days import month_named
from reedkin.grammar.words.tokens import Token, word_at
from reedkin.grammar.words.verbs import verbs_beginning

_DAYS = re.compile(r"(\d{1,2})(?:st|nd|rd|th)?\.?(?:[-–](\d{1,2})(?:st|nd|rd|th)?\.?)?")
_BETWEEN = ("and", "&", "+")


def several_days(words: Sequence[Token]) -> list[list[Token]]:
    """The words of a clause, parted into one for each day that it lists. What else it says is said of all."""
    whole = [list(words)]
    head = _head(words[0]) if word_at(words, 1)[:1].isdecimal() else []
    if not head:
        return whole
    days, place, joined = list[int](), 1, True
    while joined and place < len(words):
        text = word_at(words, place)
        if text in _BETWEEN and days:
            place += 1
            continue
        found = [_DAYS.fullmatch(piece) for piece in text.rstrip(",").split(",")]
        for one in found:
            if one is None:
                return whole
            days += range(int(one[1]), int(one[2] or one[1]) + 1)
        place += 1
        joined = text.endswith(",") or word_at(words, place) in _BETWEEN
    in_order = days == sorted(set(days)) and len(days) > 1 and 1 <= days[0] <= days[-1] <= 31
    if not in_order or month_named(word_at(words, place).rstrip(".,")) is None:
        return whole
    first, last = words[1], words[place - 1]
    return [[*head, Token(str(day), first.start, last.end), *words[place:]] for day in days]


def _head(first: Token) -> list[Token]:
    """What says that something is to be played, as `engage` and what: "concerts"; empty where the word does not."""
    text = word_at([first], 0)
    if [verb.word for verb in verbs_beginning(text)] == ["engage"]:
        return [first]
    setting = setting_word(text) or setting_word(text.removesuffix("s"))
    return [] if setting is None else [replace(first, text="engage"), replace(first, text=setting)]
