"""`reedkin card`: the card that goes with a reed handed over, to print."""

from __future__ import annotations

import argparse

from reedkin.answers.card.question import CardQuestion
from reedkin.cli.asking import ask_of_reed, tell
from reedkin.cli.context import Context, say, show
from reedkin.cli.options import add_file, add_json, add_tag, written


def arguments(parser: argparse.ArgumentParser) -> None:
    add_tag(parser)
    add_file(parser, ".html a page to print, else text")
    add_json(parser, "contract.reeds:CardJson")


def run(args: argparse.Namespace, context: Context) -> int:
    card = ask_of_reed(context, args.tag, CardQuestion)
    if card.reed.now.cause is not None:
        say(f"{card.reed.label} is retired ({card.reed.now.cause}): is this the reed that goes out?")
    if args.file is not None:
        from reedkin.screens.printing import cards_as_file

        show(written(args.file, lambda suffix: cards_as_file(suffix, [card.lines()])))
        return 0
    return tell(card, args.json)
