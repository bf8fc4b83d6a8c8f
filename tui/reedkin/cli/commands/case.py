"""`reedkin case`: the reeds that can be played or nearly so, and which to take for an occasion."""

from __future__ import annotations

import argparse
from datetime import datetime, timedelta

from reedkin.cli.asking import ask, tell
from reedkin.cli.context import Context
from reedkin.cli.options import add_instrument, add_json, instrument_meant
from reedkin.domain.clock import Clock
from reedkin.domain.figures import date_words
from reedkin.errors import InputError
from reedkin.grammar.when.days import parse_day


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--for",
        dest="occasion",
        choices=("practice", "rehearsal", "performance"),
        help="in the order to take them for it",
    )
    parser.add_argument("--on", metavar="DATE", default="today", help="the day to play: tomorrow, friday, '12 March'")
    add_instrument(parser, "else all")
    add_json(parser, "contract.reeds:CaseJson")


def run(args: argparse.Namespace, context: Context) -> int:
    from reedkin.answers.case.question import CaseQuestion

    at, instrument = _at(args.on, context.clock), instrument_meant(args.instrument)
    return tell(ask(context, CaseQuestion(at, args.occasion, instrument)), args.json)


def _at(text: str, clock: Clock) -> datetime:
    """That day at this time of day. Raises InputError."""
    now, day = clock.now(), parse_day(text, clock)
    if day < now.date():
        raise InputError(f"{date_words(day)} is past; name today or a day to come")
    return now + timedelta(days=(day - now.date()).days)
