"""`reedkin find`: events, notes, names, lots and people that hold some words."""

from __future__ import annotations

import argparse

from reedkin.answers.diary.diary import diary_of, tokens
from reedkin.cli.commands.diary import show_diary
from reedkin.cli.context import Context
from reedkin.cli.options import add_json
from reedkin.errors import InputError


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "wanted", metavar="WORDS", nargs="+", help="every one must be there, at the beginning of a word"
    )
    add_json(parser, "contract.reeds:DiaryJson")


def run(args: argparse.Namespace, context: Context) -> int:
    words = " ".join(args.wanted)
    if not tokens(words):
        raise InputError("Which words? Write letters or numbers, such as: reedkin find buzzes")
    with context.reading() as log:
        diary = diary_of(log.bench).holding(words)
    show_diary(diary, args.json, f"Nothing holds {words}.")
    return 0
