"""Playing, said in other ways: "used for 2h", "warmed up 10 min", "opera 3h20", "45 min practice"; put into the line's
own words."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from reedkin.bench.bench import Bench
from reedkin.bench.titles import setting_word
from reedkin.domain.facts import FACTS
from reedkin.domain.units import unit_named
from reedkin.grammar.words.spoken import CALLED, NUMBER_WORDS
from reedkin.grammar.words.tokens import Token, said_from, word_at
from reedkin.grammar.words.vocabulary import named_choices

_LENGTH = re.compile(r"\d+(?:[.,]\d+)?(?:h|m)")
"""How long something was done, with its unit."""
_OF_TIME = ("min", "mins", "minutes", "h", "hr", "hrs", "hour", "hours")
_TIMED = re.compile(r"\d+(?:[.,]\d+)?(?:h\d*|m|min|mins)")
_SHORTEST = 3
"""Letters of a setting that is said at the end."""


def used(words: list[Token], place: int) -> list[Token]:
    """ "used for 2h", "broke in 10 min", "warmed up 10 min", "tried 5 min": played."""
    said = said_from(words, place)
    further = int(said[1:2] in (["in"], ["up"], ["out"]))
    warm = said[0] in ("warm", "warmed") and any(word.isdecimal() for word in said)
    if not (lasting(said) or warm) or (said[0] in ("broke", "warm", "warmed") and not further):
        return words
    return [*words[:place], replace(words[place], text="play"), *words[place + 1 + further :]]


def occasion(words: list[Token], place: int) -> list[Token]:
    """ "opera 3h", "dress rehearsal 2h15": played, by the words that titles of a calendar have as well."""
    said = said_from(words, place)
    count = 1 + (setting_word(said[1] if len(said) > 1 else "") is not None)
    known = said[0] == "general" or setting_word(said[0]) is not None
    short = named_choices(FACTS["setting"], said[0]) if len(said[0]) >= _SHORTEST and not known else []
    setting = short[0] if len(short) == 1 and count == 1 else setting_word(said[count - 1])
    known = known or len(short) == 1
    timed = lasting(said[count:]) or (len(short) == 1 and said[1:2] != [] and said[1].isdecimal())  # reh 150 7
    if setting is None or not known or not timed:
        return words
    first, last = words[place], words[place + count - 1]
    named = Token(setting, first.start, last.end)
    return [*words[:place], Token("play", first.start, first.start), named, *words[place + count :]]


def lasting_first(words: list[Token], bench: Bench) -> list[Token]:
    """ "7 45 min practice" as "7 play 45 min practice"."""
    last = len(words) - 1
    while last > 0 and words[last].kind == "quote":
        last -= 1
    unit = word_at(words, last - 1)
    amount = last - 1 - (unit in _OF_TIME)
    timed = unit in _OF_TIME or _TIMED.fullmatch(unit) is not None
    if not timed or len(word_at(words, last)) < _SHORTEST:
        return words
    setting = setting_word(word_at(words, last).rstrip(".!"))
    if len(named_choices(FACTS["setting"], word_at(words, last).rstrip(".!"))) != 1 and setting is None:
        return words
    reeds = (bench.find(word.text.strip("#,:")) is not None or word.text in CALLED for word in words[: max(0, amount)])
    if not word_at(words, amount)[:1].isdecimal() or not all(reeds):
        return words
    if setting is not None:
        words = [*words[:last], replace(words[last], text=setting), *words[last + 1 :]]  # 2h opera
    return [*words[:amount], Token("play", words[amount].start, words[amount].start), *words[amount:]]


def lasting(said: Sequence[str]) -> bool:
    """Whether words tell how long something was done, with a unit."""
    pairs = pairwise([*said, ""])
    return "hour" in said or any(
        _LENGTH.match(word) or ((word[:1].isdecimal() or word in NUMBER_WORDS) and unit_named(behind) is not None)
        for word, behind in pairs
    )
