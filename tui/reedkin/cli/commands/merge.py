"""`reedkin merge`: take in what another log of the same maker holds; what does not go together is told, each with the
commands that settle it."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path

from reedkin.cli.context import Context, back_up, say, show
from reedkin.cli.options import add_seen
from reedkin.store.log import Log
from reedkin.store.merging.conflicts.settling import Conflict
from reedkin.store.merging.uniting import refuse_same, unite


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("other", metavar="OTHER", type=Path, help="the other log; it is only read")
    add_seen(parser)


def run(args: argparse.Namespace, context: Context) -> int:
    refuse_same(args.other, context.path)
    with Log(args.other, context.clock, read_only=True) as theirs, context.writing(args.seen) as ours:
        done = unite(ours, theirs, args.seen)
        back_up(ours, much=True)
    for line in done.lines():
        show(line)
    tell_conflicts(done.conflicts)
    return 0


def tell_conflicts(found: Sequence[Conflict]) -> None:
    """Each conflict, with the commands that settle it."""
    for conflict in found:
        say(conflict.message)
        for way in conflict.ways:
            say(f"    {way.words}: {way.command}")
