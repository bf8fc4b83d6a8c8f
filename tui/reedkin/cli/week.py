"""`reedkin week`: what was made, played and retired in a week, what runs low and what is due."""

from __future__ import annotations

import argparse

from reedkin.cli.context import Context, show_json, show_text
from reedkin.cli.options import add_json
from reedkin.grammar.when import parse_when


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--ending", metavar="DATE", default="today", help="its last day: sunday, '8 March'; else today")
    add_json(parser)


def run(args: argparse.Namespace, context: Context) -> int:
    from reedkin.answers.week.review import review, review_as_dict, review_text

    last = parse_when(args.ending, context.clock).at.date()
    with context.reading() as log:
        found = review(log.bench, last)
    if args.json:
        show_json(review_as_dict(found))
        return 0
    show_text(review_text(found, context.clock.now()))
    return 0
