"""`reedkin help`: what of the help holds some words; the same help as with F1, and the commands besides."""

from __future__ import annotations

import argparse
from collections.abc import Sequence

from reedkin.cli.context import LOG_VARIABLE, Context, show, show_text
from reedkin.cli.main import EXIT_CODES
from reedkin.domain.columns import fit
from reedkin.screens.topics import Topic, asked_for, holding, near, topics

_NAME = 22
_OF_ALL = (
    ("--log FILE", f"another log than the one in your data folder; or set {LOG_VARIABLE}"),
    ("--json", "an answer as JSON; --schema says what that holds, as a JSON Schema (2020-12)"),
    ("exit codes", EXIT_CODES[0].lower() + EXIT_CODES[1:].rstrip(".")),
    ("Tab", "completes commands, tags, names and entry lines, once the shell knows how: reedkin completion bash"),
    ("man", "all commands as a page: reedkin help --man > reedkin.1; man ./reedkin.1"),
)
"""What goes for all commands."""


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "sought", metavar="WORDS", nargs="*", help="such as wire, or hours left; without any, all of it"
    )
    parser.add_argument("--man", action="store_true", help="all commands as a page for man, in its own format")


def run(args: argparse.Namespace, context: Context) -> int:
    if args.man:
        from reedkin.cli.manual import manual

        print(manual())
        return 0
    every = [*_commands(), *topics()]
    words = " ".join(args.sought)
    found = holding(every, words)
    if not found:
        meant = near(every, words)
        show(
            f"Nothing holds {words}.{' Near: ' + ', '.join(meant) + '.' if meant else ''} All of the help: reedkin help"
        )
        return 1
    for of in dict.fromkeys(topic.of for topic in found):
        show(of[0].upper() + of[1:])
        show_text(_lines([topic for topic in found if topic.of == of]))
        show()
    return 0


def _commands() -> list[Topic]:
    from reedkin.cli.commands import COMMANDS

    own = [Topic("in a shell", f"reedkin {command.name}", command.help) for command in COMMANDS]
    return asked_for([*own, *(Topic("in a shell", name, said) for name, said in _OF_ALL)])


def _lines(found: Sequence[Topic]) -> list[str]:
    return [f"  {fit(topic.name, _NAME)} {topic.said}" for topic in found]
