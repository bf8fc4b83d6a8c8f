"""How many columns of a terminal a text takes, and making it take a given number."""

from __future__ import annotations

import unicodedata

_JAMO = range(0x1160, 0x1200)
"""Vowels and final consonants of Hangul: they join the syllable before them."""


def columns(text: str) -> int:
    """The columns that a text without control characters takes: 2 for a wide character (Unicode Standard Annex 11),
    none for one that joins the character before it, 1 for any other."""
    return len(text) if text.isascii() else sum(map(_width, text))


def _width(char: str) -> int:
    if unicodedata.category(char) in ("Mn", "Me", "Mc", "Cf") or ord(char) in _JAMO:
        return 0
    return 2 if unicodedata.east_asian_width(char) in "WF" else 1


def cut(text: str, width: int, mark: str = "…") -> str:
    """`text` if it takes at most `width` columns, else its beginning with `mark` at its end."""
    if columns(text) <= width:
        return text
    room = width - columns(mark)
    if room < 0:
        return ""
    kept = 0
    for place, char in enumerate(text):
        kept += _width(char)
        if kept > room:
            return text[:place] + mark
    return text


def fit(text: str, width: int, align: str = "<") -> str:
    """`text` in exactly `width` columns: cut, or filled with spaces; `align` is <, ^ or >."""
    text = cut(text, width)
    space = width - columns(text)
    before = {"<": 0, "^": space // 2, ">": space}[align]
    return " " * before + text + " " * (space - before)
