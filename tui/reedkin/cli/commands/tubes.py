"""`reedkin tubes`: which tubes are free, where the others are, and the reeds that each carried."""

from __future__ import annotations

import argparse

from reedkin.answers.tubes.question import TubesQuestion
from reedkin.cli.asking import ask, tell
from reedkin.cli.context import Context
from reedkin.cli.options import add_json


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--ends", action="store_true", help="what ended their reeds, and how long they lasted")
    add_json(parser, "contract.making:TubesJson")


def run(args: argparse.Namespace, context: Context) -> int:
    return tell(ask(context, TubesQuestion(args.ends)), args.json)
