"""`reedkin add` without an entry: the bench without a screen. Entry lines one after the other, each answered in plain
words, and every question that the program answers asked from the same prompt.

Nothing is drawn and nothing is painted anew, so that a screen reader or a braille display can follow; from a pipe every
line is an entry.
"""

from __future__ import annotations

import argparse
import shlex
import sys
from collections.abc import Iterator
from typing import TYPE_CHECKING

from reedkin.cli.context import Context, back_up, say, show, show_text
from reedkin.cli.fate import fate_of
from reedkin.cli.typed import as_typed
from reedkin.domain.literal import literal
from reedkin.domain.words import spelt
from reedkin.errors import InputError, LogError, ReedkinError

if TYPE_CHECKING:
    from reedkin.desk import Desk
    from reedkin.grammar.reading import Reading
    from reedkin.grammar.words.tokens import Problem

_HELP = (
    "Type what you did, such as: 142 scrape tip 10m. Without a tag it is the reed in hand.",
    "A tag alone tells that reed's whole life. take back strikes the last entry; 6 is 26 gives reed 6 another tag.",
    "who tells which reed is in hand, last what was recorded last.",
    "Every command answers here too, such as: case, stock, week, show 142, ready --on 12 March --reeds 3.",
    "crow listen hears the reed through the microphone; crow take3.wav hears a recording.",
    "To leave: bye, or Ctrl+D.",
)
_WHO = ("who", "who is in hand", "hand")
_LAST = ("last", "what was last")
_BYE = ("bye", "leave", "quit", "exit")
_NOT_FROM_HERE = ("add", "demo")


def run_lines(args: argparse.Namespace, context: Context) -> int:
    """Take entries from standard input until it ends; the exit code says whether all were recorded."""
    asked = sys.stdin.isatty()
    bench = _DeskAsNeeded(args, context, asked)
    try:
        for number, line in enumerate(_typed(bench) if asked else sys.stdin, 1):
            if line.strip().casefold() in _BYE and asked:
                break
            try:
                if entry := as_typed(line, "save the file as UTF-8"):
                    bench.take(entry, f"line {number}: " if not asked else "")
            except InputError as error:
                bench.refuse(str(error), f"line {number}: " if not asked else "")
            except LogError:
                if not asked:
                    say(f"Stopped at line {number}; those before it were taken.")
                raise
    finally:
        bench.close()
    return InputError.exit_code if bench.refused and not asked else 0


def _typed(bench: _DeskAsNeeded) -> Iterator[str]:
    """What is typed at the prompt, with the lines before at the arrow keys where the system can."""
    try:
        import readline

        readline.parse_and_bind("set enable-bracketed-paste off")  # it writes codes that a screen reader would read out
    except ImportError:
        pass  # Windows: its console keeps the lines by itself
    show("The bench without a screen. A question mark tells what can be typed; Ctrl+D ends.")
    while True:
        try:
            line = input(bench.prompt)
        except KeyboardInterrupt:
            print()
            continue
        except EOFError:
            print()
            return
        if line.strip():
            yield line


