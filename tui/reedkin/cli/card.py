"""`reedkin card`: the card that goes with a reed handed over, to print."""

from __future__ import annotations

import argparse

from reedkin.answers.card.care import care_card
from reedkin.cli.context import Context, say, show_json, show_text
from reedkin.cli.options import add_json, add_tag, reed_meant


def arguments(parser: argparse.ArgumentParser) -> None:
    add_tag(parser)
    add_json(parser)


def run(args: argparse.Namespace, context: Context) -> int:
    with context.reading() as log:
        reed = reed_meant(args.tag, log.bench)
        lines = care_card(reed, log.bench)
    if reed.now.cause is not None:
        say(f"{reed.label} is retired ({reed.now.cause}): is this the reed that goes out?")
    if args.json:
        show_json({"tag": reed.label, "instrument": reed.instrument, "card": lines})
        return 0
    show_text(lines)
    return 0
