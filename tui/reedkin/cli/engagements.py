"""`reedkin engagements`: what the maker is to play, and how many reeds she wants for each."""

from __future__ import annotations

import argparse

from reedkin.answers.engagements.question import EngagementsQuestion
from reedkin.cli.asking import ask, tell
from reedkin.cli.context import Context, show
from reedkin.cli.options import add_json


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--all", action="store_true", help="those that are over, or were called off, too")
    add_json(parser)


def run(args: argparse.Namespace, context: Context) -> int:
    every = ask(context, EngagementsQuestion())
    found = every if args.all else every.to_come()
    if args.json or found.engagements:
        return tell(found, args.json, folded=False)
    show('None is to come. To enter one: reedkin add engage 12 March 19:30 eh 3 performance "second night"')
    return 0
