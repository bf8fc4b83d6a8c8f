"""Splitting an entry line into words that know where they stand in it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from reedkin.domain.characters import looks_like, plain_word

_PIECE = re.compile(
    r"""\s*(?:(;)|(@)|"([^"\\]*(?:\\.[^"\\]*)*)(?:(")|\\?\Z)"""
    r"""|(?<!\S)[“„«]([^“”»]*)(?:([“”»])(?=\s*(?:[;@]|\Z))|\Z)"""
    r"""|([^\s;@"]*\d"(?=[\s;@]|\Z)|[^\s;@"]+))""",
    re.DOTALL,
)
"""A mark right behind a number (1/64") is inches, unless something follows it at once (45"buzzes"). The quotation marks
of phones and of other languages hold a note as well, where nothing more is said behind it."""
_LONGEST_CITED = 30
LONGEST_WORD = 30
"""A longer one is a key that was held down."""
NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
_ESCAPED = {"n": "\n", "t": "\t", "r": "\r"}


@dataclass(frozen=True, slots=True)
class Token:
    """A word, a quoted note, a `;` or an `@`, from `start` to `end` in the line. An open quote lacks its end."""

    text: str
    start: int
    end: int
    kind: Literal["word", "quote", "semicolon", "at"] = "word"
    open: bool = False
    offer: bool = False


@dataclass(frozen=True, slots=True)
class Problem:
    """Something wrong (`impossible`) or unusual (`odd`) with the part of a line from `start` to `end`.

    `open` says that the line ends there, so that the word may not be finished yet; `half_typed`, that a known word goes
    on from it, so that nothing is said before Enter; `offer`, that the words would be kept as a note, which somebody
    has to agree to.
    """

    start: int
    end: int
    message: str
    severity: Literal["impossible", "odd"] = "impossible"
    open: bool = False
    offer: bool = False
    half_typed: bool = False


def tokens(line: str) -> list[Token]:
    """The tokens of a line. Never fails: whatever is not a mark is a word."""
    found, place = [], 0
    seen = looks_like(line)
    while match := _PIECE.match(seen, place):
        place = match.end()
        semicolon, at, quote, close, curled, closed, word = match.groups()
        start = match.start(match.lastindex or 0)
        if semicolon:
            found.append(Token(";", start, place, "semicolon"))
        elif at:
            found.append(Token("@", start, place, "at"))
        elif word is not None:
            if text := plain_word(word):
                found.append(Token(text, start, place))
        elif curled is not None:
            text = line[match.start(5) : match.end(5)]
            found.append(Token(text, match.start(5) - 1, place, "quote", open=not closed))
        else:
            quote = line[match.start(3) : match.end(3)]
            text = re.sub(r"\\(.)", lambda m: _ESCAPED.get(m[1], m[1]), quote, flags=re.DOTALL)
            found.append(Token(text, match.start(3) - 1, place, "quote", open=not close))
    return found


def word_at(words: Sequence[Token], place: int) -> str:
    """The word at a place, in lower case; empty where there is none."""
    return words[place].text.lower() if 0 <= place < len(words) and words[place].kind == "word" else ""


_ABBREVIATED = 3
"""Letters of a word whose stop does not belong to it any more: "Jr." and "Dr." have fewer, "Ann." has not."""


def without_end(word: Token) -> str:
    """The text of a word without the comma, the colon or the end of the sentence behind it."""
    if word.kind != "word":
        return word.text
    text = word.text.rstrip(",:;!")
    letters = sum(letter.isalpha() for letter in text)
    shortened = text.endswith(".") and 0 < letters < _ABBREVIATED and not any(c.isdigit() for c in text)
    return (text if shortened else text.rstrip(".,:;!")) or word.text


def said_from(words: Sequence[Token], start: int) -> list[str]:
    """The words from `start` on, in lower case and without the stops behind them."""
    return [word_at(words, place).rstrip(".,") for place in range(start, len(words))]


def cited(text: str) -> str:
    """A word as a message names it: a very long one (a key that was held down) would push the rest out of sight."""
    return text if len(text) <= _LONGEST_CITED else f"{text[: _LONGEST_CITED - 1]}…"


def quoted(text: str) -> str:
    """`text` as a quoted note that `tokens` reads back to the same."""
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    for letter, char in _ESCAPED.items():
        escaped = escaped.replace(char, f"\\{letter}")
    return f'"{escaped}"'


def segments(found: list[Token]) -> list[list[Token]]:
    """The tokens between the semicolons; empty ones are left out."""
    parts: list[list[Token]] = [[]]
    for token in found:
        if token.kind == "semicolon":
            parts.append([])
        else:
            parts[-1].append(token)
    return [part for part in parts if part]


def decimal(text: str) -> float:
    """A number with a point or a comma. Raises ValueError."""
    return float(text.replace(",", "."))
