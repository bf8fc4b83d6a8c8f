"""`reedkin import`: events from a file."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterable, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path

from reedkin.bench.bench import Bench
from reedkin.cli.asked import asked, can_ask
from reedkin.cli.commands.merge import tell_conflicts
from reedkin.cli.context import Context, back_up, say, show
from reedkin.cli.options import add_seen
from reedkin.cli.progress import Progress
from reedkin.cli.spreadsheet import keep_mapping, kept_mapping, mapping_lines, settle
from reedkin.domain.describe import describe
from reedkin.domain.figures import moment_words, plural
from reedkin.domain.uid import NAME_LENGTH, UidMaker
from reedkin.domain.words import NOT_KNOWN
from reedkin.errors import InputError
from reedkin.store.disk.outside import opened
from reedkin.store.log import Log
from reedkin.store.merging.uniting import unite_documents
from reedkin.store.transfer.importing import ImportPlan, plan_import
from reedkin.store.transfer.lineages import Answer
from reedkin.store.transfer.mapping import ColumnMap, parse_mapping
from reedkin.store.transfer.read_rows import is_of_ours, lines_of, rows_of
from reedkin.store.transfer.rows import NumberedRow, RowFinding, endings_without_cause, with_cause
from reedkin.store.transfer.sheets.expanding import expand
from reedkin.store.transfer.sheets.sheet import Sheet, read_sheet
from reedkin.store.transfer.whole import documents_of, is_whole

_STDIN = Path("-")
_SHOWN = 20
_LINES_NAMED = 5
_ANSWERS: tuple[Answer, ...] = ("replace", "both", "log")
_OF_WHAT = f"--map 'cause:=worn', they were worn out; --map 'cause:={NOT_KNOWN}', nobody knows: their hours count"
_HOW = "Say which counts: --replace, what the file says; --keep both, two events; --keep log, what the log says."


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("file", metavar="FILE", type=Path, help="a file, or - for the standard input")
    parser.add_argument("--dry-run", action="store_true", help="say what would be recorded, and record nothing")
    parser.add_argument(
        "--map", metavar="OLD=NEW", action="append", default=[],
        help="a column of theirs, such as length=overall_mm or 'Date=at day-first'; a word of theirs, such as "
        "kind:gebunden=tied; for all lines instrument:=oboe; or a file that has one of these a line",
    )  # fmt: skip
    parser.add_argument(
        "--accept", action="store_true", help="take the columns of your own spreadsheet for what is proposed"
    )
    otherwise = parser.add_mutually_exclusive_group()
    otherwise.add_argument(
        "--replace", dest="answer", action="store_const", const="replace",
        help="rows that say something else of an event of the log correct it",
    )  # fmt: skip
    otherwise.add_argument(
        "--keep", dest="answer", choices=("both", "log"),
        help="of such a row and event count both, or what the log says",
    )  # fmt: skip
    add_seen(parser)


def run(args: argparse.Namespace, context: Context) -> int:
    lines = _read(args.file, context.unseen)
    source = _source(lines, args, context)
    with ExitStack() as stack:
        log = context.taking_in(args.dry_run, args.seen)
        if log is not None:
            stack.enter_context(log)
        rows = source.rows(log.bench if log is not None else Bench(context.clock))
        if is_whole(rows):
            return _take_in_whole(args, rows, log, lambda: stack.enter_context(context.writing()))
        silent = endings_without_cause(rows)
        if silent and source.sheet is None:
            cause = _ask_of_what(args, silent)
            if cause is None:
                say(f"Nothing was recorded. Say it of all of them at once: {_OF_WHAT}.")
                return InputError.exit_code
            rows = with_cause(rows, cause)
        plan = _plan(rows, context, log, args.answer)
        if plan.changed and not plan.faults:
            _tell_changed(args.file, plan.changed)
            answer = _ask_which() if _can_ask(args) and not args.dry_run else None
            if answer is None:
                say(f"Nothing was recorded. {_HOW}")
                return InputError.exit_code
            plan = _plan(rows, context, log, answer)
        if plan.faults:
            code = _refuse(args.file, plan.faults)
            if source.sheet is not None:
                say("Words of its own can be given another meaning, such as --map 'tag:c=C1', --map 'kind:bound=tied'.")
            return code
        if plan.records and not args.dry_run:
            if log is None:
                log = stack.enter_context(context.writing())
            log.write(plan.records)
            back_up(log, much=True)
    _ask(args.file, plan.questions)
    _tell(plan, args.dry_run)
    if source.new and not args.dry_run:
        keep_mapping(context.path.with_name("spreadsheet.csv") if args.file == _STDIN else args.file, source.mapping)
    return 0


def _can_ask(args: argparse.Namespace) -> bool:
    """Whether somebody can answer: not where the file itself comes from there."""
    return args.file != _STDIN and can_ask()


@dataclass(frozen=True, slots=True)
class _Source:
    """What was read, and how its columns are taken: `sheet` where it is a spreadsheet of one's own; `new` says that
    more was settled than was given."""

    lines: Sequence[bytes]
    mapping: ColumnMap
    sheet: Sheet | None = None
    new: bool = False

    def rows(self, bench: Bench) -> list[NumberedRow | RowFinding]:
        if self.sheet is None:
            return list(rows_of(self.lines, self.mapping))
        return expand(self.sheet, self.mapping, bench).rows


def _source(lines: Sequence[bytes], args: argparse.Namespace, context: Context) -> _Source:
    mapping = parse_mapping(mapping_lines(args.map))
    if is_of_ours(lines):
        return _Source(lines, mapping)
    sheet = read_sheet(lines)
    kept = kept_mapping(args.file) if args.file != _STDIN else None
    if kept is not None:
        say(f"Read as {kept} says.")
        mapping = mapping.over(parse_mapping(mapping_lines([str(kept)])))
    with ExitStack() as stack:  # let go of the log while somebody thinks
        bench = stack.enter_context(context.reading(tell=False)).bench if context.exists else Bench(context.clock)
        mapping, new = settle(sheet, mapping, bench, args.accept or args.dry_run, _can_ask(args))
    return _Source(lines, mapping, sheet, new)


def _refuse(file: Path, faults: Sequence[RowFinding]) -> int:
    for finding in faults[:_SHOWN]:
        say(f"{file} line {finding.line}: {finding.message}")
    if len(faults) > _SHOWN:
        say(f"and {plural(len(faults) - _SHOWN, 'fault')} more")
    say(f"Nothing was recorded: {plural(len(faults), 'fault')}. Mend the file, then import it again.")
    return InputError.exit_code


def _take_in_whole(
    args: argparse.Namespace, rows: Sequence[NumberedRow | RowFinding], log: Log | None, begin: Callable[[], Log]
) -> int:
    """Take in a whole log from its rows, as a merge takes in another log."""
    documents, faults = documents_of(rows)
    if faults:
        return _refuse(args.file, faults)
    if args.dry_run:
        known = {(table, uid) for table in log.tables for uid in log.documents(table)} if log is not None else set()
        new = sum((table, uid) not in known for table, of_table in documents.items() for uid in of_table)
        show(f"Would be taken in: {plural(new, 'record')} of a whole log.")
        return 0
    log = log or begin()
    done = unite_documents(log, documents, str(args.file))
    back_up(log, much=True)
    for line in done.lines():
        show(line)
    tell_conflicts(done.conflicts)
    return 0


def _read(path: Path, unseen: bool) -> list[bytes]:
    if path == _STDIN:
        return lines_of(sys.stdin.buffer)
    try:
        with opened(path) as file, Progress(f"Reading {path.name}", path.stat().st_size, unseen) as progress:
            return lines_of(file, progress.forward)
    except OSError as error:
        raise InputError(f"{path} cannot be read: {error.strerror or error}. Check its name.") from error


def _plan(
    rows: Iterable[NumberedRow | RowFinding], context: Context, log: Log | None, answer: Answer | None
) -> ImportPlan:
    bench = log.bench if log is not None else Bench(context.clock)
    uids = log.uids if log is not None else UidMaker()
    return plan_import(rows, bench, uids, context.clock, answer)


def _tell_changed(file: Path, changed: Sequence[RowFinding]) -> None:
    say(f"{plural(len(changed), 'row says', 'rows say')} something else of what the log holds:")
    for finding in changed[:_SHOWN]:
        say(f"{file} line {finding.line}: {finding.message}")
    if len(changed) > _SHOWN:
        say(f"and {len(changed) - _SHOWN} more")


def _ask_which() -> Answer | None:
    answer = asked("Which counts? r what the file says, b both, l what the log says, Enter neither: stop here")
    return next((way for way in _ANSWERS if answer and way.startswith(answer)), None)


def _ask_of_what(args: argparse.Namespace, lines: Sequence[int]) -> str | None:
    """What the reeds were retired of whose lines do not say: once for all, and nothing without an answer."""
    which = ", ".join(map(str, lines[:_LINES_NAMED])) + (" …" if len(lines) > _LINES_NAMED else "")
    word = "line" if len(lines) == 1 else "lines"
    say(f"{plural(len(lines), 'retirement has', 'retirements have')} no cause ({word} {which}). What was it?")
    if not _can_ask(args):
        return None
    answer = asked("w they were worn out, n nobody knows (their hours count), Enter neither: stop here")
    return {"w": "worn", "n": NOT_KNOWN}.get(answer[:1])


def _ask(file: Path, questions: Sequence[RowFinding]) -> None:
    for finding in questions[:_SHOWN]:
        say(f"{file} line {finding.line}: is it so? {finding.message}")
    if len(questions) > _SHOWN:
        say(f"and {len(questions) - _SHOWN} more that are odd; to see them all: reedkin check")


def _tell(plan: ImportPlan, dry: bool) -> None:
    new = f"{plural(plan.events, 'event')}, {plural(plan.reeds, 'new reed')}, {plural(plan.sessions, 'work session')}"
    if plan.corrected:
        new += f", {plural(plan.corrected, 'correction')}"
    show(f"Would be recorded: {new}." if dry else f"Recorded: {new}.")
    if plan.repeated:
        show(f"{plural(plan.repeated, 'row was', 'rows were')} there already.")
    if plan.struck:
        rows = plural(plan.struck, "row tells", "rows tell")
        show(f"{rows} of what was struck, which stays so. To let it count again: reedkin strike --give-back")
    if plan.left:
        show(f"{plural(plan.left, 'row was', 'rows were')} passed over: what the log says stays.")
    for step in plan.gone[:_SHOWN]:
        what = f"{describe(step.kind, step.facts)} of {moment_words(step.at)}"
        say(f"Not in the file any more, and still in the log: reed {step.event.tag}, {what}. "
            f"To take it out: reedkin strike {step.event.uid[-NAME_LENGTH:]}")  # fmt: skip
    if len(plan.gone) > _SHOWN:
        say(f"and {len(plan.gone) - _SHOWN} more that are not in the file any more")
