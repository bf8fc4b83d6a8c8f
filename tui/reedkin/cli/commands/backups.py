"""`reedkin backups`: the copies of the log, and where they are."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from reedkin.cli.context import Context, show, show_json
from reedkin.cli.options import add_json
from reedkin.domain import as_json
from reedkin.domain.figures import day_and_hour, plural
from reedkin.errors import LogError
from reedkin.store.backups.backups import Backup, backups_of, contents, folder_of

if TYPE_CHECKING:
    from reedkin.contract.log import BackupJson


def arguments(parser: argparse.ArgumentParser) -> None:
    add_json(parser, "contract.log:BackupsJson")


def run(args: argparse.Namespace, context: Context) -> int:
    folder = folder_of(context.path)
    held = [(backup, *_held(backup)) for backup in backups_of(context.path)]
    if args.json:
        show_json({"folder": str(folder), "backups": [_as_json(*one) for one in held]})
        return 0
    for one in held:
        show(_line(*one))
    show(f"{plural(len(held), 'backup')} in {folder}")
    show("To put one back: reedkin restore BACKUP" if held else "One is made when the program opens or ends.")
    return 0


def _line(backup: Backup, events: int | None, fault: str | None) -> str:
    """A backup as one says it: "2026-03-12T100700+0100: made Thu 12 Mar 2026 10:07, 34 events in 12 kB, sound"."""
    made = f"made {day_and_hour(backup.made)}"
    holds = _size(backup.size) if events is None else f"{plural(events, 'event')} in {_size(backup.size)}"
    return f"{backup.name}: {made}, {holds}, {fault or 'sound'}"


def _as_json(backup: Backup, events: int | None, fault: str | None) -> BackupJson:
    return {
        "name": backup.name,
        "made": as_json.moment(backup.made),
        "bytes": backup.size,
        "events": events,
        "path": str(backup.path),
        "fault": fault,
    }


def _held(backup: Backup) -> tuple[int | None, str | None]:
    """How many events it holds, and what is wrong with it."""
    try:
        held = contents(backup)
    except LogError:
        return None, "cannot be read"
    return held.events, None if held.sound else plural(len(held.faults), "fault")


def _size(size: int) -> str:
    return f"{size / 1e6:.1f} MB" if size >= 1e6 else f"{max(1, round(size / 1e3))} kB"
