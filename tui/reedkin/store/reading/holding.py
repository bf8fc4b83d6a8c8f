"""What a log file held when it was read: its lines on a shelf, its faults, and how far whole entries reach."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path

from reedkin.domain.figures import plural
from reedkin.store.disk.calls import Disk
from reedkin.store.disk.logfile import unreadable
from reedkin.store.reading.faults import Fault, FaultKind
from reedkin.store.reading.findings import Findings
from reedkin.store.reading.pieces import lines_with, pieces
from reedkin.store.reading.reader import Break, Reader
from reedkin.store.reading.tables import Shelf

_MARK_BYTES = 4096
_BREAKS_TOLD = 20
"""Where a log was sorted by another program, none of its lines follows on the one before."""


class Holding:
    """What is read of the file at `path` through the descriptor `fd`, which belongs to the caller. `read` may be called
    again to take in what was added since. Raises LogUnreadableError, LogForeignError and LogNewerError."""

    def __init__(self, path: Path, disk: Disk, fd: int) -> None:
        self.path = path
        self.fd = fd
        self.findings = Findings(lambda rests: lines_with(disk, fd, rests))
        self.shelf = Shelf(self.findings.add_flaw)
        self.reader = Reader(path, disk, self.shelf, self.findings.add)
        self._disk = disk
        self._mark = b""
        self.read()

    def read(self) -> None:
        """Read on from where the last reading stopped."""
        try:
            self.reader.read(self.fd)
            self._mark = self._bytes_before()
        except OSError as error:
            raise unreadable(self.path, error) from error
        torn = self.reader.torn
        message = "The last entry was not written to its end and was never recorded."
        self.findings.torn = Fault(torn.line, FaultKind.TORN, message, torn.size) if torn else None
        self.findings.set_breaks(_told(self.reader.breaks))

    def wrote(self, lines: Sequence[bytes], size: int) -> None:
        """The owner wrote these lines, and put them on the shelf: the file has `size` bytes now, and reading goes on
        behind them."""
        self.reader.wrote(lines, size)
        self.findings.set_breaks(())
        self._mark = (self._mark + b"".join(lines))[-_MARK_BYTES:]

    def faults(self) -> tuple[Fault, ...]:
        """All that is wrong, as far as it was read, in the order of the file."""
        try:
            return self.findings.all()
        except OSError as error:
            raise unreadable(self.path, error) from error

    def was_replaced(self) -> bool:
        """Whether the file is another one than before, or what was read of it is no longer there."""
        try:
            there, here = self.path.stat(), os.fstat(self.fd)
            return not os.path.samestat(there, here) or self._bytes_before() != self._mark
        except FileNotFoundError:
            return True
        except OSError as error:
            raise unreadable(self.path, error) from error

    def lines_behind(self, offset: int) -> int:
        """How many lines of what was read stand behind a byte of the file. Raises LogUnreadableError."""
        if offset >= self.reader.offset:
            return 0
        try:
            found = [len(piece.lines) for piece in pieces(self._disk, self.fd, offset)]
        except OSError as error:
            raise unreadable(self.path, error) from error
        return sum(found)

    def _bytes_before(self) -> bytes:
        """The last bytes of what was read: a writer that took an entry back and wrote another changes them."""
        start = max(0, self.reader.offset - _MARK_BYTES)
        os.lseek(self.fd, start, os.SEEK_SET)
        return self._disk.read(self.fd, self.reader.offset - start)


def _told(breaks: Sequence[Break]) -> list[Fault]:
    """The faults that breaks in the chain of lines are."""
    told = [Fault(one.line, FaultKind.CHAIN, _MOVED if one.moved else _MISSING) for one in breaks[:_BREAKS_TOLD]]
    if more := len(breaks) - len(told):
        message = f"From here on {plural(more, 'more line does', 'more lines do')} not follow on those before them."
        told.append(Fault(breaks[_BREAKS_TOLD].line, FaultKind.CHAIN, message))
    return told


_MISSING = (
    "A line that stood before this one is gone, or more than one: another program took it out. To see the copies that "
    "there are: reedkin backups"
)
_MOVED = (
    "The line before this one is not the one that stood there when it was written: another program moved lines, or put "
    "some in between. None is lost by that."
)
