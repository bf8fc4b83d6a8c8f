"""What is wrong with a line of a log, as a value: reading a log reports faults, it does not stop at them."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import NamedTuple

EXCERPT_BYTES = 120


class FaultKind(StrEnum):
    """The kinds of fault. The value is what people read."""

    TORN = "torn end"
    HEADER = "damaged first line"
    CHECKSUM = "wrong checksum"
    NOT_TEXT = "not text"
    ZEROS = "zero bytes"
    EMPTY = "empty line"
    ENDLESS = "endless line"
    SHAPE = "not a line of a log"
    REPEAT = "repeated line"
    CONFLICT = "same id, other content"
    INCOMPLETE = "incomplete entry"
    CHAIN = "missing or moved line"
    SHORT = "cut short"
    BACKUP = "unreadable backup"
    UNSURE = "perhaps recorded"


HARMLESS = frozenset({FaultKind.TORN, FaultKind.REPEAT, FaultKind.BACKUP, FaultKind.UNSURE})
"""Faults that lose nothing that was recorded, so writing may go on."""


class Flaw(NamedTuple):
    """Why a single line cannot be trusted."""

    kind: FaultKind
    message: str


@dataclass(frozen=True)
class Fault:
    """
    One fault of a log. `line` counts from 1. `table` and `id` are what the damaged line seems to say, or None.
    `excerpt` is safe to show: whatever is not printable is written as an escape. `size` is in bytes.
    `kept` is the file that a torn end was moved to, or None.
    """

    line: int
    kind: FaultKind
    message: str
    size: int = 0
    table: str | None = None
    id: str | None = None
    excerpt: str = ""
    kept: Path | None = None

    @property
    def blocks(self) -> bool:
        """Whether the user has to see this fault before anything more is written."""
        return self.kind not in HARMLESS


def excerpt(raw: bytes) -> str:
    """The beginning of `raw` as printable text; every other byte as \\xNN, every odd character as \\uNNNN."""
    text = raw[:EXCERPT_BYTES].decode("utf-8", "backslashreplace")
    shown = "".join(c if c.isprintable() else c.encode("unicode_escape").decode("ascii") for c in text)
    return shown + ("…" if len(raw) > EXCERPT_BYTES else "")
