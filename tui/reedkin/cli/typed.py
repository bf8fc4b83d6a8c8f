"""What was typed, or piped, as text."""

from __future__ import annotations

from reedkin.errors import InputError


def as_typed(said: str, else_do: str) -> str:
    """
    What an entry says, without the mark that some editors put before a first line. Where Python was told another
    encoding than the bytes are in (LC_ALL=C), each byte that it could not read stands for itself; of UTF-8 they are
    text all the same. Raises InputError, with what to do, where they are not, so that other lines can be taken.
    """
    try:
        text = said.encode(errors="surrogateescape").decode()
    except UnicodeError:
        raise InputError(f"it is not UTF-8 text; {else_do}") from None
    return text.removeprefix("\ufeff").strip()
