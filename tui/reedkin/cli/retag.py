"""`reedkin retag`: a reed bears another tag from now on."""

from __future__ import annotations

import argparse

from reedkin.bench.bench import TAGS_TABLE
from reedkin.cli.context import Context, back_up, show
from reedkin.cli.options import add_seen, reed_meant
from reedkin.domain.events import Statement
from reedkin.errors import InputError
from reedkin.grammar.tags import tag_problem


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("tag", metavar="TAG", help="which reed, such as 12, or 12/2: the second that bore it")
    parser.add_argument("new", metavar="NEW", help="the tag that it bears instead")
    add_seen(parser)


def run(args: argparse.Namespace, context: Context) -> int:
    context.must_exist()
    with context.writing(args.seen) as log:
        reed = reed_meant(args.tag, log.bench)
        if why := tag_problem(args.new):
            raise InputError(why)
        if not log.bench.tag_is_free(args.new):
            raise InputError(f"{args.new} is in use. Take another, such as {log.bench.next_tag()}")
        before, now, uid = reed.label, log.clock.now(), log.uids.new()
        log.write([Statement(uid, TAGS_TABLE, reed.id, now, now, uid, {"tag": args.new})])
        back_up(log)
        show(f"{before} is called {log.bench.reed(reed.id).label} from now on.")
    return 0
