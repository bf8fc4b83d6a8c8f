"""`reedkin check`: every fault of the log."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from typing import Any

from reedkin.cli.context import Context, show, show_json
from reedkin.domain.audit import Remark, audit
from reedkin.domain.describe import plural
from reedkin.store.faults import Fault
from reedkin.store.log import Log

FAULTY = 3


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--json", action="store_true", help="as JSON")


def run(args: argparse.Namespace, context: Context) -> int:
    with context.reading(tell=False) as log:
        remarks = list(audit(log.bench))
        for table in log.tables:
            log.records(table)  # a damaged document shows when it is read
        faults = [remark for remark in remarks if remark.severity == "impossible"]
        questions = [remark for remark in remarks if remark.severity == "odd"]
        code = FAULTY if log.faults or log.misfits or faults else 0
        if args.json:
            show_json(_as_json(log, faults, questions))
        else:
            _show(log, faults, questions)
    return code


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
    reed = (fault.table or "").removeprefix("reed ")
    return f" It is of reed {log.bench.reed(reed).label}." if reed and reed in log.bench else ""


def _as_json(log: Log, faults: list[Remark], questions: list[Remark]) -> dict[str, Any]:
    def of_file(fault: Fault) -> dict[str, Any]:
        kept = str(fault.kept) if fault.kept else None
        return {**asdict(fault), "kind": fault.kind.value, "kept": kept}

    def of_log(remark: Remark) -> dict[str, Any]:
        return {"message": remark.message, "reed": remark.reed, "event": remark.event}

    return {
        "log": str(log.path),
        "reeds": len(log.bench),
        "faults": [
            *map(of_file, log.faults),
            *({"message": misfit} for misfit in log.misfits),
            *map(of_log, faults),
        ],
        "questions": list(map(of_log, questions)),
    }
