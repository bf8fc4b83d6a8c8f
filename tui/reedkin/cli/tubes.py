"""`reedkin tubes`: which tubes are free, where the others are, and the reeds that each carried."""

from __future__ import annotations

import argparse

from reedkin.bench.supplies import tube_as_dict, tubes, tubes_text
from reedkin.cli.context import Context, show_json, show_text
from reedkin.cli.options import add_json


def arguments(parser: argparse.ArgumentParser) -> None:
    add_json(parser)


def run(args: argparse.Namespace, context: Context) -> int:
    with context.reading() as log:
        found = tubes(log.bench)
    if args.json:
        show_json({"tubes": [tube_as_dict(tube) for tube in found]})
        return 0
    show_text(tubes_text(found))
    return 0
