"""The command line in this process, on a log of its own and with a clock that stands still."""

from __future__ import annotations

import gettext
import io
import json
import shutil
from contextlib import redirect_stdout
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from reedkin.cli.commands import COMMANDS as EVERY
from reedkin.cli.main import main
from reedkin.domain.clock import FixedClock
from reedkin.store.disk.calls import Disk
from reedkin.store.log import Log
from tests.store.making import HastyDisk

COMMANDS = frozenset(command.name for command in EVERY)


@dataclass(frozen=True)
class Ran:
    """How a run of these words ended, and what it printed."""

    code: int
    out: str
    err: str
    words: tuple[str, ...] = ()

    @property
    def json(self) -> Any:
        """What was given as JSON, which has to keep to the schema that its command gives out."""
        document = json.loads(self.out, parse_constant=_no_json)
        name = next(word for word in self.words if word in COMMANDS)
        keeper(name).validate(document)
        return document

    @property
    def lines(self) -> list[str]:
        return self.out.splitlines()


def _no_json(constant: str) -> None:
    raise AssertionError(f"{constant} is no JSON (RFC 8259)")


@cache
def keeper(name: str) -> Draft202012Validator:
    """What holds a command to its schema, which it prints itself."""
    printed = io.StringIO()
    with redirect_stdout(printed), pytest.raises(SystemExit):
        main([name, "--schema"])
    return Draft202012Validator(json.loads(printed.getvalue()))


class CommandLine:
    """Runs commands as a shell would: `run("add", "1 clip .5")`."""

    def __init__(self, path: Path, clock: FixedClock, capsys: pytest.CaptureFixture[str], made: Path) -> None:
        """`made`: where logs are kept that several tests begin with."""
        self.path, self.clock, self._capsys, self._made = path, clock, capsys, made

    def __call__(self, *words: str, log: Path | None = None) -> Ran:
        try:
            code = main(["--log", str(log or self.path), *words], self.clock)
        except SystemExit as end:
            code = int(end.code or 0)
        said = self._capsys.readouterr()
        return Ran(code, said.out, said.err, words)

    def done(self, *words: str, log: Path | None = None) -> Ran:
        """A run that has to end well."""
        ran = self(*words, log=log)
        assert ran.code == 0, ran.err
        return ran

    def enter(self, *lines: str) -> None:
        """Record entry lines, a minute between them. A log that begins with the same lines at the same time is written
        once and then copied, with all that lies beside it."""
        folder = self.path.parent
        begins = not folder.exists()
        made = self._made / sha256(repr((self.path.name, self.clock.now(), lines)).encode()).hexdigest()
        if begins and made.exists():
            shutil.copytree(made, folder)
            self.clock.forward(minutes=len(lines))
            return
        for line in lines:
            self.done("add", line)
            self.clock.forward(minutes=1)
        if begins:
            shutil.copytree(folder, made)

    def log(self) -> Log:
        return Log(self.path, self.clock, read_only=True)


class Typist(io.StringIO):
    """A keyboard on which somebody has typed an answer."""

    def isatty(self) -> bool:
        return True


@pytest.fixture
def clock() -> FixedClock:
    return FixedClock(datetime(2026, 3, 12, 10, 7, tzinfo=timezone(timedelta(hours=1))))


@pytest.fixture(autouse=True)
def hasty_disk(monkeypatch: pytest.MonkeyPatch) -> None:
    """No test of a command is about a loss of power."""
    monkeypatch.setattr(Disk, "fsync", HastyDisk.fsync)


@pytest.fixture(autouse=True)
def words_looked_for_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each command has Python look on the disk whether its own words of command lines have a translation, nine times:
    in all commands of these tests, once. That is a twentieth of their time."""
    monkeypatch.setattr(gettext, "find", _looked_for)


_looked_for = cache(gettext.find)


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("made")


@pytest.fixture
def run(tmp_path: Path, clock: FixedClock, capsys: pytest.CaptureFixture[str], made: Path) -> CommandLine:
    return CommandLine(tmp_path / "bench" / "log.jsonl", clock, capsys, made)


@pytest.fixture
def typed(monkeypatch: pytest.MonkeyPatch) -> Any:
    """`typed("y")`: the standard input is a terminal at which that is typed."""

    def answer(text: str) -> None:
        monkeypatch.setattr("sys.stdin", Typist(text + "\n"))

    return answer
