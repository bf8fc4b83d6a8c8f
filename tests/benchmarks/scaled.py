"""Logs of an invented maker in growing sizes, made once and kept beside the benchmarks."""

from __future__ import annotations

import shutil
import sys
from itertools import groupby
from pathlib import Path

from demo_logs.build import records_of
from demo_logs.simulate import scaled

from reedkin.domain.events import table_of
from reedkin.store.codec import to_document
from reedkin.store.lines import document_tail, entry_lines, header_line

SIZES = (1_000, 10_000, 100_000)
"""Events of reeds; 100,000 are about 4,000 reeds in forty years, work sessions and other tables beside."""

_KEPT = Path(__file__).parent / ".cache"


def scaled_log(events: int) -> Path:
    """The log of that size. It is not to be changed: see `copy_of`."""
    path = _KEPT / f"{events}.jsonl"
    if not path.exists():
        print(f"Making a log of {events:,} events ...", file=sys.stderr)
        _KEPT.mkdir(exist_ok=True)
        new = path.with_suffix(".new")
        with new.open("wb") as file:
            file.write(header_line("0190a6f0-0000-7000-8000-000000000000", "1987-01-01T08:00:00+00:00"))
            for _, entry in groupby(records_of(scaled(events)), key=lambda record: record.entry):
                tails = [document_tail(table_of(r), r.uid, to_document(r)) for r in entry]
                file.writelines(entry_lines(tails))
        new.replace(path)
    return path


def copy_of(events: int, folder: Path) -> Path:
    """A copy of the log of that size, to be recorded in."""
    return Path(shutil.copy(scaled_log(events), folder / f"{events}.jsonl"))
