"""`reedkin week`: what was made, played and retired in the last seven days, or in others; what runs low and is due."""

from __future__ import annotations

import argparse

from reedkin.answers.question import Question, Told
from reedkin.cli.asking import ask, tell
from reedkin.cli.context import Context, show
from reedkin.cli.options import add_days, add_file, add_json, days_meant, written
from reedkin.domain.periods import PERIODS


def arguments(parser: argparse.ArgumentParser) -> None:
    add_days(parser)
    parser.add_argument("--ending", dest="last", help=argparse.SUPPRESS)  # as --to was called before
    parser.add_argument("--by", choices=PERIODS, help="this year or season up to today, beside the one before")
    add_file(parser, ".html a page to print, .svg a picture, else text")
    add_json(parser, "contract.others:WeekJson")


def run(args: argparse.Namespace, context: Context) -> int:
    found = ask(context, _question(args, context))
    if args.file is None:
        return tell(found, args.json)
    from reedkin.screens.parts.keeping import as_file

    title, *lines = found.lines()
    show(written(args.file, lambda suffix: as_file(suffix, title, lines, [])))
    return 0


def _question(args: argparse.Namespace, context: Context) -> Question[Told]:
    """What is asked: a year or season beside another, or the days that are meant."""
    from reedkin.answers.week.question import WeekQuestion

    if args.by is not None:
        from reedkin.answers.years.question import YearsQuestion

        return YearsQuestion(args.by, context.clock.now().date())
    first, last = days_meant(args, context.clock)
    last = last or context.clock.now().date()
    return WeekQuestion(last) if first is None else WeekQuestion(last, (last - first).days + 1)
