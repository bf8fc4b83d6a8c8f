"""
A mended copy of a damaged log: all that can be trusted, in the order of the file, with what cannot in a file beside it.
The log itself is only read.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import chain
from pathlib import Path
from uuid import uuid4

from reedkin.errors import LogError
from reedkin.store.disk.calls import READ, Disk, in_parts, mode_of
from reedkin.store.errors import MendError
from reedkin.store.reading.faults import Fault, FaultKind, Flaw
from reedkin.store.reading.lines import (
    document_tail,
    entry_lines,
    header_line,
    link_of,
    opened,
    read_document,
    read_head,
    tail_of,
)
from reedkin.store.reading.pieces import Ending, pieces
from reedkin.store.reading.tables import Document
from reedkin.store.scan import Scan, scan

_CHUNK = 1024 * 1024
_OF_LINES_BEFORE = frozenset({FaultKind.INCOMPLETE, FaultKind.CHAIN})
"""Faults that are told of a line which is sound itself."""


@dataclass(frozen=True)
class Mended:
    """A mended copy: where it is, how many documents it holds, the faults of the log, and the file that has the bytes
    which were left out (None if there are none)."""

    path: Path
    documents: int
    faults: tuple[Fault, ...]
    damaged: Path | None


@dataclass(frozen=True)
class _RawLine:
    """A line of the file: its number, where it begins, its size with its end, and its bytes without (of an endless
    line only the beginning)."""

    number: int
    offset: int
    size: int
    text: bytes
    whole: bool


def mend(log: Path, to: Path, made: str, disk: Disk | None = None) -> Mended:
    """
    Write a mended copy of `log` to the new file `to`, whose first line says when it was `made` (ISO 8601). Raises
    MendError, and what opening a log raises.
    """
    disk = disk or Disk()
    there = scan(log, disk)
    damaged = to.with_name(f"{to.name}.damaged")
    for path in (to, damaged):
        if path.exists():
            raise MendError(f"{path} is there already and was left alone. Choose another name.")
    sorting = _Sorting(there)
    done: list[Path] = []
    try:
        fd, mode = disk.open(log, READ), mode_of(log)
        try:
            header = header_line(str(uuid4()), made, mended_from=there.header.log if there.header else "")
            disk.create(to, in_parts(chain([header], sorting.sound(_lines(disk, fd), link_of(header)))), mode=mode)
            done.append(to)
            if sorting.left_out:
                disk.create(damaged, in_parts(_kept_aside(disk, fd, sorting)), mode=mode)
                done.append(damaged)
        finally:
            os.close(fd)
        _verify(to, there, disk)
    except (OSError, LogError) as error:
        for path in done:
            path.unlink(missing_ok=True)
        if isinstance(error, LogError):
            raise
        raise MendError(
            f"The mended copy {to} cannot be written: {error.strerror or error}. The log is as it was. "
            "Free some space, or choose another place."
        ) from error
    count = sum(map(len, there.documents.values()))
    return Mended(to, count, there.faults, damaged if sorting.left_out else None)


def _verify(copy: Path, original: Scan, disk: Disk) -> None:
    mended = scan(copy, disk)
    if mended.faults or _in_order(mended) != _in_order(original):
        raise MendError(
            "The mended copy did not read back as the log does, and was removed. The log is as it was. If another "
            "program is writing to it, end that first."
        )


def _in_order(there: Scan) -> dict[str, list[tuple[str, Document]]]:
    return {table: list(documents.items()) for table, documents in there.documents.items()}


def _lines(disk: Disk, fd: int) -> Iterator[_RawLine]:
    number = 0
    for piece in pieces(disk, fd, 0):
        offset = piece.offset
        for text in piece.lines:
            number += 1
            size = len(text) + 1 if piece.ending is Ending.WHOLE else piece.size
            yield _RawLine(number, offset, size, text, piece.ending is Ending.WHOLE or piece.size == len(text))
            offset += size


class _Sorting:
    """Sorts the lines of a log into those that are sound and those that are not, as `Reader` does."""

    def __init__(self, there: Scan) -> None:
        self.left_out: list[tuple[_RawLine, FaultKind]] = []
        self._kinds = {fault.line: fault.kind for fault in there.faults if fault.kind not in _OF_LINES_BEFORE}
        self._torn = next((fault.line for fault in there.faults if fault.kind is FaultKind.TORN), None)
        self._has_header = there.header is not None
        self._entry: list[tuple[int, bytes]] = []
        self._link = b""
        self._lost = 0

    def sound(self, lines: Iterable[_RawLine], after: bytes) -> Iterator[bytes]:
        """The lines to keep, entry by entry, each chained to the one before it; `after` is the link of the line before
        the first. Of an entry that is not complete, what is left is made an entry."""
        self._link = after
        for line in lines:
            if line.number == 1 and self._has_header:
                continue
            rest, kind = self._rest(line), self._kinds.get(line.number)
            if self._torn is not None and line.number >= self._torn:
                self.left_out.append((line, FaultKind.TORN))
            elif rest is None or kind not in (None, FaultKind.HEADER):
                self.left_out.append((line, kind or FaultKind.SHAPE))
                if kind is not FaultKind.REPEAT or self._is_next(rest):
                    self._lost += 1
            else:
                if not self._is_next(rest):
                    yield from self._end_entry()
                self._entry.append((_left(rest), rest))
                self._lost = 0 if len(self._entry) == 1 else self._lost
        yield from self._end_entry()

    def _rest(self, line: _RawLine) -> bytes | None:
        rest = opened(line.text) or opened(line.text.removesuffix(b"\r")) if line.whole else None
        return None if rest is None or isinstance(read_head(rest), Flaw) else rest

    def _is_next(self, rest: bytes | None) -> bool:
        """Whether a line is the next of the entry under way."""
        return (
            bool(self._entry) and rest is not None and _left(rest) == self._entry[0][0] - len(self._entry) - self._lost
        )

    def _end_entry(self) -> Iterator[bytes]:
        entry, self._entry, self._lost = self._entry, [], 0
        lines = entry_lines([_tail(rest) for _, rest in entry], self._link)
        if lines:
            self._link = link_of(lines[-1])
        yield from lines


def _left(rest: bytes) -> int:
    head = read_head(rest)
    return -1 if isinstance(head, Flaw) else head.left


def _tail(rest: bytes) -> bytes:
    """A sound line without its place in its entry and in the log, which are about to change."""
    if rest.startswith(b'"left":'):
        return tail_of(rest)
    found = read_document(rest)
    assert not isinstance(found, Flaw)
    head, document = found
    return document_tail(head.table, head.id, document)


def _kept_aside(disk: Disk, fd: int, sorting: _Sorting) -> Iterator[bytes]:
    """What was left out: before each piece a line that says where it stood and how many bytes follow."""
    for line, kind in sorting.left_out:
        yield f"line {line.number}, {line.size} bytes, {kind.value}:\n".encode()
        os.lseek(fd, line.offset, os.SEEK_SET)
        left = line.size
        while left and (data := disk.read(fd, min(left, _CHUNK))):
            left -= len(data)
            yield data
        yield b"\n"
