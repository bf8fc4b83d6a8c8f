"""What becomes of an entry line given to a command: refused, asked about, or recorded with its questions told."""

from __future__ import annotations

import argparse
from typing import NamedTuple

from reedkin.grammar.actions import Reading
from reedkin.grammar.words.tokens import Problem


class Fate(NamedTuple):
    """At most one of these holds anything; where none does, the line is recorded without a word."""

    refused: tuple[Problem, ...] = ()
    """Why it is not recorded."""
    asked: tuple[Problem, ...] = ()
    """What has to be answered first."""
    told: tuple[Problem, ...] = ()
    """What is told of it once it is recorded."""


def fate_of(reading: Reading, args: argparse.Namespace, can_ask: bool) -> Fate:
    """What becomes of a line. `--strict` refuses what is odd, `--yes` records it. Where nobody can answer it is
    recorded, since it can be taken back, but not words that would be kept as a note."""
    if reading.errors or not reading.questions or args.yes:
        return Fate(refused=reading.errors)
    if args.strict:
        return Fate(refused=reading.questions)
    if can_ask:
        return Fate(asked=reading.questions)
    offers = tuple(question for question in reading.questions if question.offer)
    return Fate(refused=offers) if offers else Fate(told=reading.questions)
