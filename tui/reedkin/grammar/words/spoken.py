"""Small words that say nothing behind a verb, and measures that are said in words: "half an hour", "ten minutes"."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from reedkin.domain.characters import VULGAR, in_decimals
from reedkin.domain.units import unit_named
from reedkin.grammar.words.tokens import Token, word_at

SMALL = frozenset((
    "a", "an", "and", "the", "with", "for", "at", "on", "of", "in", "it", "its", "this", "that", "was", "is", "are",
    "been", "has", "have", "had", "i", "i've", "we", "my", "me", "then", "also", "just", "again", "about", "some",
    "from", "off", "around", "roughly", "approx", "ca", "&", "+", "-", "–", "—", "but", "so", "by", "each", "both",
    "another", "them", "maybe", "perhaps", "ea", "ea.",
))  # fmt: skip
"""Words that are stepped over where they cannot be data."""
BEFORE_VERB = frozenset((
    "i", "i've", "we", "have", "has", "had", "was", "were", "is", "are", "been", "just", "then", "also", "and", "again",
    "the", "a", "an", "got", "today's", "now", "both", "all", "my", "first", "finally", "later", "-", "–", "—",
))  # fmt: skip
"""Words that may stand between a reed and what was done to it."""
CALLED = frozenset(("reed", "reeds", "no.", "nr", "nr.", "n°", "nº", "number", "numbers", "no", "#"))
"""Words before a reed's tag that say that it is one."""

NUMBER_WORDS = {
    "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10,
    "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16, "seventeen": 17,
    "eighteen": 18, "nineteen": 19, "twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60, "seventy": 70,
    "eighty": 80, "ninety": 90,
}  # fmt: skip
NUMBER_WORDS |= {
    f"{ten}-{one}": NUMBER_WORDS[ten] + NUMBER_WORDS[one]
    for ten in ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
    for one in ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
}
_PARTS_OF_MM = {"tenth": 0.1, "tenths": 0.1, "hundredth": 0.01, "hundredths": 0.01}
_OF_MM = [["of", *article, unit] for article in (["a"], []) for unit in ("mm", "millimetre", "millimeter")]
_VULGAR = re.compile(rf"(\d*)([{VULGAR}])(.*)")
_PHRASES: tuple[tuple[tuple[str, ...], str], ...] = (
    (("three", "quarters", "of", "an", "hour"), "45min"),
    (("a", "quarter", "of", "an", "hour"), "15min"),
    (("quarter", "of", "an", "hour"), "15min"),
    (("an", "hour", "and", "a", "half"), "90min"),
    (("an", "hour", "and", "a", "quarter"), "75min"),
    (("an", "hour", "and", "half"), "90min"),
    (("one", "hour", "and", "half"), "90min"),
    (("an", "hour", "and", "three", "quarters"), "105min"),
    (("one", "hour", "and", "a", "half"), "90min"),
    (("three", "quarters", "of", "a", "mm"), ".75mm"),
    (("one", "and", "a", "half", "hours"), "90min"),
    (("half", "an", "hour"), "30min"),
    (("half", "hour"), "30min"),
    (("half", "a", "kilo"), "500g"),
    (("half", "a", "millimetre"), ".5mm"),
    (("half", "a", "millimeter"), ".5mm"),
    (("half", "a", "mm"), ".5mm"),
    (("half", "mm"), ".5mm"),
    *((("a", "quarter", "of", "a", unit), ".25mm") for unit in ("mm", "millimetre", "millimeter")),
    *((("quarter", "of", "a", unit), ".25mm") for unit in ("mm", "millimetre", "millimeter")),
    (("a", "quarter", "mm"), ".25mm"),
    (("quarter", "mm"), ".25mm"),
    (("a", "millimetre"), "1mm"),
    (("a", "millimeter"), "1mm"),
    (("a", "mm"), "1mm"),
    (("an", "hour"), "1h"),
    (("a", "minute"), "1min"),
)


def plain_measures(words: Sequence[Token]) -> list[Token]:
    """The words with the measures among them in figures; a number word counts only with a unit behind it."""
    if not any(_may_be_said(token) for token in words):
        return list(words)
    return list(_in_figures(words))


