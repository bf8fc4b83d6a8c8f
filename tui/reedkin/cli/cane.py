"""`reedkin cane`: the lots of cane, what is left of them, and what became of every piece."""

from __future__ import annotations

import argparse

from reedkin.bench.supplies import Lot, lot_as_dict, lots, lots_text
from reedkin.cli.context import Context, show_json, show_text
from reedkin.cli.options import add_json
from reedkin.domain.describe import tag_list
from reedkin.errors import InputError


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("lot", metavar="LOT", nargs="?", help="one lot, with the reeds tied from it; else all")
    add_json(parser)


def run(args: argparse.Namespace, context: Context) -> int:
    with context.reading() as log:
        found = lots(log.bench)
    if args.lot is not None:
        found = [_named(found, args.lot)]
    if args.json:
        show_json({"lots": [lot_as_dict(lot) for lot in found]})
        return 0
    show_text(lots_text(found))
    if args.lot is not None:
        fates = found[0].fates.items()
        show_text(f"  {fate}: {tag_list(reed.label for reed in reeds)}" for fate, reeds in fates if reeds)
    return 0


def _named(found: list[Lot], name: str) -> Lot:
    lot = next((lot for lot in found if lot.name.casefold() == name.casefold()), None)
    if lot is None:
        names = f"Noted are: {', '.join(lot.name for lot in found)}" if found else "No cane is noted."
        raise InputError(f"There is no lot {name}. {names}")
    return lot
