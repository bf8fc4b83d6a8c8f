"""`reedkin cane`: the lots of cane, what is left of them, and what became of every piece."""

from __future__ import annotations

import argparse
from collections.abc import Sequence

from reedkin.answers.cane.question import Cane, CaneQuestion
from reedkin.bench.supplies import Lot
from reedkin.cli.asking import ask, tell
from reedkin.cli.context import Context, show_text
from reedkin.cli.options import add_json
from reedkin.domain.figures import tag_list
from reedkin.errors import InputError


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("lot", metavar="LOT", nargs="?", help="one lot, with the reeds tied from it; else all")
    parser.add_argument("--ends", action="store_true", help="what ended their reeds, and how long they lasted")
    add_json(parser, "contract.making:CaneJson")


def run(args: argparse.Namespace, context: Context) -> int:
    cane = ask(context, CaneQuestion(args.ends))
    if args.lot is not None:
        cane = Cane((_named(cane.lots, args.lot),), cane.ends)
    tell(cane, args.json)
    if args.lot is not None and not args.json:
        fates = cane.lots[0].fates.items()
        show_text(f"  {fate}: {tag_list(reed.label for reed in reeds)}" for fate, reeds in fates if reeds)
    return 0


def _named(found: Sequence[Lot], name: str) -> Lot:
    lot = next((lot for lot in found if lot.name.casefold() == name.casefold()), None)
    if lot is None:
        names = f"Noted are: {', '.join(lot.name for lot in found)}" if found else "No cane is noted."
        raise InputError(f"There is no lot {name}. {names}")
    return lot
