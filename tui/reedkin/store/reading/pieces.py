"""A file as pieces of lines, of which no more is in memory than a block and one line."""

from __future__ import annotations

import os
from collections.abc import Container, Iterator
from enum import Enum, auto
from typing import NamedTuple

from reedkin.store.disk.calls import Disk
from reedkin.store.reading.lines import MAX_LINE, SEAL_BYTES

BLOCK = 64 * 1024
"""Bytes read at a time; small enough for a block and its lines to stay in the processor's cache."""
EXCERPT = 4096
"""So much is kept of a line that is too long."""


class Ending(Enum):
    """How a piece of the file ends."""

    WHOLE = auto()
    """Lines, each with its newline."""
    ENDLESS = auto()
    """One line that is too long, of which only the beginning is kept."""
    UNFINISHED = auto()
    """The end of the file without a newline."""


class Piece(NamedTuple):
    """Some lines of the file (without newlines), from byte `offset` on, `size` bytes in all."""

    offset: int
    lines: list[bytes]
    size: int
    ending: Ending


def pieces(disk: Disk, fd: int, offset: int) -> Iterator[Piece]:
    """The file from `offset` on. Holds at most a block and one line of MAX_LINE in memory. Raises OSError."""
    os.lseek(fd, offset, os.SEEK_SET)
    carry = b""
    data = disk.read(fd, BLOCK)
    while data:
        size = len(carry) + len(data)
        lines = (carry + data).split(b"\n")
        carry = lines.pop()
        if lines:
            size -= len(carry)
            yield Piece(offset, lines, size, Ending.WHOLE)
            offset += size
        data = disk.read(fd, BLOCK)
        if len(carry) > MAX_LINE:
            size, ending = len(carry), Ending.UNFINISHED
            while data and ending is Ending.UNFINISHED:
                before, newline, after = data.partition(b"\n")
                size += len(before) + len(newline)
                if newline:
                    ending = Ending.ENDLESS
                data = after or disk.read(fd, BLOCK)
            yield Piece(offset, [carry[:EXCERPT]], size, ending)
            offset += size
            carry = b""
    if carry:
        yield Piece(offset, [carry], len(carry), Ending.UNFINISHED)


def lines_with(disk: Disk, fd: int, rests: Container[bytes]) -> Iterator[tuple[int, bytes]]:
    """The number and the REST of every line that has one of these, in the order of the file. Raises OSError."""
    number = 0
    for piece in pieces(disk, fd, 0):
        for line in piece.lines:
            number += 1
            if (rest := line[SEAL_BYTES:].removesuffix(b"\r")) in rests:
                yield number, rest
