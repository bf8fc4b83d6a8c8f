"""`reedkin case`: the reeds that can be played or nearly so, and which to take for an occasion."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from reedkin.bench.bench import Bench
from reedkin.cli.context import Context, show, show_json, show_text
from reedkin.cli.options import add_instrument, add_json, instrument_meant
from reedkin.domain.clock import Clock
from reedkin.domain.words import INSTRUMENTS
from reedkin.errors import InputError
from reedkin.grammar.when import parse_day

if TYPE_CHECKING:
    from reedkin.answers.case.case import InCase
    from reedkin.answers.case.choosing import Occasion, Suggestion


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--for",
        dest="occasion",
        choices=("practice", "rehearsal", "performance"),
        help="in the order to take them for it",
    )
    parser.add_argument("--on", metavar="DAY", default="today", help="the day to play: tomorrow, friday, '12 March'")
    add_instrument(parser, "else all")
    add_json(parser)


def run(args: argparse.Namespace, context: Context) -> int:
    from reedkin.answers.case.case import case, case_text, in_case_as_dict

    at, instrument = _at(args.on, context.clock), instrument_meant(args.instrument)
    with context.reading() as log:
        found = [one for one in case(log.bench) if instrument in (None, one.reed.instrument)]
        orders = _orders(log.bench, found, args.occasion, at) if args.occasion else []
    if args.json:
        document: dict[str, object] = {"reeds": [in_case_as_dict(one, at) for one in found]}
        if args.occasion:
            from reedkin.answers.case.choosing import suggestion_as_dict

            order = [suggestion_as_dict(one) for order in orders for one in order]
            document |= {"for": args.occasion, "order": order}
        show_json(document)
    elif args.occasion:
        _show(orders, args.occasion)
    else:
        show_text(case_text(found, at))
    return 0


def _orders(bench: Bench, found: Sequence[InCase], occasion: Occasion, at: datetime) -> list[list[Suggestion]]:
    """The order for each instrument that has reeds in service."""
    from reedkin.answers.case.choosing import choose_for

    orders = [choose_for(bench, found, occasion, at, instrument) for instrument in INSTRUMENTS]
    return [order for order in orders if order]


def _show(orders: Sequence[Sequence[Suggestion]], occasion: Occasion) -> None:
    from reedkin.answers.case.choosing import choosing_text

    for place, order in enumerate(orders or [[]]):
        if place:
            show()
        show_text(choosing_text(order, occasion))


def _at(text: str, clock: Clock) -> datetime:
    """That day at this time of day. Raises InputError."""
    now, day = clock.now(), parse_day(text, clock)
    if day < now.date():
        raise InputError(f"{day.day} {day:%b %Y} is past; name today or a day to come")
    return now + timedelta(days=(day - now.date()).days)
