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
from reedkin.grammar.rewording.scores_said import SCORE
from reedkin.grammar.when.days import moment_in
from reedkin.grammar.when.hours import HOUR_IN_FIGURES
from reedkin.grammar.words.heads import plain
from reedkin.grammar.words.reeds_named import JOINING, names_reeds
from reedkin.grammar.words.spoken import BEFORE_VERB, CALLED, NUMBER_WORDS, SMALL
from reedkin.grammar.words.tokens import Problem, Token, said_from, word_at
from reedkin.grammar.words.verbs import in_full
from reedkin.grammar.words.vocabulary import named_choices

_LENGTH = re.compile(r"\d+(?:[.,]\d+)?(?:h|m)")
"""How long something was done, with its unit."""
_HOURS = re.compile(rf"{HOUR_IN_FIGURES}[-–]{HOUR_IN_FIGURES}")
_SURE_HOURS = re.compile(rf"\d{{1,2}}[:h]\d\d[-–]{HOUR_IN_FIGURES}|\d{{1,2}}[-–]\d{{1,2}}[:h]\d\d")
"""From when until when, and such as no reeds' tags are."""
_TRYING = ("tried", "tested", "try", "test")
_OF_TIME = ("min", "mins", "minutes", "h", "hr", "hrs", "hour", "hours")
_TIMED = re.compile(r"\d+(?:[.,]\d+)?(?:h\d*|m|min|mins|')")
_SHORTEST = 3
"""Letters of a setting that is said at the end."""


def used(words: list[Token], place: int) -> list[Token]:
    """ "used for 2h", "broke in 10 min", "warmed up 10 min", "tried 5 min": played; "tested 7: 8" is scored."""
    said = said_from(words, place)
    last = len(words) - 1
    if said[0] in _TRYING and SCORE.fullmatch(said[-1]) and (place or last == 2) and not lasting(said):
        return [*words[:place], *words[place + 1 : -1], Token("score", words[-1].start, words[-1].start), words[-1]]
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
    timed = timed or _HOURS.fullmatch(word_at(words, place + count)) is not None  # reh 10-13
    if setting is None or not known or not timed:
        return words
    first, last = words[place], words[place + count - 1]
    named = Token(setting, first.start, last.end)
    return [*words[:place], Token("play", first.start, first.start), named, *words[place + count :]]


def lasting_first(words: list[Token], bench: Bench) -> tuple[list[Token], list[Problem]]:
    """ "7 45 min practice" as "7 play 45 min practice", "7 10 min tip" as scraped. Where nothing says what was done, "7
    45 min", it is taken as played, which is asked."""
    if not any(lasts(words, n) for n in range(len(words))):
        return words, []
    place = 0
    while (text := word_at(words, place)) and not lasts(words, place):
        if not (names_reeds(text, bench) or text in CALLED or text in BEFORE_VERB or text in ("for", "on", *JOINING)):
            found = moment_in([word.text for word in words[place:] if word.kind == "word"], bench.clock)
            if found is None:
                return words, []
            place += found[1] - 1
        place += 1
    if not text or any(_is_day(words, n, bench) for n in (place, place + 1)):
        return words, []
    apart = unit_named(word_at(words, place + 1).rstrip(".,")) is not None
    behind = next((n for n in range(place + 1, len(words)) if words[n].kind == "quote"), len(words)) - 1
    last = word_at(words, behind).rstrip(".!")
    setting = setting_word(last)
    first, end = words[place], words[place + apart]
    before = words[: place - (word_at(words, place - 1) == "for")]
    if _part_of_reed(words, place + 1 + apart):
        return [*before, Token("scrape", first.start, first.start), *words[place:]], []
    played = [*before, Token("play", first.start, first.start), *words[place:]]
    if behind > place + apart and len(last) >= _SHORTEST:
        if setting is not None:
            played[behind + 1 - place + len(before)] = replace(words[behind], text=setting)  # 2h opera
        if setting is not None or len(named_choices(FACTS["setting"], last)) == 1:
            return played, []
    if (
        not place
        and word_at(words, 1) == "h"
        and bench.find(text) is not None
        and not word_at(words, 2)[:1].isdecimal()
    ):
        return words, []  # 7 h Ann: handed to her
    if any(in_full(plain(word.text)) is not None for word in words[place + 1 + apart :] if word.kind == "word"):
        return words, []  # 10 min scraping
    length = " ".join(word.text.rstrip(",") for word in words[place : place + 1 + apart])
    asked = Problem(first.start, end.end, f"{length} is taken as played; for scraping write scrape before it", "odd")
    return played, [asked]


def _part_of_reed(words: Sequence[Token], place: int) -> bool:
    """Whether a part of the reed stands at `place`, after small words: "on the tip"."""
    while word_at(words, place) in SMALL:
        place += 1
    text, parts = word_at(words, place).rstrip(",.!"), FACTS["where"].choices
    return text in parts or text.removesuffix("s") in parts


def _is_day(words: Sequence[Token], place: int, bench: Bench) -> bool:
    """Whether a day or an hour begins at `place`: "10 min ago"."""
    return moment_in([word.text for word in words[place:] if word.kind == "word"], bench.clock) is not None


def lasts(words: Sequence[Token], place: int) -> bool:
    """Whether how long something was done stands at `place`, with its unit."""
    text = word_at(words, place).rstrip(".,")
    unit = word_at(words, place + 1).rstrip(".,")
    return (
        _TIMED.fullmatch(text) is not None
        or _SURE_HOURS.fullmatch(text) is not None
        or ((text[:1].isdecimal() or text in NUMBER_WORDS) and unit in _OF_TIME)
    )


def lasting(said: Sequence[str]) -> bool:
    """Whether words tell how long something was done, with a unit."""
    pairs = pairwise([*said, ""])
    return "hour" in said or any(
        _LENGTH.match(word) or ((word[:1].isdecimal() or word in NUMBER_WORDS) and unit_named(behind) is not None)
        for word, behind in pairs
    )
