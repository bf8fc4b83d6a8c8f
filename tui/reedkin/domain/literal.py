"""Text from outside, made fit to show: nothing in it can steer a terminal, hide, or turn the line around."""

from __future__ import annotations

import unicodedata

_PICTURES = {code: chr(0x2400 + code) for code in range(0x20)} | {0x7F: "\u2421"}
"""The control characters of ASCII and the pictures that Unicode has of them: ␛ for escape."""

_NON_JOINER = "\u200c"
"""Zero width non-joiner: part of the right spelling of Persian and other languages."""
_LEFT_OUT = "\u200d\ufe0f"
"""Zero width joiner and variation selector 16 make one picture of several, or a wide one of a narrow one, as each
terminal likes; without them the parts stand side by side, and every terminal gives them the same columns."""


def literal(text: str) -> str:
    """`text` with every character that is not seen made visible: control characters by their pictures (␛), those that
    turn the direction of writing, the other invisible ones and broken halves of a character spelled out (\\u202e); what
    glues pictures together is left out.
    Letters of every script, spaces and markup stay as they are.

    Doing it twice is the same as doing it once.
    """
    if _plain(text):
        return text
    return "".join(map(_shown, text))


def literal_cells(text: str) -> str:
    """The same one character for one, so that places in the text stay where they are; a character without a picture
    becomes the replacement character."""
    if _plain(text):
        return text
    return "".join(
        char if char in _LEFT_OUT else shown if len(shown := _shown(char)) == 1 else "\ufffd" for char in text
    )


def _plain(text: str) -> bool:
    return text.isprintable() and "\ufe0f" not in text  # which counts as printable


def _shown(char: str) -> str:
    if char in _LEFT_OUT:
        return ""
    if char.isprintable() or char == _NON_JOINER or unicodedata.category(char) == "Zs":
        return char
    return _PICTURES.get(ord(char)) or char.encode("unicode_escape").decode("ascii")
