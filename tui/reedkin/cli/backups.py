"""`reedkin backups`: the copies of the log, and where they are."""

from __future__ import annotations

import argparse

from reedkin.cli.context import Context, show, show_json
from reedkin.cli.table import table
from reedkin.domain.describe import plural
from reedkin.errors import LogError
from reedkin.store.backups import Backup, backups_of, contents, folder_of

_HEADINGS = ("name", "made", "size", "events", "")
_RIGHT = (2, 3)


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--json", action="store_true", help="as JSON")


def run(args: argparse.Namespace, context: Context) -> int:
    found = backups_of(context.path)
    held = [_held(backup) for backup in found]
    if args.json:
        rows = [
            {"name": b.name, "made": b.made.isoformat(), "bytes": b.size, "events": events, "path": str(b.path),
             "fault": fault or None}
            for b, (events, fault) in zip(found, held, strict=True)
        ]  # fmt: skip
        show_json({"folder": str(folder_of(context.path)), "backups": rows})
        return 0
    rows = [
        (b.name, f"{b.made:%a %d %b %Y %H:%M}", _size(b.size), "–" if events is None else str(events), fault or "sound")
        for b, (events, fault) in zip(found, held, strict=True)
    ]
    for line in table(_HEADINGS, rows, _RIGHT) if rows else ():
        show(line)
    show(f"{plural(len(found), 'backup')} in {folder_of(context.path)}")
    show("To put one back: reedkin restore NAME" if found else "One is made when the program opens or ends.")
    return 0


def _held(backup: Backup) -> tuple[int | None, str]:
    """How many events it holds, and what is wrong with it."""
    try:
        held = contents(backup)
    except LogError:
        return None, "cannot be read"
    return held.events, "" if held.sound else plural(len(held.faults), "fault")


def _size(size: int) -> str:
    return f"{size / 1e6:.1f} MB" if size >= 1e6 else f"{max(1, round(size / 1e3))} kB"
