"""`reedkin stock`: the living reeds."""

from __future__ import annotations

import argparse

from reedkin.cli.asking import ask, tell
from reedkin.cli.context import Context
from reedkin.cli.options import add_json


def arguments(parser: argparse.ArgumentParser) -> None:
    add_json(parser, "contract.reeds:StockJson")


def run(args: argparse.Namespace, context: Context) -> int:
    from reedkin.answers.stock.question import StockQuestion

    return tell(ask(context, StockQuestion()), args.json, folded=False)
