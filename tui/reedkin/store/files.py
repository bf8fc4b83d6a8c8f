"""Writing a file beside the log: whole or not at all, and never over another."""

from __future__ import annotations

import os
import tempfile
from contextlib import suppress
from pathlib import Path

from reedkin.errors import ReedkinError


class FileWriteError(ReedkinError):
    """A file that was asked for cannot be written."""


def free_name(path: Path) -> Path:
    """`path`, or the first of "name-2", "name-3", ... that no file has."""
    candidate, count = path, 1
    while candidate.exists():
        count += 1
        candidate = path.with_stem(f"{path.stem}-{count}")
    return candidate


def write_new(path: Path, text: str) -> Path:
    """Write UTF-8 `text` to a new file at `path` or the next free name beside it; returns where.

    Raises FileWriteError; nothing is left behind then.
    """
    target = free_name(path)
    try:
        write_whole(target, text.encode())
    except OSError as error:
        raise FileWriteError(f"Not written: {error.strerror or error}. Choose another place than {target}.") from error
    return target


def write_whole(path: Path, content: bytes) -> None:
    """Write `content` to `path` by way of a temporary file beside it, so that it is there whole or not at all.

    Raises OSError; the temporary file is gone then.
    """
    handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        Path(name).replace(path)
    except BaseException:
        with suppress(FileNotFoundError):
            Path(name).unlink()
        raise
