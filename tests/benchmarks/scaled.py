"""Logs of an invented maker in growing sizes, made once and kept beside the benchmarks."""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

from demo_logs.build import write_log
from demo_logs.simulate import scaled

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
        write_log(new, scaled(events))
        new.replace(path)
    return path


def copy_of(events: int, folder: Path) -> Path:
    """A copy of the log of that size, to be recorded in."""
    return Path(shutil.copy(scaled_log(events), folder / f"{events}.jsonl"))
