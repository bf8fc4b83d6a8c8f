"""The page for `man`, made of the help of every command, so that the two cannot differ.

In the macros of man(7): .SH a section, .TP a term with what is said of it, .B and .I words that stand out.
"""

from __future__ import annotations

import argparse

from reedkin import __version__
from reedkin.cli.commands import COMMANDS
from reedkin.cli.context import LOG_VARIABLE
from reedkin.cli.main import EXIT_CODES, parser, parser_of


def manual() -> str:
    """The whole page."""
    whole = parser()
    lines = [
        f'.TH REEDKIN 1 "" "reedkin {__version__}" "User commands"',
        ".SH NAME",
        "reedkin \\- the memory of a double-reed maker's bench",
        ".SH SYNOPSIS",
        ".B reedkin",
        "[\\-\\-log FILE] [COMMAND ...]",
        ".SH DESCRIPTION",
        _plain(str(whole.description)),
        ".SH COMMANDS",
    ]
    for command in COMMANDS:
        lines += [".SS " + command.name, _plain(command.help[0].upper() + command.help[1:] + ".")]
        for action in parser_of(command)._actions:
            lines += _option(action)
    lines += [
        ".SH EXIT STATUS",
        _plain(EXIT_CODES),
        ".SH ENVIRONMENT",
        ".TP",
        f".B {LOG_VARIABLE}",
        "The log, where none is named by \\-\\-log.",
        ".TP",
        ".B NO_COLOR",
        "Without colours, if it is set.",
    ]
    return "\n".join(lines)


def _option(action: argparse.Action) -> list[str]:
    if action.help == argparse.SUPPRESS or "--help" in action.option_strings or "--log" in action.option_strings:
        return []
    value = "" if action.nargs == 0 else str(action.metavar or action.dest.upper())
    named = ", ".join(action.option_strings)
    said = (action.help or "").replace("%%", "%")
    return [".TP", f".B {_plain(named)} {_plain(value)}".rstrip() if named else f".I {_plain(value)}", _plain(said)]


def _plain(text: str) -> str:
    """Text as roff takes it: hyphens and backslashes as such, and no line that begins as a request does."""
    text = text.replace("\\", "\\e").replace("-", "\\-")
    return "\\&" + text if text[:1] in (".", "'") else text
