"""When something happened, where the line says it behind an @."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from reedkin.bench.bench import Bench
from reedkin.errors import InputError
from reedkin.grammar.when.days import TwoMeaningsError, When, no_moment, parse_when, together
from reedkin.grammar.words.tokens import Problem, Token

_LONGEST_WHEN = 8

Moment = tuple[When, int, int]
"""When something happened, and where that stands."""


def when_in(found: Sequence[Token], bench: Bench) -> tuple[When | None, list[Token], list[Problem]]:
    """The time that a line gives, the rest of its words, and what is wrong with it."""
    when: When | None = None
    rest: list[Token] = []
    problems: list[Problem] = []
    place = 0
    while place < len(found):
        token = found[place]
        place += 1
        if token.kind != "at":
            rest.append(token)
            continue
        words: list[Token] = []
        for follower in found[place : place + _LONGEST_WHEN]:
            if follower.kind != "word":
                break
            words.append(follower)
        said, count, two = _moment(words, bench)
        place += count or len(words)
        end = words[(count or len(words)) - 1].end if words else token.end
        if said is None:
            message = two or no_moment(" ".join(word.text for word in words))
            problems.append(Problem(token.start, end, message, open=place == len(found)))
        elif when not in (None, said) and together(when, said, bench.clock) is None:
            problems.append(Problem(token.start, end, "the time is given twice"))
        elif said.doubt:
            problems.append(Problem(token.start, end, said.doubt, "odd"))
        said = replace(said, span=(token.start, end)) if said is not None else None
        when = (together(when, said, bench.clock) if when is not None and said is not None else None) or when or said
    return when, rest, problems


def _moment(words: Sequence[Token], bench: Bench) -> tuple[When | None, int, str]:
    """The moment that the most words give, and how many they are; or why it could be two."""
    for count in range(len(words), 0, -1):
        try:
            return parse_when(" ".join(w.text for w in words[:count]), bench.clock), count, ""
        except TwoMeaningsError as two:
            return None, count, str(two)
        except InputError:
            continue
    return None, 0, ""
