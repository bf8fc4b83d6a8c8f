"""The command line: which command is meant, and how its end is told."""

from __future__ import annotations

import argparse
import io
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from reedkin import __version__
from reedkin.cli.commands import COMMANDS, Command
from reedkin.cli.context import LOG_VARIABLE, Context, needs_terminal, say, usual_log
from reedkin.domain.clock import Clock
from reedkin.domain.literal import literal
from reedkin.errors import ReedkinError
from reedkin.store.errors import LogDamagedError

FAILED, INTERRUPTED = 1, 130
EXIT_CODES = (
    "Ends with 0 when all is done, 2 after wrong usage or bad input, 3 where the log is damaged or locked, 130 when it "
    "was interrupted, and 1 in any other case."
)


class Parser(argparse.ArgumentParser):
    """A parser that names the nearest word where one is unknown."""

    def _check_value(self, action: argparse.Action, value: Any) -> None:
        if action.choices is None or value in action.choices:
            return
        what = "command" if action.metavar == "COMMAND" else "choice"
        choices = [str(choice) for choice in action.choices]
        meant = nearest(str(value), choices) or (_as_entry(str(value)) if what == "command" else "")
        also = "all of them: reedkin --help" if what == "command" else f"one of: {', '.join(choices)}"
        raise argparse.ArgumentError(action, f"there is no {what} {literal(str(value))}; {meant}{also}")


def _as_entry(word: str) -> str:
    """What may be meant by a word that begins an entry line and no command, as the beginning of a sentence."""
    from reedkin.grammar.words.verbs import in_full

    if word[:1].isdecimal() or in_full(word) is not None:
        return f"did you mean to record it? reedkin add {literal(word)} …; "
    return ""


def nearest(word: str, known: Sequence[str]) -> str:
    """What may be meant by a word that is none of those known, as the beginning of a sentence; empty if nothing is
    near."""
    from difflib import get_close_matches

    alike = {one.casefold(): one for one in known}
    found = get_close_matches(word.casefold(), list(alike), 2, 0.6)
    return f"did you mean {' or '.join(alike[one] for one in found)}? " if found else ""


class CommandParser(Parser):
    """The parser of one command, whose module is imported once the command is chosen."""

    def __init__(self, *args: Any, command: Command, **kwargs: Any) -> None:
        super().__init__(*args, **{"allow_abbrev": False, **kwargs})
        self._command = command

    def fill(self) -> None:
        """Import the command and take on what it takes."""
        module = self._command.load()
        self.set_defaults(run=module.run)
        _log_option(self, argparse.SUPPRESS)
        module.arguments(self)
        self.set_defaults(known_options=tuple(self._option_string_actions))

    def parse_known_args(self, args: Any = None, namespace: Any = None) -> Any:
        self.fill()
        return super().parse_known_args(args, namespace)


def commands_meant(argv: Sequence[str]) -> Sequence[Command]:
    """The command that a line names, if it begins with one or with a log and one; none where there is nothing but a
    log; else all of them. To make the parsers of all takes longer than to read a young log."""
    words = iter(argv)
    for word in words:
        if word == "--log":
            next(words, None)
        elif not word.startswith("--log="):
            return [command for command in COMMANDS if command.name == word] or COMMANDS
    return ()


def parser(commands: Sequence[Command] = COMMANDS) -> argparse.ArgumentParser:
    """The parser of the command line, as far as it is about these commands; its result has `run`, the chosen command's.
    A command that sets `takes_words` gets whatever is no option of its as `words`, so that an entry may hold "-20c"
    without quotes."""
    whole = Parser(
        prog="reedkin",
        description="The memory of a double-reed maker's bench. Without a command: the full-screen program.",
        epilog=EXIT_CODES,
        allow_abbrev=False,
    )
    whole.add_argument("--version", action="version", version=f"reedkin {__version__}")
    whole.set_defaults(run=_program, takes_words=False, known_options=("--log", "--help", "--version"))
    _log_option(whole, None)
    found = whole.add_subparsers(title="commands", metavar="COMMAND", parser_class=CommandParser)
    for command in commands:
        found.add_parser(command.name, help=command.help, description=command.help, command=command)
    return whole


