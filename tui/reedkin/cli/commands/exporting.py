"""`reedkin export`: the standing events as a file, or on the standard output."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path

from reedkin.bench.bench import Bench
from reedkin.cli.asked import agreed, can_ask
from reedkin.cli.context import Context, say, show
from reedkin.cli.progress import Progress
from reedkin.domain.figures import plural
from reedkin.errors import InputError
from reedkin.store.disk.files import write_over
from reedkin.store.log import Log
from reedkin.store.transfer.exporting import CSV, FORMATS, JSONL, export_lines, whole_lines
from reedkin.store.transfer.whole import Document


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--format", choices=FORMATS, help="csv (the usual), or jsonl: one JSON object a line")
    parser.add_argument(
        "--whole", action="store_true",
        help="every record as it was written, corrections and all that is beside the reeds among them",
    )  # fmt: skip
    parser.add_argument("--force", action="store_true", help="replace FILE if it is there")
    parser.add_argument("file", metavar="FILE", nargs="?", help="else, or with -, the standard output")


def run(args: argparse.Namespace, context: Context) -> int:
    if args.file in FORMATS and args.format is None:
        _settle_format(args)
    args.file = None if args.file in (None, "-") else Path(args.file)
    form = args.format or (JSONL if args.file is not None and args.file.suffix in (".jsonl", ".ndjson") else CSV)
    if args.file is not None:
        context.may_write(args.file, args.force)
    with context.reading() as log:
        if args.file is None:
            _print(
                whole_lines(_documents(log), form) if args.whole else export_lines(log.bench.reeds(), log.bench, form)
            )
            return 0
        with Progress(f"Writing {args.file.name}", log.path.stat().st_size, context.unseen) as progress:
            lines = _whole(log, form, progress) if args.whole else _lines(log.bench, form, progress)
            write_over(args.file, lines)
    say(f"Written to {args.file}")
    return 0


def _settle_format(args: argparse.Namespace) -> None:
    """A file that would be called as a format is: ask which is meant. Raises InputError where nobody can answer."""
    named = args.file
    if not can_ask():
        raise InputError(
            f"Is {named} the format, or a file's name? For the format: reedkin export --format {named}; "
            f"for a file of that name: reedkin export ./{named}"
        )
    if agreed(f"Is {named} the format, to be printed here?"):
        args.format, args.file = named, None


def _lines(bench: Bench, form: str, progress: Progress) -> Iterator[bytes]:
    """The lines of an export; reading the reeds takes about as long as writing them."""
    reeds = []
    for heading in bench.headings:
        reeds.append(bench.reed(heading.reed))
        progress.share(len(reeds) / len(bench) / 2)
    count = 1 + sum(len(reed.standing) for reed in reeds)
    for place, line in enumerate(export_lines(reeds, bench, form), 1):
        yield line.encode()
        progress.share(0.5 + place / count / 2)


def _documents(log: Log) -> list[tuple[str, str, Document]]:
    """All documents of a log that are records, in the order of their uids. The others are told."""
    found = [
        (table, record.uid, log.documents(table)[record.uid]) for table in log.tables for record in log.records(table)
    ]
    if log.misfits:
        say(f"Not among them, since this version does not know what they say: {plural(len(log.misfits), 'line')}. "
            "To see which: reedkin check")  # fmt: skip
    return sorted(found, key=lambda one: (one[1], one[0]))


def _whole(log: Log, form: str, progress: Progress) -> Iterator[bytes]:
    documents = _documents(log)
    for place, line in enumerate(whole_lines(documents, form), 1):
        yield line.encode()
        progress.share(place / (len(documents) + 1))


def _print(lines: Iterable[str]) -> None:
    """As it is for a program that reads it; made fit to show where it meets a terminal."""
    if sys.stdout.isatty():
        for line in lines:
            show(line.rstrip("\r\n"))
        return
    sys.stdout.flush()
    for line in lines:
        sys.stdout.buffer.write(line.encode())
