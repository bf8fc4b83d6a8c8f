"""The names of files as somebody types them."""

from __future__ import annotations

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


def here(name: str) -> str:
    """A name in the folder where the program was started; alone where that folder is gone."""
    try:
        return str(Path.cwd() / name)
    except OSError:
        return name
