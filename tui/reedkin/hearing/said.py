"""Where an entry line leaves what a reed says to the ear: `142 crow take3.wav`, `crow listen`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

from reedkin.grammar.words.tokens import Token, segments, tokens
from reedkin.grammar.words.verbs import BY_LETTER, BY_WORD, in_full, verbs_beginning

LISTEN = "listen"
"""What stands behind `crow` for the microphone."""


class ToHear(NamedTuple):
    """A clause `crow ...` of a line, from `start` to `end`, and the recording that it names; none for the
    microphone."""

    start: int
    end: int
    recording: str | None


def to_hear(line: str) -> list[ToHear]:
    """The clauses of a line that are to be heard, in their order."""
    return [found for segment in segments(tokens(line)) for found in _in_segment(segment)]


def listens(line: str) -> bool:
    """Whether a line asks the microphone."""
    return any(one.recording is None for one in to_hear(line))


def listened(line: str, entry: str) -> str:
    """The line with what the microphone heard in the first place where it is asked."""
    first = next(one for one in to_hear(line) if one.recording is None)
    return said_instead(line, [(first, entry)])


def said_instead(line: str, heard: Sequence[tuple[ToHear, str]]) -> str:
    """The line with what was heard in the places of these clauses."""
    for one, entry in reversed(heard):
        line = line[: one.start] + entry + line[one.end :]
    return line


def _in_segment(segment: Sequence[Token]) -> Iterator[ToHear]:
    """A note may speak of crows too: so the verb must be the first of its clause."""
    for crow, what in pairwise(segment):
        if crow.kind != "word":
            return
        if verbs_beginning(crow.text) == (BY_WORD["crow"],):
            if what.kind == "word" and what.text.lower() == LISTEN:
                yield ToHear(crow.start, what.end, None)
            elif what.kind in ("word", "quote") and not what.open and what.text.lower().endswith(".wav"):
                yield ToHear(crow.start, what.end, what.text)
            return
        if in_full(crow.text) or crow.text.lower() in BY_LETTER:
            return
