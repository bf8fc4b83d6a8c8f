"""`reedkin check`: every fault of the log."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from reedkin.bench.audit import Remark, audit
from reedkin.cli.context import Context, say, show, show_json
from reedkin.cli.options import add_json
from reedkin.cli.progress import Progress
from reedkin.domain.figures import plural
from reedkin.errors import LogError
from reedkin.store.backups.backups import Backup, backups_of, contents
from reedkin.store.log import Log
from reedkin.store.mending.consistency import consistency
from reedkin.store.mending.mending import mend
from reedkin.store.merging.conflicts.settling import Conflict
from reedkin.store.merging.conflicts.unsettled import unsettled as unsettled_of
from reedkin.store.merging.copies import copies_with_more
from reedkin.store.reading.faults import Fault, FaultKind

if TYPE_CHECKING:
    from reedkin.contract.log import CheckJson, FaultJson, QuestionJson

FAULTY = 3


def arguments(parser: argparse.ArgumentParser) -> None:
    add_json(parser, "contract.log:CheckJson")
    parser.add_argument(
        "--mend", metavar="FILE", type=Path,
        help="write a mended copy of a damaged log to a new file; the log stays as it is",
    )  # fmt: skip


def run(args: argparse.Namespace, context: Context) -> int:
    with context.reading(tell=False) as log:
        with Progress("Checking", log.path.stat().st_size, context.unseen) as progress:
            # These read all, so that every misfit shows.
            remarks = [
                *audit(log.bench, progress.share),
                *consistency(log),
                *(Remark("odd", copy.told) for copy in copies_with_more(log.path, log)),
            ]
        try:
            backups_of(log.path)
        except LogError as error:
            say(f"{error} So the log could not be compared with them.")
        try:
            unsettled = list(unsettled_of(log.path, log.bench))
        except LogError as error:
            say(str(error))
            unsettled = []
        faults = [remark for remark in remarks if remark.severity == "impossible"]
        questions = [remark for remark in remarks if remark.severity == "odd"]
        code = FAULTY if log.faults or log.misfits or faults else 0
        if args.json:
            left = [Remark("odd", f"Since logs were merged: {conflict.message}") for conflict in unsettled]
            show_json(_as_json(log, faults, [*questions, *left]))
        else:
            _show_unsettled(unsettled)
            _show(log, faults, questions)
        if args.mend is not None:
            _mend(log, args.mend, tell=say if args.json else show)
    return code


def _show_unsettled(unsettled: list[Conflict]) -> None:
    """What did not go together when logs were merged and nobody has settled, with the commands that do."""
    if unsettled:
        are = "thing does" if len(unsettled) == 1 else "things do"
        show(f"{len(unsettled)} {are} not go together since logs were merged, and no fault of the file:")
    for conflict in unsettled:
        show(f"  {conflict.message}")
        for way in conflict.ways:
            show(f"    {way.words}: {way.command}")


def _mend(log: Log, to: Path, tell: Callable[[str], None]) -> None:
    if not log.faults:
        tell(f"Nothing to mend: every line of {log.path} is sound. {to} was not written.")
        return
    done = mend(log.path, to, log.clock.now().isoformat())
    tell(f"Mended copy with {plural(done.documents, 'line')}: {done.path}")
    for fault in done.faults:
        reed = log.reed_of(fault)
        which = f"line {fault.line} of reed {reed}" if reed else f"line {fault.line}"
        tell(f"  {which}: {_FATE.get(fault.kind, 'left out; what it recorded is lost')}")
    if done.damaged is not None:
        tell(f"What was left out is kept as it was in {done.damaged}")
    tell(f"The log itself was not touched. To use the copy: reedkin --log {done.path}")
    lost = any(fault.kind not in _FATE or fault.kind is FaultKind.CHAIN for fault in done.faults)
    if lost and (backup := _sound_backup(log)) is not None:
        tell(f"What is lost may be in a backup. To take it in: reedkin --log {done.path} merge {backup.path}")


def _sound_backup(log: Log) -> Backup | None:
    """The latest backup that lacks nothing of what was recorded when it was made."""
    for backup in reversed(backups_of(log.path, log.clock.now())):
        try:
            if contents(backup).sound:
                return backup
        except LogError:
            continue  # it is no use here; `reedkin backups` tells what is wrong with it
    return None


_FATE = {
    FaultKind.REPEAT: "left out; it is there once already, nothing is lost",
    FaultKind.EMPTY: "left out; nothing was in it",
    FaultKind.TORN: "left out; it was never called recorded",
    FaultKind.CHAIN: "the line itself is kept",
    FaultKind.INCOMPLETE: "the lines that are left of its entry are kept",
    FaultKind.CONFLICT: "left out; the earlier line counts",
    FaultKind.HEADER: "replaced by a new first line",
    FaultKind.BACKUP: "the copy is of the log alone",
}
"""What becomes of a faulty line in a mended copy, where nothing that can be had is lost."""


def _show(log: Log, faults: list[Remark], questions: list[Remark]) -> None:
    for fault in log.faults:
        show(f"line {fault.line}: {fault.message}{_of(fault, log)}")
        if fault.excerpt:
            show(f"    {fault.excerpt}")
    for misfit in log.misfits:
        show(misfit)
    for remark in faults:
        show(_line(remark))
    count = len(log.faults) + len(log.misfits) + len(faults)
    if questions:
        show(f"{plural(len(questions), 'question')} about what is odd, and no fault if it is so:")
        for remark in questions:
            show(f"  {_line(remark)}")
    size = f"{plural(len(log.bench), 'reed')} in {log.path}"
    show(f"{plural(count, 'fault')}, {size}" if count else f"No fault. {size}")


def _line(remark: Remark) -> str:
    return f"reed {remark.reed}: {remark.message}" if remark.reed else remark.message


def _of(fault: Fault, log: Log) -> str:
    reed = log.reed_of(fault)
    return f" It is of reed {reed}." if reed else ""


def _as_json(log: Log, faults: list[Remark], questions: list[Remark]) -> CheckJson:
    found = [_fault_as_json(fault) for fault in log.faults]
    found += [{"message": misfit} for misfit in log.misfits]
    found += [{"message": one.message, "reed": one.reed, "event": one.event} for one in faults]
    asked: list[QuestionJson] = [{"message": one.message, "reed": one.reed, "event": one.event} for one in questions]
    return {"log": str(log.path), "reeds": len(log.bench), "faults": found, "questions": asked}


def _fault_as_json(fault: Fault) -> FaultJson:
    return {
        "line": fault.line,
        "kind": fault.kind.value,
        "message": fault.message,
        "size": fault.size,
        "table": fault.table,
        "id": fault.id,
        "excerpt": fault.excerpt,
        "kept": str(fault.kept) if fault.kept else None,
    }
