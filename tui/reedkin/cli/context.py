"""What every command needs: the log that is meant, opened as the command needs it, and words to the user."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from reedkin.domain.clock import Clock
from reedkin.domain.columns import fold_text
from reedkin.domain.figures import plural
from reedkin.domain.literal import literal
from reedkin.errors import InputError, LogError

if TYPE_CHECKING:
    from reedkin.store.log import Log

LOG_VARIABLE = "REEDKIN_LOG"


def usual_log() -> Path:
    """The log that is meant where none is named: that of the environment, or the one in the platform's data folder."""
    if named := os.environ.get(LOG_VARIABLE):
        return Path(named)
    from platformdirs import user_data_path

    return user_data_path("reedkin", appauthor=False) / "log.jsonl"


@dataclass(frozen=True, slots=True)
class Context:
    """The log's path and the clock of a run of the command line; whether it is heard and not seen."""

    path: Path
    clock: Clock
    unseen: bool = False
    """Nothing is drawn, and nothing painted over what stands there: it is read aloud, or felt."""

    def charted(self, asked: bool | None) -> bool | None:
        """Whether a chart is wanted that was asked for so: not where nothing is seen."""
        return False if self.unseen else asked

    def reading(self, tell: bool = True) -> Log:
        """The log, open for reading; that it has faults is told. Raises InputError where there is no log, and
        LogError."""
        self.must_exist()
        from reedkin.store.log import Log

        log = Log(self.path, self.clock, read_only=True)
        if tell:
            tell_faults(log)
        return log

    @property
    def exists(self) -> bool:
        """Whether there is a log yet. Raises LogUnreadableError where the system does not let one look."""
        try:
            self.path.stat()
        except (FileNotFoundError, NotADirectoryError):
            return False
        except OSError as error:
            from reedkin.store.disk.logfile import unreadable

            raise unreadable(self.path, error) from error
        return True

    def must_exist(self) -> None:
        """Raises InputError where there is no log."""
        if not self.exists:
            raise InputError(
                f"There is no log at {self.path} yet. Begin one with: reedkin add 1 tie oboe 72\n"
                "or name another with --log FILE."
            )

    def may_write(self, file: Path, force: bool) -> None:
        """Raises InputError where a file that is to be written is the log, or is there already, unless by `force`."""
        if not file.exists():
            return
        if self.exists and file.samefile(self.path):
            raise InputError(f"{file} is the log itself. Name another file.")
        if not force:
            raise InputError(f"There is a file {file} already. Name another, or add --force to replace it.")

    def writing(self, seen: bool = False, shared: bool = False) -> Log:
        """The log, open for writing, made if there is none; another program that writes it is waited for, and with
        `shared` others may write between. `seen` says that the user has seen its damage. Raises LogError."""
        from reedkin.store.disk.lock import PATIENCE
        from reedkin.store.log import Log
        from reedkin.store.reading.faults import FaultKind

        log = Log(self.path, self.clock, shared=shared, wait=PATIENCE)
        if seen:
            log.acknowledge()
        for fault in log.faults:
            if fault.kept is not None or fault.kind is FaultKind.UNSURE:
                say(fault.message)
        return log

    def taking_in(self, dry_run: bool, seen: bool) -> Log | None:
        """The log that a file is to be taken into, if there is one yet: a file with faults must not leave an empty log
        behind. Raises LogError."""
        if not self.exists:
            return None
        return self.reading() if dry_run else self.writing(seen)


def needs_terminal() -> None:
    """Raises InputError where the full-screen program has no terminal to draw on and to read keys from."""
    if not on_terminal():
        raise InputError(
            "The full-screen program needs a terminal, and here there is none. To record from a script: "
            'reedkin add "ENTRY"; for all commands: reedkin --help'
        )


def on_terminal() -> bool:
    """Whether keys come from a terminal, and there is one to draw on."""
    return all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stdout, sys.stderr))


def tell_faults(log: Log) -> None:
    """Tell that a log has faults, if it has."""
    if log.faults:
        say(f"The log has {plural(len(log.faults), 'fault')}; to see what: reedkin check")


def back_up(log: Log, much: bool = False) -> None:
    """Make a backup, one a day and whenever enough was recorded since; always after a command that may have recorded
    `much`. What was recorded stays recorded if it fails; that is told."""
    try:
        log.back_up(daily=not much)
    except LogError as error:
        say(str(error))


def show(line: str = "") -> None:
    """Print a line of what was asked for."""
    print(literal(line))


def show_text(lines: Iterable[str]) -> None:
    """Print plain text, lines that are too long for any terminal folded."""
    for line in fold_text(lines):
        show(line)


def say(text: str) -> None:
    """Tell the user something beside what was asked for, on stderr."""
    for line in text.splitlines():
        print(f"reedkin: {literal(line)}", file=sys.stderr)


def show_json(document: object) -> None:
    """Print what was asked for as JSON; characters beyond ASCII are escaped, so nothing in it can steer a terminal."""
    import json  # most commands print none

    print(json.dumps(document, indent=2))
