"""The file of a log, open for writing: adds at its end or leaves it as it was, and keeps aside what it cuts off."""

from __future__ import annotations

import os
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path

from reedkin.store.disk.calls import APPEND, CREATE, READ, Disk, mode_of
from reedkin.store.disk.unsure import note_unsure
from reedkin.store.errors import LogMissingError, LogUnreadableError, LogUnsureError, LogUnwritableError, LogWriteError

_COPY = 1024 * 1024
_BEGINNING = 400
"""Bytes that hold the first line of any log."""


def first_line(path: Path) -> bytes:
    """The first line of a log, which no two logs have in common; empty where the file cannot be read."""
    try:
        with path.open("rb") as file:
            return file.read(_BEGINNING).partition(b"\n")[0].rstrip(b"\r")
    except OSError:
        return b""


def open_for_reading(path: Path, disk: Disk) -> int:
    """A descriptor of the file. Raises LogMissingError or LogUnreadableError."""
    try:
        _refuse_odd(path)
        return disk.open(path, READ)
    except FileNotFoundError:
        raise LogMissingError(f"There is no log at {path}. Check the name.") from None
    except OSError as error:
        raise unreadable(path, error) from error


def _refuse_odd(path: Path) -> None:
    if path.exists() and not path.is_file():
        what = "a folder" if path.is_dir() else "not an ordinary file"
        raise LogUnreadableError(f"{path} is {what}. Give the name of a log file.")


def unreadable(path: Path, error: OSError) -> LogUnreadableError:
    """The error to raise when the system refuses to read the log."""
    reason = error.strerror or error
    return LogUnreadableError(f"The log {path} cannot be read: {reason}. Check who may read it, and the disk.")


class LogFile:
    """
    A log file open for writing at its end. `size` is how many of its bytes are known to be good; the owner sets it
    after reading. The caller holds the lock.
    """

    def __init__(self, path: Path, disk: Disk) -> None:
        self.path = path
        self.size = 0
        self.unended = False
        """Whether the last line lacks its newline, which is written before the next."""
        self._disk = disk
        self._refusal: str | None = None
        self._unsure = False
        try:
            _refuse_odd(path)
            self.fd = disk.open(path, APPEND)
        except FileNotFoundError:
            raise LogMissingError(f"There is no log at {path}. Check the name.") from None
        except OSError as error:
            raise LogUnwritableError(
                f"The log {path} cannot be opened for writing: {error.strerror or error}. "
                "Check who may write to it; until then it is open for reading only."
            ) from error

    def append(self, data: bytes) -> None:
        """
        Write `data` at the end and wait until it is durable. If that fails, the file is cut back to what it was and
        LogWriteError is raised; if even that fails, LogUnsureError, and every further write is refused.
        """
        if self._refusal:
            raise LogWriteError(f"Not recorded: {self._refusal}")
        self._check_in_place()
        data = b"\n" + data if self.unended else data
        try:
            self._disk.write_all(self.fd, data)
            self._disk.fsync(self.fd)
        except BaseException as error:
            self._take_back(len(data))
            if isinstance(error, OSError):
                raise self._not_recorded(error) from error
            raise
        self.size += len(data)
        self.unended = False

    def _check_in_place(self) -> None:
        """Nobody else may have moved, replaced, or written to the file."""
        try:
            there, here = self.path.stat(), os.fstat(self.fd)
        except OSError as error:
            raise LogWriteError(
                f"Not recorded: the log {self.path} is no longer there ({error.strerror or error}). "
                "Put it or its disk back and try again."
            ) from error
        if not os.path.samestat(there, here) or here.st_size != self.size:
            raise LogWriteError(
                f"Not recorded: another program moved, replaced or changed the log {self.path}. "
                "Close the log and open it again to see what is there now."
            )

    def _take_back(self, written: int) -> None:
        try:
            self._disk.truncate(self.fd, self.size)
            self._disk.fsync(self.fd)
        except OSError as error:
            self._refusal = (
                f"after a failed write the log {self.path} could not be put back as it was "
                f"({error.strerror or error}). Nothing more is written until it is opened again. Check the disk."
            )
            with suppress(OSError):
                self._unsure = os.fstat(self.fd).st_size >= self.size + written
                if self._unsure:
                    note_unsure(self.path, self.size)

    def _not_recorded(self, error: OSError) -> LogWriteError:
        if self._unsure:
            return LogUnsureError(
                "Perhaps recorded: the disk failed while it wrote. Open the log again to be told whether it is there, "
                f"and do not enter it once more before; {self._refusal}"
            )
        if self._refusal:
            return LogWriteError(f"Not recorded: {self._refusal}")
        return LogWriteError(
            f"Not recorded: {error.strerror or error}. Free some space or check the disk and record it again; "
            f"the log {self.path} is as it was."
        )

    def set_aside_end(self, offset: int) -> Path:
        """
        Move everything from byte `offset` on into a file of its own beside the log, durably, then cut it off.
        Returns where it is. Raises LogWriteError; the log is then as it was.
        """
        try:
            kept = self._copy_end(offset)
            self._disk.truncate(self.fd, offset)
            self._disk.fsync(self.fd)
        except OSError as error:
            raise LogWriteError(
                f"The unfinished end of the log {self.path} could not be set aside ({error.strerror or error}). "
                "Free some space or check the disk; until then it is open for reading only."
            ) from error
        return kept

    def _copy_end(self, offset: int) -> Path:
        stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%S.%fZ")
        kept = self.path.with_name(f"{self.path.name}.torn-{stamp}")
        fd = self._disk.open(kept, CREATE)
        try:
            try:
                os.lseek(self.fd, offset, os.SEEK_SET)
                while data := self._disk.read(self.fd, _COPY):
                    self._disk.write_all(fd, data)
                self._disk.allow(kept, mode_of(self.path))
                self._disk.fsync(fd)
            finally:
                os.close(fd)
        except OSError:
            kept.unlink()  # closed by now: Windows removes no open file
            raise
        self._disk.sync_folder(self.path.parent)
        return kept

    def close(self) -> None:
        """Close the descriptor."""
        os.close(self.fd)