class _DeskAsNeeded:
    """The log with a reed in hand, opened when it is first needed, so that a slip leaves no empty log behind."""

    def __init__(self, args: argparse.Namespace, context: Context, asks: bool) -> None:
        self._args, self._context, self._asks = args, context, asks
        self._desk: Desk | None = self._open() if context.exists else None
        self.refused = False

    def _open(self) -> Desk:
        from reedkin.desk import Desk

        return Desk(self._context.writing(self._args.seen, shared=True))

    def close(self) -> None:
        """Leave the log, with a backup of the day."""
        if self._desk is not None:
            back_up(self._desk.log)
            self._desk.log.close()
            self._desk = None

    @property
    def prompt(self) -> str:
        hand = self._desk.hand if self._desk is not None else None
        return f"{literal(hand.label) if hand is not None else 'no reed'}: "

    def refuse(self, why: str, where: str = "") -> None:
        """Tell why a line was not recorded."""
        self.refused = True
        say(f"{where}not recorded: {why}")

    def take(self, line: str, where: str = "") -> None:
        """Answer a line. Raises what the log raises, and InputError."""
        words = line.casefold().rstrip("?").strip()
        if self._asks and line == "?":
            show_text(_HELP)
        elif self._asks and words in _WHO:
            show(self._who())
        elif self._asks and words in _LAST:
            show(self._last())
        else:
            self._entry(line, where)

    def _entry(self, line: str, where: str) -> None:
        from reedkin.bench.bench import Bench
        from reedkin.grammar.reading import read
        from reedkin.hearing.recording import Recordings
        from reedkin.hearing.said import listens

        desk, bench = self._desk, self._desk.bench if self._desk is not None else Bench(self._context.clock)
        if self._asks and listens(line):
            line = self._listened(line, bench.settings.a4)
            if not line:
                show("Not recorded.")
                return
        line = Recordings().heard(line, bench.settings.a4)
        reading = desk.read(line) if desk is not None else read(line, bench)
        if self._asks and reading.lone_tag is not None:
            self._command(["show", reading.lone_tag])
            return
        if self._asks and not reading.ready and self._is_command(line):
            self._command(_split(line))
            return
        fate = fate_of(reading, self._args, self._asks)
        if fate.refused or not reading.ready:
            self.refuse(fate.refused[0].message if fate.refused else "That says nothing.", where)
        elif fate.asked and not self._agreed(fate.asked):
            show("Not recorded.")
        else:
            self._record(reading)
            for question in fate.told:
                say(f"{where}recorded, but: {question.message}")

    def _listened(self, line: str, a4: float) -> str:
        """The line with what the microphone hears, if its maker wants it; else nothing. Raises InputError where nothing
        can be heard."""
        from reedkin.hearing.listener import LONGEST_SECONDS, Listener
        from reedkin.hearing.said import listened

        try:
            heard = Listener().listen(lambda: show(f"Listening for up to {LONGEST_SECONDS:g} seconds: crow now."))
            assert heard is not None  # nobody stops it but by an interrupt
            line = listened(line, heard.crow.entry(a4))
            show(f"Heard. The line is now: {line}")
            if self._desk is not None and (kept := self._desk.keep_sound(heard, line)):
                show(kept)
            answer = input("Enter records it, no leaves it: ")
        except (EOFError, KeyboardInterrupt):
            print()
            return ""
        return line if answer.strip().casefold() in ("", "y", "yes") else ""

    def _record(self, reading: Reading) -> None:
        if self._desk is None:
            self._desk = self._open()
        if reading.takes_back:
            records, _ = self._desk.take_back()
            show(f"Taken back: {self._desk.summary(records)}")
            return
        said, cautions = self._desk.explain(reading), self._desk.cautions(reading)
        self._desk.record(reading)
        for one in said:
            show(one)
        for caution in cautions if self._asks else ():
            show(caution)
            self._desk.cautioned(caution)

    def _agreed(self, questions: tuple[Problem, ...]) -> bool:
        for question in questions:
            show(f"A question: {question.message}")
        try:
            answer = input("Record it all the same? yes or no: ")
        except (EOFError, KeyboardInterrupt):
            print()
            return False
        return answer.strip().casefold() in ("y", "yes")

    def _who(self) -> str:
        hand = self._desk.hand if self._desk is not None else None
        if hand is None:
            return "No reed is in hand."
        from reedkin.domain.figures import plural

        minutes = self._desk.offered_minutes if self._desk is not None else None
        clock = f", {plural(minutes, 'minute')} on the bench clock" if minutes else ""
        return f"Reed {hand.label}, {spelt(hand.instrument)}, {hand.stage}{clock}."

    def _last(self) -> str:
        records = self._desk.log.entries.last() if self._desk is not None else []
        return f"Last: {self._desk.summary(records)}" if self._desk is not None and records else "Nothing is recorded."

    # The program's other answers

    @staticmethod
    def _is_command(line: str) -> bool:
        from reedkin.cli.commands import COMMANDS

        first = line.split(maxsplit=1)[0]
        return first in {command.name for command in COMMANDS} and first not in _NOT_FROM_HERE

    def _command(self, words: list[str]) -> None:
        """Run a command as the shell would; the log is left to it meanwhile."""
        from reedkin.cli.main import main

        if self._desk is not None:
            self._desk.log.close()
            self._desk = None
        try:
            main(["--log", str(self._context.path), *words], self._context.clock, unseen=True)
        except SystemExit:
            pass  # --help, or wrong usage: argparse has told
        except ReedkinError as error:
            say(str(error))
        finally:
            if self._context.exists:
                self._desk = self._open()


def _split(line: str) -> list[str]:
    try:
        return shlex.split(line)
    except ValueError as error:
        raise InputError(f"{line} cannot be taken apart ({error}).") from error
