"""`reedkin import`: events from a file."""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Iterator, Sequence
from contextlib import ExitStack
from pathlib import Path

from reedkin.bench.bench import Bench
from reedkin.cli.context import Context, back_up, say, show
from reedkin.cli.options import add_seen
from reedkin.cli.progress import Progress
from reedkin.domain.describe import plural
from reedkin.domain.uid import UidMaker
from reedkin.errors import InputError
from reedkin.store.log import Log
from reedkin.store.transfer.importing import ImportPlan, plan_import
from reedkin.store.transfer.mapping import ColumnMap, parse_mapping
from reedkin.store.transfer.read_rows import read_file
from reedkin.store.transfer.rows import RowFinding

_QUESTIONS_SHOWN = 20


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", type=Path)
    parser.add_argument("--dry-run", action="store_true", help="say what would be recorded, and record nothing")
    parser.add_argument(
        "--map", metavar="OLD=NEW", action="append", default=[],
        help="a column of theirs, such as length=overall_mm or 'Date=at %%d/%%m/%%Y'; a word of theirs, such as "
        "kind:gebunden=tied; or a file that has one of these a line",
    )  # fmt: skip
    add_seen(parser)


def run(args: argparse.Namespace, context: Context) -> int:
    mapping = parse_mapping(_map_lines(args.map))
    with ExitStack() as stack:
        log = _open(args, context)
        if log is not None:
            stack.enter_context(log)
        plan = _plan(args.file, mapping, context, log)
        for finding in plan.faults:
            say(f"{args.file} line {finding.line}: {finding.message}")
        if plan.faults:
            say(f"Nothing was recorded: {plural(len(plan.faults), 'fault')}. Mend the file, then import it again.")
            return InputError.exit_code
        if plan.records and not args.dry_run:
            if log is None:
                log = stack.enter_context(context.writing())
            log.write(plan.records)
            back_up(log)
    _ask(args.file, plan.questions)
    _tell(plan, args.dry_run)
    return 0


def _open(args: argparse.Namespace, context: Context) -> Log | None:
    """The log, if there is one yet: a file with faults must not leave an empty log behind."""
    if not context.exists:
        return None
    return context.reading() if args.dry_run else context.writing(args.seen)


def _plan(file: Path, mapping: ColumnMap, context: Context, log: Log | None) -> ImportPlan:
    bench = log.bench if log is not None else Bench(context.clock)
    uids = log.uids if log is not None else UidMaker()
    try:
        size = file.stat().st_size  # none for a pipe, which can be read as well
    except OSError as error:
        raise InputError(f"{file} cannot be read: {error.strerror}. Check its name.") from error
    with Progress(f"Reading {file.name}", size) as progress:
        return plan_import(read_file(file, mapping, progress.forward), bench, uids, context.clock)


def _map_lines(given: Iterable[str]) -> Iterator[str]:
    for one in given:
        if "=" in one:
            yield one
            continue
        try:
            yield from Path(one).read_text(encoding="utf-8-sig").splitlines()
        except (OSError, UnicodeDecodeError) as error:
            raise InputError(f"{one} is neither old=new nor a file of such lines: {error}") from error


def _ask(file: Path, questions: Sequence[RowFinding]) -> None:
    for finding in questions[:_QUESTIONS_SHOWN]:
        say(f"{file} line {finding.line}: is it so? {finding.message}")
    if len(questions) > _QUESTIONS_SHOWN:
        say(f"and {len(questions) - _QUESTIONS_SHOWN} more that are odd; to see them all: reedkin check")


def _tell(plan: ImportPlan, dry: bool) -> None:
    new = f"{plural(plan.events, 'event')}, {plural(plan.reeds, 'new reed')}, {plural(plan.sessions, 'work session')}"
    show(f"Would be recorded: {new}." if dry else f"Recorded: {new}.")
    if plan.repeated:
        show(f"{plural(plan.repeated, 'row was', 'rows were')} there already.")
