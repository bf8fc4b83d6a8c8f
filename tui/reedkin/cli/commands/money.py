"""`reedkin money`: what came in and went out by month and year, and what is owed."""

from __future__ import annotations

import argparse

from reedkin.cli.asking import ask, tell
from reedkin.cli.context import Context
from reedkin.cli.options import add_json


def arguments(parser: argparse.ArgumentParser) -> None:
    add_json(parser, "contract.others:MoneyJson")


def run(args: argparse.Namespace, context: Context) -> int:
    from reedkin.answers.money.question import MoneyQuestion

    return tell(ask(context, MoneyQuestion()), args.json)
