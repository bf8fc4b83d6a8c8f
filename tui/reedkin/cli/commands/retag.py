"""`reedkin retag`: a reed bears another tag from now on."""

from __future__ import annotations

import argparse

from reedkin.bench.correcting import Corrector
from reedkin.cli.context import Context, back_up, show
from reedkin.cli.options import add_seen, reed_meant
from reedkin.errors import InputError
from reedkin.grammar.correcting.corrections import plan_tag


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("tag", metavar="TAG", help="which reed, such as 12, or 12/2: the second that bore it")
    parser.add_argument("new", metavar="NEW", help="the tag that it bears instead")
    add_seen(parser)


def run(args: argparse.Namespace, context: Context) -> int:
    context.must_exist()
    with context.writing(args.seen) as log:
        reed = reed_meant(args.tag, log.bench)
        before = reed.label
        plan = plan_tag(Corrector(log.bench, log.uids), reed, args.new)
        if plan.errors:
            raise InputError("\n".join(plan.errors))
        log.write(plan.records)
        back_up(log, much=True)
        show(f"{before} is called {log.bench.reed(reed.id).label} from now on.")
    return 0