def parser_of(command: Command) -> argparse.ArgumentParser:
    """The parser of one command by itself, with all that it takes."""
    found = CommandParser(prog=f"reedkin {command.name}", description=command.help, command=command)
    found.fill()
    return found


def _log_option(to: argparse.ArgumentParser, default: object) -> None:
    to.add_argument(
        "--log", metavar="FILE", type=Path, default=default,
        help=f"the log (else ${LOG_VARIABLE}, else the one in your data folder)",
    )  # fmt: skip


def _program(args: argparse.Namespace, context: Context) -> int:
    needs_terminal()
    from reedkin.app import open_app

    return open_app(context.path, context.clock)


def main(argv: Sequence[str], clock: Clock | None = None, unseen: bool = False) -> int:
    """Run a command and return its exit code; what went wrong has been told on stderr. Nothing is drawn where it is
    `unseen`, or where the terminal says that it cannot. Raises SystemExit as argparse does, for --help, --version and
    wrong usage."""
    whole = parser(commands_meant(argv))
    args, words = whole.parse_known_args(argv)
    if words and not args.takes_words:
        meant = nearest(words[0].split("=")[0], args.known_options) if words[0].startswith("-") else ""
        whole.error(f"not understood: {literal(' '.join(words))}{f'; {meant}'.rstrip() if meant else ''}")
    args.words = words[1:] if words[:1] == ["--"] else words
    unseen = unseen or os.environ.get("TERM") == "dumb"
    try:
        code: int = args.run(args, Context(args.log or usual_log(), clock or Clock(), unseen))
        sys.stdout.flush()
    except ReedkinError as error:
        say(str(error))
        if isinstance(error, LogDamagedError):
            say("To look at them: reedkin check. To record all the same: add --seen.")
        return error.exit_code
    return code


def guarded(argv: Sequence[str]) -> int:
    """`main` for a process of its own: nothing that happens ends in a traceback."""
    _open_closed_streams()
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")  # a terminal may lack a character
    if isinstance(sys.stdin, io.TextIOWrapper):
        sys.stdin.reconfigure(errors="surrogateescape")  # a line that is no text is refused, and the others are read
    try:
        return main(argv)
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:
        _stop_printing()  # the reader has gone, as `head` does
        return FAILED
    except OSError as error:
        say(_refused(error))
        return FAILED
    except Exception as error:  # noqa: BLE001 - the last resort: told, and kept whole in a file
        say(_unexpected(error, argv))
        return FAILED


def _open_closed_streams() -> None:
    """A standard stream that was closed (`>&-`) leads nowhere, so that whoever prints need not ask. Above all its
    number is taken: a log that was opened under it would have everything printed into it."""
    for name, flags, mode in (("stdin", os.O_RDONLY, "r"), ("stdout", os.O_WRONLY, "w"), ("stderr", os.O_WRONLY, "w")):
        if getattr(sys, name) is None:
            setattr(sys, name, os.fdopen(os.open(os.devnull, flags), mode))


def _stop_printing() -> None:
    """Let what could not be printed go nowhere: Python would try once more at the end."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _refused(error: OSError) -> str:
    """What to say where the system refuses something that no command has words of its own for."""
    why = error.strerror or error
    if error.filename is not None:
        return f"{error.filename}: {why}. Check the name, and who may read and write there."
    _stop_printing()
    return f"Not all could be printed: {why}. What was recorded stands."


def _unexpected(error: Exception, argv: Sequence[str]) -> str:
    from platformdirs import user_log_path

    from reedkin.cli.report import keep_report

    what = f"Something went wrong in the program itself ({type(error).__name__}: {error})."
    try:
        folder = user_log_path("reedkin", appauthor=False, ensure_exists=True)
        kept = keep_report(folder, error, f"reedkin {__version__}{_command(argv)}", Clock().now())
    except OSError as refused:
        return f"{what}\nNo report could be kept: {refused}."
    return f"{what}\nA report is in {kept}; send it to whoever looks after the program, with what you typed."


def _command(argv: Sequence[str]) -> str:
    """The name of the command among what was typed, which may be private for the rest."""
    names = {command.name for command in COMMANDS}
    return next((f" {word}" for word in argv if word in names), "")
