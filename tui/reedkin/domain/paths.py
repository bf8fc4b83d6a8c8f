"""The names of files: as somebody types them, and as they are made."""

from __future__ import annotations

import re
from pathlib import Path

from reedkin.errors import InputError


def named_path(text: str) -> Path:
    """The path that is meant, `~` being the home folder. Raises InputError for what can name no file."""
    text = text.strip()
    if not text or "\0" in text:
        raise InputError("That names no file. Write a name such as reeds.txt")
    try:
        return Path(text).expanduser()
    except RuntimeError as error:  # "~somebody" who has no home here
        raise InputError(f"{text}: there is no such home folder. Write the whole path.") from error


def in_a_name(text: str) -> str:
    """A tag or a label as a part of a file's name: a hyphen for whatever could lead elsewhere, or not be seen."""
    return re.sub(r"[^\w.-]", "-", text)


def here(name: str) -> str:
    """A name in the folder where the program was started; alone where that folder is gone."""
    try:
        return str(Path.cwd() / name)
    except OSError:
        return name
