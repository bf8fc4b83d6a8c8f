"""`reedkin people`: who has which reeds, what came back and why, whose need replacing."""

from __future__ import annotations

import argparse

from reedkin.cli.asking import ask, tell
from reedkin.cli.context import Context
from reedkin.cli.options import add_json
from reedkin.errors import InputError


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("name", metavar="PERSON", nargs="?", help="of whom all is told; or a part of the name")
    add_json(parser, "contract.others:PeopleJson")


def run(args: argparse.Namespace, context: Context) -> int:
    from reedkin.answers.people.question import PeopleQuestion

    found = ask(context, PeopleQuestion(args.name))
    if args.name is not None and not found.people:
        raise InputError(f"Nobody called {args.name} ordered or has a reed. Everybody: reedkin people")
    return tell(found, args.json)
