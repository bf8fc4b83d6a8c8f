"""Several days of one month behind what is to be played, as on a tour: "engage 3, 5 and 7 jan 19:30 oboe 2", "concerts
3-6 jan oboe 2"; and reeds for several instruments: "recital 14 dec oboe 2 and eh 1", "order Max 3 oboe, 2 eh". They are
parted into a clause for each day, and for each instrument."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from reedkin.bench.titles import setting_word
from reedkin.domain.instruments import instrument_named
from reedkin.grammar.when.days import month_named
from reedkin.grammar.words.reeds_named import JOINING
from reedkin.grammar.words.tokens import Token, word_at
from reedkin.grammar.words.verbs import in_full, verbs_beginning

_DAYS = re.compile(r"(\d{1,2})(?:st|nd|rd|th)?\.?(?:[-–](\d{1,2})(?:st|nd|rd|th)?\.?)?")


def several_days(words: Sequence[Token]) -> list[list[Token]]:
    """The words of a clause, parted into one for each day that it lists. What else it says is said of all."""
    whole = [list(words)]
    head = _head(words[0]) if word_at(words, 1)[:1].isdecimal() else []
    if not head:
        return whole
    days, place, joined = list[int](), 1, True
    while joined and place < len(words):
        text = word_at(words, place)
        if text in JOINING and days:
            place += 1
            continue
        found = [_DAYS.fullmatch(piece) for piece in text.rstrip(",").split(",")]
        for one in found:
            if one is None:
                return whole
            days += range(int(one[1]), int(one[2] or one[1]) + 1)
        place += 1
        joined = text.endswith(",") or word_at(words, place) in JOINING
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


def several_instruments(words: Sequence[Token]) -> list[list[Token]]:
    """The words of an engagement or an order, parted into one for each instrument with its number of reeds."""
    whole = [list(words)]
    verb = in_full(word_at(words, 0))
    if verb is None or verb.table not in ("engagements", "orders"):
        return whole
    wanted: list[list[Token]] = []
    named: list[str] = []
    kept: list[Token] = []
    place = 0
    while place < len(words):
        count, instrument = _wanted(words, place)
        if count:
            wanted.append([replace(word, text=word.text.rstrip(",")) for word in words[place : place + count]])
            named.append(instrument)
            place += count + (word_at(words, place + count) in JOINING and _wanted(words, place + count + 1)[0] > 0)
        else:
            kept.append(words[place])
            place += 1
    return [[*kept, *one] for one in wanted] if len(set(named)) == len(named) > 1 else whole


def _wanted(words: Sequence[Token], place: int) -> tuple[int, str]:
    """How many words from `place` on tell a number of reeds and their instrument, in either order, and that."""
    for first, second in ((0, 1), (1, 0)):
        number, name = (word_at(words, place + n).rstrip(",") for n in (first, second))
        instrument = instrument_named(name) if number.isdecimal() and len(name) > 1 else None
        if instrument is not None and not word_at(words, place).endswith(","):
            ended = word_at(words, place + 1).endswith(",")
            reeds = not ended and word_at(words, place + 2).rstrip(",") in ("reed", "reeds")
            return 2 + reeds, instrument
    return 0, ""
