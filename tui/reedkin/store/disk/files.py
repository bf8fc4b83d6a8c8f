"""Files beside the log that somebody asked for: written whole or not at all, and never over another unasked."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path

from reedkin.errors import ReedkinError
from reedkin.store.disk.calls import Disk, in_parts, mode_of


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
    try:
        target = free_name(path)
        Disk().create(target, [text.encode()], mode=None)
    except OSError as error:
        raise _refused(path, error) from error
    return target


def write_private(path: Path, content: bytes) -> Path:
    """Write a new file as `write_new` does, for its owner alone, in a folder that is made if need be."""
    try:
        disk, target = Disk(), free_name(path)
        disk.make_folder(path.parent)
        disk.create(target, [content])
    except OSError as error:
        raise _refused(path, error) from error
    return target


def write_over(path: Path, lines: Iterable[bytes]) -> None:
    """Write `lines` to the file at `path`, in place of what it holds; where that is a link, to what it leads to.

    Raises FileWriteError; the file is as it was then.
    """
    try:
        if path.exists() and not path.is_file():
            raise FileWriteError(f"Not written: {path} is not an ordinary file. Choose another place.")
        mode = mode_of(path) if path.exists() else None
        Disk().create(Path(os.path.realpath(path)), in_parts(lines), replace=True, mode=mode)
    except OSError as error:
        raise _refused(path, error) from error


def _refused(path: Path, error: OSError) -> FileWriteError:
    return FileWriteError(f"Not written: {error.strerror or error}. Choose another place than {path}.")
