"""How many columns of a terminal a text takes, and making it take a given number."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence
from functools import lru_cache

from reedkin.domain.literal import literal

TEXT_WIDTH = 80
"""Columns of plain text, which any terminal and any printer has."""

_JAMO = range(0x1160, 0x1200)
"""Vowels and final consonants of Hangul: they join the syllable before them."""


_MONTH = "Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec"
_WORD = re.compile(rf"\S*\d (?:mm|min|h(?: \d\d)?|awg|°C|{_MONTH})\b\S*|\S+")
"""What a line is not folded within: a word, a number with its unit, the day of a month."""


def columns(text: str) -> int:
    """The columns that a text without control characters takes: 2 for a wide character (Unicode Standard Annex 11),
    none for one that joins the character before it, 1 for any other."""
    return len(text) if text.isascii() else sum(map(_width, text))


@lru_cache
def _width(char: str) -> int:
    if unicodedata.category(char) in ("Mn", "Me", "Mc", "Cf") or ord(char) in _JAMO:
        return 0
    return 2 if unicodedata.east_asian_width(char) in "WF" else 1


def cut(text: str, width: int) -> str:
    """`text` if it takes at most `width` columns, else its beginning with … at its end: whole words of it, unless the
    last of them is so long that more than half of the place would be empty."""
    if columns(text) <= width:
        return text
    place, whole = _reach(text, width - 1), 0
    for word in _WORD.finditer(text):
        if word.end() > place:
            break
        whole = word.end()
    if columns(text[:whole]) * 2 >= width:
        place = len(text[:whole].rstrip(",;:"))
    return text[:place] + "…" if width > 0 else ""


def _reach(text: str, room: int) -> int:
    """How many characters from the beginning of a text take no more than `room` columns."""
    kept = 0
    for place, char in enumerate(text):
        kept += _width(char)
        if kept > room:
            return place
    return len(text)


def fit(text: str, width: int, align: str = "<") -> str:
    """`text` in exactly `width` columns: cut, or filled with spaces; `align` is <, ^ or >."""
    text = cut(text, width)
    space = width - columns(text)
    before = {"<": 0, "^": space // 2, ">": space}[align]
    return " " * before + text + " " * (space - before)


def beneath(rows: Sequence[Sequence[str]]) -> list[str]:
    """The lines of rows whose cells say themselves what they are, so that they can be read aloud; beneath each other
    for the eye. What no row has takes no room."""
    lines = [tuple(map(literal, row)) for row in rows]
    widths = [max(map(columns, column)) for column in zip(*lines, strict=True)]
    return ["  ".join(fit(cell, w) for cell, w in zip(line, widths, strict=True) if w).rstrip() for line in lines]


def fold(text: str, width: int = TEXT_WIDTH, hang: int = 2) -> list[str]:
    """`text` in lines of at most `width` columns, those after the first set in by `hang` more."""
    indent = " " * indent_of(text, width, hang)
    return [(indent if start else "") + text[start:end] for start, end in folds(text, width, hang)]


def fold_text(lines: Iterable[str], hang: int = 2) -> list[str]:
    """Plain text fit to show and to print: no line of it is too long, and nothing in it steers."""
    return [part for line in lines for part in fold(literal(line), hang=hang)]


def folds(text: str, width: int, hang: int = 2) -> list[tuple[int, int]]:
    """Where each line of a text that is folded begins and ends in it: between words, or in one that is longer than a
    line. A line has room for a character at least."""
    found: list[tuple[int, int]] = []
    width = max(width, 1)
    start, end, room = 0, 0, width
    narrow = width - indent_of(text, width, hang)
    for word in _WORD.finditer(text):
        if end > start and columns(text[start : word.end()]) > room:
            found.append((start, end))
            start, room = word.start(), narrow
        while columns(text[start : word.end()]) > room:
            end = start + max(_reach(text[start : word.end()], room), 1)
            found.append((start, end))
            start, room = end, narrow
        end = word.end()
    return [*found, (start, end)]


def indent_of(text: str, width: int, hang: int) -> int:
    """How far the lines after the first are set in; never so far that they have no room, be it for a wide character."""
    return max(min(len(text) - len(text.lstrip()) + hang, width // 2, width - 2), 0)
