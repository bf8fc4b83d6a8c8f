"""`reedkin habits`: which habits go with longer and shorter lives."""

from __future__ import annotations

import argparse

from reedkin.answers.habits.question import HabitsQuestion
from reedkin.cli.asking import ask, tell
from reedkin.cli.context import Context
from reedkin.cli.options import add_clock, add_json


def arguments(parser: argparse.ArgumentParser) -> None:
    add_clock(parser)
    add_json(parser)


def run(args: argparse.Namespace, context: Context) -> int:
    return tell(ask(context, HabitsQuestion(args.clock), "Asking the log"), args.json)
