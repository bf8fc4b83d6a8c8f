"""`reedkin show`: a reed's lineage."""

from __future__ import annotations

import argparse

from reedkin.answers.reed.question import ReedQuestion
from reedkin.cli.asking import ask_of_reed, tell
from reedkin.cli.context import Context
from reedkin.cli.options import add_json, add_tag


def arguments(parser: argparse.ArgumentParser) -> None:
    add_tag(parser)
    add_json(parser, "shapes.reeds:ReedJson")


def run(args: argparse.Namespace, context: Context) -> int:
    return tell(ask_of_reed(context, args.tag, lambda reed: ReedQuestion(reed, left=True)), args.json)
