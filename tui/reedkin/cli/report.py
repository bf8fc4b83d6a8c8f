"""What is kept of a fault of the program itself: where it happened, and nothing of what was written in the log."""

from __future__ import annotations

import traceback
from datetime import datetime
from pathlib import Path

from reedkin.store.disk.calls import Disk

_LONGEST = 20_000
"""Characters of one report. What calls itself over and over makes one of megabytes, and its ends say enough."""
_KEPT = 200_000
"""Bytes of all that are kept; older ones go."""
_HEADING = "== "


def keep_report(folder: Path, error: BaseException, what: str, now: datetime) -> Path:
    """Add a report of `error` to those in a folder, which is there; `what` says what was running. Returns the file,
    which only its owner can read. Raises OSError."""
    path = folder / "errors.log"
    before = path.read_bytes() if path.exists() else b""
    report = f"{_HEADING}{now.isoformat()} {what}\n{_shortened(_trace(error))}\n"
    Disk().create(path, [_latest(before), report.encode("utf-8", "backslashreplace")], replace=True)
    return path


def _trace(error: BaseException) -> str:
    """The calls that led there and the lines of the program that they are; no values of theirs."""
    return "".join(traceback.TracebackException.from_exception(error, capture_locals=False).format())


def _shortened(text: str) -> str:
    if len(text) <= _LONGEST:
        return text
    half = _LONGEST // 2
    return f"{text[:half]}\n... {len(text) - 2 * half} characters left out ...\n{text[-half:]}"


def _latest(reports: bytes) -> bytes:
    """The last of the reports that were kept, the oldest of them whole."""
    if len(reports) <= _KEPT:
        return reports
    latest = reports[-_KEPT:]
    return latest[max(0, latest.find(b"\n" + _HEADING.encode()) + 1) :]
