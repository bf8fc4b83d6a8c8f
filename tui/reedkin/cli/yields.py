"""`reedkin yield`: how many blanks come good, where the others are lost, what a good one takes and costs."""

from __future__ import annotations

import argparse

from reedkin.cli.context import Context, show_json, show_text
from reedkin.cli.options import add_instrument, add_json, instrument_meant


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--by", choices=("instrument", "lot", "shape", "tube"), default="instrument", help="in groups by it"
    )
    add_instrument(parser, "else all")
    add_json(parser)


def run(args: argparse.Namespace, context: Context) -> int:
    from reedkin.answers.yields.costs import costs, costs_as_dict, costs_text
    from reedkin.answers.yields.yields import (
        lost_as_dict,
        where_lost,
        where_lost_text,
        yield_as_dict,
        yields,
        yields_text,
    )

    instrument = instrument_meant(args.instrument)
    with context.reading() as log:
        reeds = [reed for reed in log.bench.reeds() if instrument in (None, reed.instrument)]
        groups, lost = yields(reeds, args.by), where_lost(reeds)
        made = dict.fromkeys(reed.instrument for reed in reeds if not reed.void and not reed.joined)
        prices = [costs(log.bench, name) for name in made]
    if args.json:
        show_json(
            {
                "by": args.by,
                "groups": [yield_as_dict(one) for one in groups],
                "lost": [lost_as_dict(one) for one in lost],
                "costs": [costs_as_dict(one) for one in prices],
            }
        )
        return 0
    show_text(yields_text(groups, args.by))
    if groups:
        show_text(["", *where_lost_text(lost), "", *costs_text(prices)])
    return 0
