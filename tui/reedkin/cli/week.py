"""`reedkin week`: what was made, played and retired in a week, what runs low and what is due."""

from __future__ import annotations

import argparse

from reedkin.cli.asking import ask, tell
from reedkin.cli.context import Context
from reedkin.cli.options import add_json
from reedkin.domain.periods import PERIODS
from reedkin.grammar.when import parse_span, parse_when


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--ending", metavar="DATE", default="today", help="its last day: sunday, '8 March'; else today")
    parser.add_argument(
        "--days", metavar="SPAN", help="other days than seven: 30, october, 2026, '1 sep to 30 nov', 'last year'"
    )
    parser.add_argument("--by", choices=PERIODS, help="this year or season up to today, beside the one before")
    add_json(parser, "shapes.others:WeekJson")


def run(args: argparse.Namespace, context: Context) -> int:
    from reedkin.answers.week.question import WeekQuestion

    if args.by is not None:
        from reedkin.answers.years.question import YearsQuestion

        return tell(ask(context, YearsQuestion(args.by, context.clock.now().date())), args.json)
    last = parse_when(args.ending, context.clock).at.date()
    if args.days is None:
        return tell(ask(context, WeekQuestion(last)), args.json)
    first, last = parse_span(args.days, context.clock, last)
    return tell(ask(context, WeekQuestion(last, (last - first).days + 1)), args.json)
