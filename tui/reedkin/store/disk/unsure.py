"""An entry of which nobody could say whether it was recorded: a mark beside the log, until its next opening settles it.

The disk that would not take an entry back is likely to refuse the mark too. Then nothing is told at the next opening,
which reads what is there as always."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

from reedkin.store.disk.calls import NO_LINK, PRIVATE

_NAME = "{}.unsure"
_LONGEST = 20


def note_unsure(log: Path, size: int) -> None:
    """Keep how many bytes of the log were sure, where the disk lets us."""
    with suppress(OSError):
        fd = os.open(_beside(log), os.O_WRONLY | os.O_CREAT | os.O_TRUNC | NO_LINK, PRIVATE)
        try:
            os.write(fd, b"%d" % size)
        finally:
            os.close(fd)


def unsure_from(log: Path) -> int | None:
    """The byte of the log from which on it was not sure what it holds; None where all was sure."""
    try:
        with _beside(log).open("rb") as file:
            return int(file.read(_LONGEST))
    except (OSError, ValueError):
        return None


def settled(log: Path) -> None:
    """It was told; there is nothing unsure any more."""
    with suppress(OSError):
        _beside(log).unlink(missing_ok=True)


def _beside(log: Path) -> Path:
    return log.with_name(_NAME.format(log.name))
