"""What a foreign keyboard, a phone or a spreadsheet puts in the place of plain characters: each is taken for what it
looks like."""

from __future__ import annotations

import re
import unicodedata

_WIDE, _TO_ASCII = range(0xFF01, 0xFF5F), 0xFEE0
"""The full-width forms of ASCII, and how far off it they are."""
_SAME = {"\u2010": "-", "\u2011": "-", "\u2044": "/", "\u2215": "/", "\u3000": " "}
"""Hyphens, strokes and a space that are others only by their codes."""
_UNSEEN = re.compile("[\u00ad\u200b\u200e\u200f\u202a-\u202e\u2060\u2066-\u2069\ufeff]")
_DASH = re.compile(r"[‒–—―−](?=[.,]?\d)")
_PRIME = re.compile(r"(?<=\d)[’‘´′]")
_DOUBLE_PRIME = re.compile(r"(?<=[\d½¼¾])[”“″]\Z")
VULGAR = "½¼¾⅓⅔⅛⅜⅝⅞"
"""Fractions that are one character."""


def looks_like(text: str) -> str:
    """`text` with full-width letters, digits of other scripts and the like as ASCII, one character for one, so that
    places in it stay where they are."""
    return text if text.isascii() else "".join(map(_plain, text))


def _plain(char: str) -> str:
    if ord(char) in _WIDE:
        return chr(ord(char) - _TO_ASCII)
    if char.isdecimal():
        return str(unicodedata.decimal(char))
    return _SAME.get(char, char)


def plain_word(word: str) -> str:
    """A word that `looks_like` was asked about, as one types it: accents composed, nothing in it that is not seen, and
    beside its digits plain dashes and marks for minutes and inches."""
    if word.isascii():
        return word
    word = unicodedata.normalize("NFC", _UNSEEN.sub("", word))
    return _DOUBLE_PRIME.sub('"', _PRIME.sub("'", _DASH.sub("-", word)))


def in_decimals(sign: str) -> str:
    """A fraction that is one character as decimals: "½" as ".5"."""
    return f"{unicodedata.numeric(sign):.4g}".removeprefix("0")


_IN_FIGURES = re.compile(rf"(\d*)[ \u2009\u202f]?([{VULGAR}])")
_LONGEST_VALUE = 40
"""Characters of a cell that is a value; a longer one is somebody's own words, and stays as it is."""


def plain_cell(cell: str) -> str:
    """The cell of a spreadsheet as one types it; numbers and days in plain figures, "7½" as "7.5"."""
    if cell.isascii():
        return cell
    cell = unicodedata.normalize("NFC", cell)
    if len(cell) > _LONGEST_VALUE or not any(map(str.isnumeric, cell)):
        return cell
    words = " ".join(map(plain_word, looks_like(cell).split()))
    return _IN_FIGURES.sub(lambda found: f"{found[1] or ''}{in_decimals(found[2])}", words)
