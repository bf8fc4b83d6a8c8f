"""`reedkin lifespans`: how long the reeds last."""

from __future__ import annotations

import argparse
from functools import partial
from typing import TYPE_CHECKING

from reedkin.answers.lives.question import LivesQuestion
from reedkin.cli.asking import ask, tell
from reedkin.cli.context import Context
from reedkin.cli.drawing import Picture
from reedkin.cli.options import add_chart, add_clock, add_json
from reedkin.domain.periods import PERIODS

if TYPE_CHECKING:
    from reedkin.answers.lives.lifespans import Lifespans
    from reedkin.charts.canvas import Drawing


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--by", metavar="HABIT", default="instrument", help="in groups by it: lot, shape, year, season")
    add_clock(parser)
    add_chart(parser)
    add_json(parser, "contract.lives:LifespansJson")


def run(args: argparse.Namespace, context: Context) -> int:
    from reedkin.study.habits import habit_named

    by = args.by if args.by in PERIODS else habit_named(args.by).name  # a slip is told before the log is read
    question = LivesQuestion(by, args.clock)
    lives = ask(context, question)
    shows = f"How many of a hundred reeds still serve, from left to right after more {args.clock} in use:"
    picture = Picture(shows, partial(_chart, lives.report)) if lives.report.groups else None
    return tell(lives, args.json, picture, chart=context.charted(args.chart))


def _chart(report: Lifespans, width: int, height: int) -> Drawing:
    from reedkin.answers.lives.words import UNIT
    from reedkin.charts.groups import as_curve
    from reedkin.charts.survival import survival_chart

    return survival_chart([as_curve(group) for group in report.groups], width, height, UNIT[report.clock])
