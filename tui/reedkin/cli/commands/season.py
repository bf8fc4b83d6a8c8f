"""`reedkin season`: every engagement to come, the chance of enough reeds for it, and what to tie by when."""

from __future__ import annotations

import argparse
from functools import partial
from pathlib import Path

from reedkin.cli.asking import ask, tell
from reedkin.cli.context import Context, show
from reedkin.cli.drawing import Picture
from reedkin.cli.options import add_json
from reedkin.errors import InputError
from reedkin.grammar.when.days import parse_day


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--until", metavar="DATE", help="the last day that counts (a year from now)")
    parser.add_argument("--reach", metavar="PERCENT", default="90", help="the chance that each is to reach (90)")
    parser.add_argument("--most", metavar="BLANKS", type=int, help="blanks tied in a week at most (as in your past)")
    parser.add_argument("--ics", metavar="FILE", type=Path, help="write what to tie into a calendar, too")
    add_json(parser, "contract.ahead:SeasonJson")


def run(args: argparse.Namespace, context: Context) -> int:
    from reedkin.answers.season.question import SeasonQuestion
    from reedkin.charts.season import season_drawing

    until = parse_day(args.until, context.clock) if args.until is not None else None
    question = SeasonQuestion(context.clock.now().date(), until, reach_of(args.reach), args.most)
    found = ask(context, question, "Reckoning the season")
    if args.ics is not None:
        from reedkin.store.calendars.writing import write_tyings

        days = [(one.by, one.instrument, one.blanks) for one in found.tie]
        path = write_tyings(args.ics, days, context.clock.now(), context.path)
        if not args.json:
            show(f"Written to {path}")
    shows = "Week by week from left to right: each instrument's good reeds, its engagements, and what to tie:"
    picture = Picture(shows, partial(season_drawing, found)) if found.stock else None
    return tell(found, args.json, picture, chart=context.charted(None))


def reach_of(text: str) -> float:
    """The share that a percentage is: "90", "90%", "0.9". Raises InputError."""
    try:
        value = float(text.strip().removesuffix("%").replace(",", "."))
    except ValueError:
        raise InputError(f"{text} is no percentage; write --reach 90") from None
    return value / 100 if value > 1 else value
