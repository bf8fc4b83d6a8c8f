"""The line that stood on the entry line, unrecorded, when the program ended: kept beside the log for the next start."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

from reedkin.store.disk import Disk

_LONGEST = 10_000


def _beside(log: Path) -> Path:
    return log.with_name(f"{log.name}.unsent")


def keep_unsent(log: Path, text: str) -> bool:
    """Keep a line for the next start; an empty one forgets what was kept. False if the disk refuses: the line was
    never called recorded, so there is nobody left to tell."""
    try:
        if text.strip():
            Disk().create(_beside(log), [text[:_LONGEST].encode("utf-8", "replace")], replace=True)
        else:
            _beside(log).unlink(missing_ok=True)
    except OSError:
        return False
    return True


def take_unsent(log: Path) -> str:
    """The line that was kept, which is forgotten by that; empty if there is none."""
    path = _beside(log)
    try:
        text = path.read_bytes()[:_LONGEST].decode("utf-8", "replace")
    except OSError:
        return ""
    with suppress(OSError):
        path.unlink()
    return " ".join(text.split("\n")).strip()
