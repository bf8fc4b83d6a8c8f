"""`reedkin restore`: put a backup in the place of the log."""

from __future__ import annotations

import argparse
from contextlib import suppress
from datetime import datetime
from pathlib import Path

from reedkin.cli.asked import asked, can_ask
from reedkin.cli.commands.merge import tell_conflicts
from reedkin.cli.context import Context, back_up, say, show
from reedkin.domain.figures import day_and_hour, plural
from reedkin.errors import InputError, LogError, ReedkinError
from reedkin.grammar.preview import told
from reedkin.store.backups.restoring import Loss, choose, copy_out, loss, restore, verified
from reedkin.store.disk import lock
from reedkin.store.log import Log
from reedkin.store.merging.copies import copies_with_more
from reedkin.store.merging.uniting import unite

_TOLD = 3
"""Of the entries that would be lost, the latest that are told one by one."""


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "name",
        metavar="BACKUP",
        nargs="?",
        help="such as 2026-11-25; else the latest; see: reedkin backups",
    )
    parser.add_argument("--to", metavar="FILE", type=Path, help="write it to a new file, and leave the log as it is")
    parser.add_argument("--seen", action="store_true", help="although it is damaged: the damage was seen")
    parser.add_argument("--yes", action="store_true", help="although the log holds entries that the backup lacks")
    parser.add_argument(
        "--merge", action="store_true", help="then take in again what the log held and the backup lacks"
    )


def run(args: argparse.Namespace, context: Context) -> int:
    backup = choose(context.path, args.name)
    which = f"The backup of {day_and_hour(backup.made)}"
    if args.to is not None:
        done = copy_out(backup, args.to, args.seen)
        show(f"{which} ({plural(done.events, 'event')}) is now in {done.log}")
        return 0
    verified(backup, args.seen)
    lost, merge = loss(context.path, backup), args.merge
    if lost and not merge:
        _tell(lost, which, context)
        if not args.yes:
            if not can_ask():
                raise InputError(
                    "Nothing was put back. To do it, and to take in again what the log held: add --merge. "
                    "To do it without: add --yes."
                )
            answer = asked("Put it in place of the log? y: yes; m: yes, and take these in again; else no")
            if answer not in ("y", "yes", "m", "merge"):
                say("Nothing was changed.")
                return ReedkinError.exit_code
            merge = answer.startswith("m")
    done = restore(context.path, backup, context.clock.now(), args.seen, wait=lock.PATIENCE)
    show(f"{which} ({plural(done.events, 'event')}) is now in {done.log}")
    if done.aside is None:
        return 0
    show(f"The log that was there is kept in {done.aside}")
    code = 0
    if merge:
        code = _take_in(done.aside, context)
    elif lost:
        show(f"To take in what only it holds: reedkin merge {done.aside}")
    _tell_others(done.aside, context)
    return code


def _tell_others(aside: Path, context: Context) -> None:
    """What else lies beside the log and holds what it lacks, such as the log that was kept aside by a `restore --merge`
    which was cut off before it took in what that held."""
    with context.reading(tell=False) as log:
        for copy in copies_with_more(context.path, log):
            if copy.path.name != aside.name:
                say(copy.told)


def _tell(lost: Loss, which: str, context: Context) -> None:
    """What the log holds and the backup lacks: how many entries, from when to when, and the latest of them."""
    if lost.unknown:
        say(f"What the log holds that the backup lacks cannot be told. {lost.unknown}")
        return
    times = sorted(filter(None, map(_moment, lost.entries.values())))
    span = f", recorded {_span(times[0], times[-1])}" if times else ""
    say(f"{which} lacks {plural(len(lost.entries), 'entry', 'entries')} that the log holds{span}:")
    with Log(context.path, context.clock, read_only=True) as log:
        latest = list(lost.entries)[-_TOLD:]
        if more := len(lost.entries) - len(latest):
            say(f"  ... {more} more")
        for entry in latest:
            events = log.entries.of(entry)
            say(f"  {'; '.join(map(told, events)) or 'no event, but something beside the reeds, or a correction'}")


def _span(first: datetime, last: datetime) -> str:
    if first == last:
        return f"on {day_and_hour(first)}"
    return f"from {day_and_hour(first)} to {day_and_hour(last)}"


def _moment(text: str) -> datetime | None:
    with suppress(ValueError):
        moment = datetime.fromisoformat(text)
        return moment if moment.tzinfo is not None else None
    return None


def _take_in(aside: Path, context: Context) -> int:
    """Merge what the log held before into it. What is damaged there was seen, or is why a backup was put back."""
    try:
        with Log(aside, context.clock, read_only=True) as theirs, context.writing() as ours:
            done = unite(ours, theirs, seen=True)
            back_up(ours, much=True)
    except LogError as error:
        say(f"{error} The backup is in its place all the same.")
        return error.exit_code
    for line in done.lines():
        show(line)
    tell_conflicts(done.conflicts)
    return 0
