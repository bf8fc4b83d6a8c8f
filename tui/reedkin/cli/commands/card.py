"""`reedkin card`: the card that goes with a reed handed over, or those of several, to print."""

from __future__ import annotations

import argparse

from reedkin.answers.card.question import CardQuestion, Cards
from reedkin.answers.question import Asked
from reedkin.cli.asking import tell
from reedkin.cli.context import Context, say, show
from reedkin.cli.options import add_file, add_json, reeds_meant, written
from reedkin.study.ticks import no_tick


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("tags", metavar="TAG", nargs="+", help="the reed, or several: 12, 12 14, 11-20")
    add_file(parser, ".html a page to print, else text")
    add_json(parser, "contract.reeds:CardJson", "contract.reeds:CardsJson")


def run(args: argparse.Namespace, context: Context) -> int:
    with context.reading() as log:
        asked = Asked(log.bench)
        reeds = reeds_meant(args.tags, log.bench)
        cards = Cards(tuple(CardQuestion(reed.id).answer(asked, no_tick) for reed in reeds))
    for reed in reeds:
        if reed.now.cause is not None:
            say(f"{reed.label} is retired ({reed.now.cause}): is this the reed that goes out?")
    if args.file is not None:
        from reedkin.screens.parts.printing import cards_as_file

        show(written(args.file, lambda suffix: cards_as_file(suffix, [one.lines() for one in cards.cards])))
        return 0
    return tell(cards.cards[0] if len(cards.cards) == 1 else cards, args.json)
