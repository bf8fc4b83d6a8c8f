"""Files from outside, opened to be read: ordinary ones, and what the shell hands over itself. A named pipe that nobody
writes to would be waited for without end."""

from __future__ import annotations

import errno
import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from reedkin.errors import InputError

_AT_ONCE = getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0) | getattr(os, "O_CLOEXEC", 0)
"""Opened so, a pipe without a writer does not wait for one."""
_FROM_SHELL = ("/dev/stdin", "/dev/fd/", "/proc/self/fd/")
"""What stands for an open pipe on a command line: `<(...)`, and standard input by its name."""


@contextmanager
def opened(path: Path) -> Iterator[BinaryIO]:
    """The file at `path`, open for reading its bytes. Raises InputError where it is none that can be read to an end,
    and OSError as `open` does."""
    if str(path).startswith(_FROM_SHELL):
        with path.open("rb") as given:
            yield given
        return
    fd = os.open(path, os.O_RDONLY | _AT_ONCE)
    try:
        mode = os.fstat(fd).st_mode
        if stat.S_ISDIR(mode):
            raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR))
        if not stat.S_ISREG(mode):
            raise InputError(f"{path} is not an ordinary file. Save what it gives in one, and name that.")
        file = os.fdopen(fd, "rb")
    except BaseException:
        os.close(fd)
        raise
    with file:
        yield file


def read_up_to(most: int, path: Path) -> bytes:
    """What the file at `path` holds, or its first `most` bytes and one more, which tells that it is larger. Raises
    InputError where it cannot be read."""
    try:
        with opened(path) as file:
            return file.read(most + 1)
    except OSError as error:
        raise InputError(f"{path} cannot be read: {error.strerror or error}. Check its name.") from error
