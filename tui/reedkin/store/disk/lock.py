"""
The lock of a log: one writer at a time. It is a lock of the operating system on `<log>.lock`, so it ends with the
process that holds it; the file that stays behind locks nobody out. Who holds it stands in the file, behind the one
byte that is locked (Windows lets nobody read that one).

It is taken for every entry anew where a program stays open, so it is made of two calls to the system: a lock that costs
a thousandth of a second would cost four times the entry.
"""

from __future__ import annotations

import errno
import os
import socket
import sys
import threading
import time
from datetime import datetime
from pathlib import Path

from reedkin.store.disk.calls import NO_LINK, PRIVATE, Disk, mode_of
from reedkin.store.errors import LogLockedError, LogUnwritableError

PATIENCE = 10.0
"""Seconds that a command waits for another writer: as many as eight at once may take on a slow machine."""
_PAUSE = 0.02
_NOTE = 200
_TAKEN = frozenset({errno.EACCES, errno.EAGAIN, errno.EWOULDBLOCK, errno.EDEADLK})
_UNKNOWN = frozenset({errno.ENOSYS, errno.ENOTSUP, errno.EOPNOTSUPP, errno.EINVAL, errno.ENOLCK})

if sys.platform == "win32":  # pragma: no cover - by reading only
    import msvcrt

    def _lock(fd: int) -> None:
        os.lseek(fd, 0, os.SEEK_SET)
        msvcrt.locking(fd, msvcrt.LK_NBLCK, 1)

    def _unlock(fd: int) -> None:
        os.lseek(fd, 0, os.SEEK_SET)
        msvcrt.locking(fd, msvcrt.LK_UNLCK, 1)
else:
    import fcntl

    def _lock(fd: int) -> None:
        fcntl.flock(fd, fcntl.LOCK_EX | fcntl.LOCK_NB)

    def _unlock(fd: int) -> None:
        fcntl.flock(fd, fcntl.LOCK_UN)


class LogLock:
    """The writer's lock of the log at `path`, for as often as it is taken; whoever has it may take it again. Threads of
    one program have it together: they keep out of each other's way by themselves."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._file = path.with_name(f"{path.name}.lock")
        self._guard = threading.Lock()
        self._fd = -1
        self._times = 0

    def take(self, wait: float = 0.0) -> None:
        """Take it, waiting so many seconds at most for whoever has it. Raises LogLockedError if it is still taken then,
        and LogUnwritableError where there can be no such lock."""
        with self._guard:
            if not self._times:
                self._fd = self._taken(time.monotonic() + wait)
            self._times += 1

    def release(self) -> None:
        """Undo one `take`, and with the last let the next writer in. Releasing what is not held is harmless."""
        with self._guard:
            self._times = max(0, self._times - 1)
            if not self._times and self._fd >= 0:
                try:
                    _unlock(self._fd)
                finally:
                    os.close(self._fd)
                    self._fd = -1

    def _taken(self, until: float) -> int:
        while True:
            try:
                fd = self._opened()
            except OSError as error:
                raise self._refused(error) from error
            try:
                _lock(fd)
                if self._is_there(fd):
                    self._leave_note(fd)
                    return fd
            except OSError as error:
                if error.errno not in _TAKEN:
                    os.close(fd)
                    raise self._refused(error) from error
            except BaseException:
                os.close(fd)
                raise
            holder = _holder(fd)
            os.close(fd)
            if time.monotonic() >= until:
                raise LogLockedError(
                    f"The log {self.path} is being written by {holder}. "
                    "Try again when that is done; until then it is open for reading only."
                )
            time.sleep(_PAUSE)

    def _opened(self) -> int:
        """A descriptor of the lock's file, which whoever may write the log may open."""
        try:
            return os.open(self._file, os.O_RDWR | NO_LINK)
        except FileNotFoundError:
            fd = os.open(self._file, os.O_RDWR | os.O_CREAT | NO_LINK, PRIVATE)
            Disk().allow(self._file, mode_of(self.path))
            return fd

    def _is_there(self, fd: int) -> bool:
        """Whether the lock that was got is still the one that others find: somebody may have removed the file."""
        try:
            return os.path.samestat(os.fstat(fd), self._file.stat())
        except FileNotFoundError:
            return False

    @staticmethod
    def _leave_note(fd: int) -> None:
        name = Path(sys.argv[0] or "reedkin").name
        who = f"{name}, process {os.getpid()} on {socket.gethostname()}, since {datetime.now().astimezone():%H:%M:%S}"
        os.lseek(fd, 1, os.SEEK_SET)
        os.write(fd, who.encode("utf-8", "replace")[:_NOTE].ljust(_NOTE))

    def _refused(self, error: OSError) -> LogUnwritableError:
        if error.errno in _UNKNOWN:
            return LogUnwritableError(
                f"The disk that holds the log {self.path} knows no locks ({error.strerror or error}), so that two "
                "programs could write at once and spoil it. Keep the log on a disk of this computer; here it is open "
                "for reading only."
            )
        if error.errno == errno.ELOOP:
            return LogUnwritableError(
                f"{self._file} is a link, and what it leads to is not written to. Remove it; until then the "
                "log is open for reading only."
            )
        return LogUnwritableError(
            f"The log {self.path} cannot be locked for writing: {error.strerror or error}. "
            "Check that its folder may be written to; until then it is open for reading only."
        )


def _holder(fd: int) -> str:
    """Who wrote the note in the lock's file, as far as it can be read."""
    try:
        os.lseek(fd, 1, os.SEEK_SET)
        note = os.read(fd, _NOTE).decode("utf-8", "replace").strip(" \0\n")
    except OSError:
        note = ""
    return note or "another program"
