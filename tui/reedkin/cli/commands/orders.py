"""`reedkin orders`: reeds for others: what is asked for and due, which went where, and which came back."""

from __future__ import annotations

import argparse

from reedkin.answers.orders.question import OrdersQuestion
from reedkin.bench.accounts import owed_text
from reedkin.cli.asking import ask, tell
from reedkin.cli.context import Context, show_text
from reedkin.cli.options import add_json


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--all", action="store_true", help="those that are done too, and loans that came back")
    add_json(parser, "contract.others:OrdersJson")


def run(args: argparse.Namespace, context: Context) -> int:
    every = ask(context, OrdersQuestion())
    found = every if args.all else every.of_today()
    if args.json or found.orders or owed_text(every.accounts) or not every.orders:
        return tell(found, args.json)
    show_text(["No order is open. All: reedkin orders --all", *(found.lent_lines() if found.lent else ())])
    return 0