def _may_be_said(token: Token) -> bool:
    text = token.text.lower()
    return token.kind == "word" and (
        text in NUMBER_WORDS
        or text in _PARTS_OF_MM
        or text in ("a", "an", "half", "quarter", "and")
        or _VULGAR.fullmatch(text) is not None
    )


def _in_figures(words: Sequence[Token]) -> Iterator[Token]:
    place = 0
    words = _tens_and_ones(words)
    said = [token.text.lower().rstrip(".,") if token.kind == "word" else "" for token in words]
    while place < len(words):
        token = words[place]
        phrase = next((p for p in _PHRASES if said[place : place + len(p[0])] == list(p[0])), None)
        number = NUMBER_WORDS.get(said[place])
        behind = said[place + 1] if place + 1 < len(words) else ""
        tenths = _PARTS_OF_MM.get(behind) if number or said[place].isdecimal() or said[place] == "a" else None
        half = (said[place].isdecimal() or number) and said[place + 1 : place + 4] == ["and", "a", "half"]
        vulgar = _VULGAR.fullmatch(token.text) if token.kind == "word" else None
        if phrase is not None:
            yield Token(phrase[1], token.start, words[place + len(phrase[0]) - 1].end)
            place += len(phrase[0])
        elif half:
            yield Token(f"{number or token.text}.5", token.start, words[place + 3].end)
            place += 4
        elif tenths is not None:
            count = number or (1 if said[place] == "a" else int(said[place]))
            of_mm = next((n for n in (3, 2) if said[place + 2 : place + 2 + n] in _OF_MM), 0)
            of_mm = of_mm or int(said[place + 2 : place + 3] in (["mm"], ["millimetre"], ["millimeter"]))
            yield Token(f"{count * tenths:g}mm", token.start, words[place + 1 + of_mm].end)
            place += 2 + of_mm
        elif vulgar is not None and (not vulgar[3] or unit_named(vulgar[3])):
            yield Token(f"{vulgar[1]}{in_decimals(vulgar[2])}{vulgar[3]}", token.start, token.end)
            place += 1
        elif number is not None and (unit_named(behind) or behind == "turns"):
            yield Token(str(number), token.start, token.end)
            place += 1
        else:
            yield token
            place += 1


def _tens_and_ones(words: Sequence[Token]) -> list[Token]:
    """The words with "forty five" as "forty-five"."""
    found: list[Token] = []
    for token in words:
        both = f"{found[-1].text}-{token.text}" if found else ""
        if token.kind == "word" and both.lower().rstrip(".,") in NUMBER_WORDS:
            found[-1] = Token(both, found[-1].start, token.end)
        else:
            found.append(token)
    return found


def dozens_at(words: Sequence[Token], place: int) -> tuple[Token, int] | None:
    """The number of "a dozen" or "half a dozen" at `place` in figures, and how many words it takes."""
    for said, number in ((("half", "a", "dozen"), "6"), (("a", "dozen"), "12"), (("dozen",), "12")):
        group = words[place : place + len(said)]
        if [word_at(words, place + n) for n in range(len(said))] == list(said):
            return Token(number, group[0].start, group[-1].end), len(said)
    return None


_DAYS = {"day": 1, "week": 7, "month": 30.44, "year": 365.25}


def days_after(words: Sequence[Token]) -> list[Token]:
    """The words with "after three weeks" in days, and "worn out" as one word."""
    found: list[Token] = []
    said = [token.text.lower().rstrip(".,") if token.kind == "word" else "" for token in words]
    place = 0
    while place < len(words):
        behind = said[place + 1 : place + 3]
        if said[place] == "worn" and behind[:1] == ["out"]:
            found.append(Token("worn", words[place].start, words[place + 1].end))
            place += 2
        elif said[place] == "after" and len(behind) == 2 and (days := _days(*behind)) is not None:
            found += [words[place], Token(f"{days}", words[place + 1].start, words[place + 2].end)]
            place += 3
        else:
            found.append(words[place])
            place += 1
    return found


def _days(count: str, unit: str) -> int | None:
    each = _DAYS.get(unit.removesuffix("s"))
    number = 1 if count in ("a", "an") else NUMBER_WORDS.get(count, int(count) if count.isdecimal() else None)
    return None if each is None or number is None or number > 10_000 else round(each * number)
