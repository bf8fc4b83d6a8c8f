"""`reedkin restore`: put a backup in the place of the log."""

from __future__ import annotations

import argparse
from pathlib import Path

from reedkin.cli.context import Context, show
from reedkin.domain.describe import plural
from reedkin.store import lock
from reedkin.store.restoring import choose, copy_out, restore


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "name", metavar="NAME", nargs="?", help="which one, such as 2026-11-25 (else the latest); see: reedkin backups"
    )
    parser.add_argument("--to", metavar="FILE", type=Path, help="write it to a new file, and leave the log as it is")
    parser.add_argument("--seen", action="store_true", help="although it is damaged: the damage was seen")


def run(args: argparse.Namespace, context: Context) -> int:
    backup = choose(context.path, args.name)
    if args.to is not None:
        done = copy_out(backup, args.to, args.seen)
    else:
        done = restore(context.path, backup, context.clock.now(), args.seen, wait=lock.PATIENCE)
    show(f"The backup of {backup.made:%a %d %b %Y %H:%M} ({plural(done.events, 'event')}) is now in {done.log}")
    if done.aside is not None:
        show(f"The log that was there is kept in {done.aside}")
    return 0
