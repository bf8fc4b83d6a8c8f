"""`reedkin yield`: how many blanks come good, where the others are lost, what a good one takes and costs."""

from __future__ import annotations

import argparse

from reedkin.answers.yields.yields import BY
from reedkin.cli.asking import ask, tell
from reedkin.cli.context import Context
from reedkin.cli.options import add_instrument, add_json, instrument_meant


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--by", choices=BY, default="instrument", help="in groups by it")
    add_instrument(parser, "else all")
    add_json(parser, "contract.making:YieldsJson")


def run(args: argparse.Namespace, context: Context) -> int:
    from reedkin.answers.yields.question import YieldsQuestion

    return tell(ask(context, YieldsQuestion(args.by, instrument_meant(args.instrument))), args.json)
