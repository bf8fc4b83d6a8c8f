"""`reedkin orders`: reeds for others: what is asked for and due, which went where, and which came back."""

from __future__ import annotations

import argparse

from reedkin.bench.orders import (
    delivery_as_dict,
    order_as_dict,
    orders,
    orders_text,
    with_others,
    with_others_text,
)
from reedkin.cli.context import Context, show_json, show_text
from reedkin.cli.options import add_json


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--all", action="store_true", help="those that are done too")
    add_json(parser)


def run(args: argparse.Namespace, context: Context) -> int:
    with context.reading() as log:
        every, lent = orders(log.bench), with_others(log.bench)
    found = [order for order in every if args.all or order.open]
    if args.json:
        show_json({"orders": [order_as_dict(o) for o in found], "lent": [delivery_as_dict(d) for d in lent]})
        return 0
    now = context.clock.now()
    lines = orders_text(found, now.date()) if found or not every else ["No order is open. All: reedkin orders --all"]
    show_text([*lines, *(with_others_text(lent, now) if lent else ())])
    return 0
