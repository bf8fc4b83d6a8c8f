"""Cells of a CSV file (RFC 4180). A text that a spreadsheet would run as a formula gets an apostrophe in front, and
reading takes exactly that apostrophe off again."""

from __future__ import annotations

import re

# What spreadsheets take for the beginning of a formula, with the wide forms that some of them take as well.
_FORMULA = "\\s*[=+\\-@＝＋－＠]|[\t\r\n]"
_RUNS = re.compile(f"'*(?:{_FORMULA})")
_WAS_NEUTRALISED = re.compile(f"'+(?:{_FORMULA})")
_PLAIN = re.compile(r"[\w.:/#%-][\w.:/#% +-]*")


def neutralised(text: str) -> str:
    """`text` with an apostrophe in front if a spreadsheet would run it, or if it looks as if it already had one."""
    return f"'{text}" if _RUNS.match(text) else text


def restored(text: str) -> str:
    """The text that `neutralised` was given."""
    return text[1:] if _WAS_NEUTRALISED.match(text) else text


def cell(value: object) -> str:
    """A value as it stands in a line: numbers bare, yes and no, text in quotes unless it is plain."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return repr(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)
    if isinstance(value, int):
        return str(value)
    text = neutralised(str(value))
    return text if _PLAIN.fullmatch(text) else '"' + text.replace('"', '""') + '"'
