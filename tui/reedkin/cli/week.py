"""`reedkin week`: what was made, played and retired in a week, what runs low and what is due."""

from __future__ import annotations

import argparse

from reedkin.answers.question import Question, Told
from reedkin.cli.asking import ask, tell
from reedkin.cli.context import Context, show
from reedkin.cli.options import add_file, add_json, written
from reedkin.domain.periods import PERIODS
from reedkin.grammar.when import parse_span, parse_when


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--ending", metavar="DATE", default="today", help="its last day: sunday, '8 March'; else today")
    parser.add_argument(
        "--days", metavar="SPAN", help="other days than seven: 30, october, 2026, '1 sep to 30 nov', 'last year'"
    )
    parser.add_argument("--by", choices=PERIODS, help="this year or season up to today, beside the one before")
    add_file(parser, ".html a page to print, .svg a picture, else text")
    add_json(parser, "contract.others:WeekJson")


def run(args: argparse.Namespace, context: Context) -> int:
    found = ask(context, _question(args, context))
    if args.file is None:
        return tell(found, args.json)
    from reedkin.screens.keeping import as_file

    title, *lines = found.lines()
    show(written(args.file, lambda suffix: as_file(suffix, title, lines, [])))
    return 0


def _question(args: argparse.Namespace, context: Context) -> Question[Told]:
    """What is asked: a year or season beside another, or the days that are meant."""
    from reedkin.answers.week.question import WeekQuestion

    if args.by is not None:
        from reedkin.answers.years.question import YearsQuestion

        return YearsQuestion(args.by, context.clock.now().date())
    last = parse_when(args.ending, context.clock).at.date()
    if args.days is None:
        return WeekQuestion(last)
    first, last = parse_span(args.days, context.clock, last)
    return WeekQuestion(last, (last - first).days + 1)
