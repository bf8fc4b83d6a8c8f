"""The calls that touch the disk, in one small object so that tests can hand in one that fails."""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path

_BINARY = getattr(os, "O_BINARY", 0)
READ = os.O_RDONLY | _BINARY
APPEND = os.O_RDWR | os.O_APPEND | _BINARY
CREATE = os.O_WRONLY | os.O_CREAT | os.O_EXCL | _BINARY
NO_LINK = getattr(os, "O_NOFOLLOW", 0)
"""For files of our own beside the log: a link in their place could have something else written to."""
PRIVATE = 0o600
"""What a new file allows: to its owner alone, since nobody else has to read what somebody writes of her work."""
_USUAL = 0o666
_PART = 1024 * 1024
_UNFINISHED = ".{}.{}.new"
"""What a file is called, by its name and the process that makes it, until it is whole."""


def mode_of(path: Path) -> int:
    """What the file at `path` allows, for its copies to allow no more; PRIVATE where there is none."""
    try:
        return PRIVATE | path.stat().st_mode & _USUAL
    except FileNotFoundError:
        return PRIVATE


class Disk:
    """The operating system's calls. Every method raises OSError when the system does."""

    def open(self, path: Path, flags: int, mode: int = PRIVATE) -> int:
        return os.open(path, flags, mode)

    def read(self, fd: int, count: int) -> bytes:
        return os.read(fd, count)

    def write(self, fd: int, data: bytes | memoryview) -> int:
        return os.write(fd, data)

    def fsync(self, fd: int) -> None:
        """Ask that everything written so far survives a loss of power."""
        if sys.platform == "darwin":
            # There, fsync leaves the data in the drive's own cache; this call empties that too.
            import fcntl

            with contextlib.suppress(OSError):  # not every file system knows it
                fcntl.fcntl(fd, fcntl.F_FULLFSYNC)
                return
        os.fsync(fd)

    def truncate(self, fd: int, size: int) -> None:
        os.ftruncate(fd, size)

    def write_all(self, fd: int, data: bytes) -> None:
        """Write all of `data`, however many calls the system takes for it."""
        done = self.write(fd, data)
        while done < len(data):
            done += self.write(fd, memoryview(data)[done:])

    def sync_folder(self, folder: Path) -> None:
        """Make new names in `folder` survive a loss of power, where the system can."""
        if os.name == "nt":
            return
        fd = self.open(folder, os.O_RDONLY)
        try:
            self.fsync(fd)
        finally:
            os.close(fd)

    def make_folder(self, folder: Path) -> None:
        """Make `folder` and whatever is missing above it, durably."""
        missing = [p for p in (folder, *folder.parents) if not p.exists()]
        for path in reversed(missing):
            path.mkdir(exist_ok=True)
            self.sync_folder(path.parent)

    def create(self, path: Path, parts: Iterable[bytes], replace: bool = False, mode: int | None = PRIVATE) -> None:
        """
        Make a new file of `parts`: whole and durable, or not at all; `mode` is what it allows (None: what any new file
        of this user does). Raises FileExistsError where there is one, unless it is to be replaced. Waits for the disk
        after each part, so that a long file never keeps an entry waiting.
        """
        temporary = path.with_name(_UNFINISHED.format(path.name, os.getpid()))
        temporary.unlink(missing_ok=True)
        fd = self.open(temporary, CREATE, _USUAL if mode is None else PRIVATE)
        try:
            try:
                for part in parts:
                    self.write_all(fd, part)
                    self.fsync(fd)
            finally:
                os.close(fd)
            if mode is not None:
                self.allow(temporary, mode)
            if replace:
                temporary.replace(path)
            else:
                self._publish(temporary, path)
        finally:
            temporary.unlink(missing_ok=True)
        self.sync_folder(path.parent)

    def allow(self, path: Path, mode: int) -> None:
        """Let a new file, which is private, allow what `mode` says. Where the file system knows one mode for all, there
        is nothing to do."""
        if mode not in (PRIVATE, mode_of(path)):
            path.chmod(mode)

    def _publish(self, temporary: Path, path: Path) -> None:
        try:
            os.link(temporary, path)
        except FileExistsError:
            raise
        except OSError:
            # A file system without hard links. Our lock keeps other writers of ours out.
            if path.exists():
                raise FileExistsError(path) from None
            temporary.rename(path)


def clear_unfinished(folder: Path, names: str = "*") -> None:
    """Remove what was left where `create` was killed at a file whose name fits the pattern `names`. The caller holds
    the lock under which they are made. Raises OSError."""
    for path in folder.glob(_UNFINISHED.format(names, "*")):
        path.unlink(missing_ok=True)


def in_parts(lines: Iterable[bytes]) -> Iterator[bytes]:
    """Lines gathered into parts of about a megabyte, each of which the disk is waited for."""
    part = bytearray()
    for line in lines:
        part += line
        if len(part) >= _PART:
            yield bytes(part)
            part.clear()
    yield bytes(part)
