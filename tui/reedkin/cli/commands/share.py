"""`reedkin share`: a file of what a circle of makers needs of this log, and nothing more."""

from __future__ import annotations

import argparse
from pathlib import Path

from reedkin.answers.circle.share_question import ShareQuestion
from reedkin.cli.asked import agreed, can_ask
from reedkin.cli.asking import ask, tell
from reedkin.cli.context import Context, say, show
from reedkin.cli.options import add_json
from reedkin.errors import InputError


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", type=Path, help="where to write it, such as circle.json")
    parser.add_argument("--yes", action="store_true", help="write it without a question, as a script does")
    parser.add_argument("--force", action="store_true", help="replace FILE if it is there, such as your last one")
    add_json(parser, "store.circle.shares:Share", said="only show what would be written, every figure of it")
    parser.epilog = "The others give it to: reedkin habits --with FILE"


def run(args: argparse.Namespace, context: Context) -> int:
    from reedkin.store.circle.shares import write_share

    if not args.json:
        context.may_write(args.file, args.force)
    giving = ask(context, ShareQuestion(), "Asking the log")
    tell(giving, args.json)
    if args.json:
        return 0
    if not args.yes and not _agreed(args.file):
        say("Nothing is written.")
        return 1
    write_share(args.file, giving.share)
    show(f"Written to {args.file}")
    return 0


def _agreed(file: Path) -> bool:
    if not can_ask():
        raise InputError("Nothing is written, since nobody can be asked here. Look at the above, then add --yes.")
    return agreed(f"Write it to {file}?")
