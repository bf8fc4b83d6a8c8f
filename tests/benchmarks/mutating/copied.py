"""A copy of the project whose modules may be changed, and its tests run there, each time in a process of their own."""

from __future__ import annotations

import contextlib
import importlib.util
import multiprocessing
import os
import resource
import shutil
import signal
import sys
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from multiprocessing.connection import Connection
from pathlib import Path

# What the tests import that is not of the project is here before a process parts from this one, and costs nothing then.
import hypothesis  # noqa: F401
import jsonschema  # noqa: F401
import msgspec  # noqa: F401
import numpy as np  # noqa: F401
import pytest
import tinydb  # noqa: F401

ROOT = Path(__file__).parents[3]
PROOFS = (
    "answers/test_habits_proof.py", "answers/test_hours_left.py", "store/test_killed.py", "cli/test_process.py",
    "cli/test_release.py",
)  # fmt: skip
"""What takes long and looks at everything is not asked."""
HANGS = 60
"""Seconds after which one test is taken to hang."""
MEMORY = 6 << 30
NO_TESTS = 5


@dataclass(frozen=True)
class Ran:
    """How a run of tests ended: those that failed (or what else went wrong), and the seconds that each took."""

    failures: tuple[str, ...]
    seconds: Mapping[str, float]

    @property
    def failed(self) -> str:
        """The first that failed; "" where none did."""
        return self.failures[0] if self.failures else ""


class Chosen:
    """Tells pytest to run these tests alone, in this order (all, where none are named), and hears how they end."""

    def __init__(self, tests: Sequence[str]) -> None:
        self._rank = {test: rank for rank, test in enumerate(tests)}
        self.failures: list[str] = []
        self.seconds: Counter[str] = Counter()

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        if self._rank:
            items[:] = sorted(
                (one for one in items if one.nodeid in self._rank), key=lambda one: self._rank[one.nodeid]
            )

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self.seconds[report.nodeid] += report.duration
        if report.failed:
            self.failures.append(report.nodeid)


@dataclass(frozen=True)
class Project:
    """A copy of the project in a folder."""

    place: Path

    @classmethod
    def made(cls, place: Path) -> Project:
        for name in (".ci", "tui", "tests", "demo_logs"):
            shutil.copytree(ROOT / name, place / name, ignore=shutil.ignore_patterns("__pycache__", ".cache"))
        for name in ("pyproject.toml", "README.md", "CHANGELOG.md", "DEVELOPERS.md", "LICENSE"):
            shutil.copy(ROOT / name, place / name)
        return cls(place)

    def text(self, module: Path) -> str:
        return (self.place / module).read_text(encoding="utf-8")

    @contextlib.contextmanager
    def changed(self, texts: Mapping[Path, str]) -> Iterator[None]:
        """Modules say this meanwhile."""
        sound = {module: self.text(module) for module in texts}
        try:
            self._write(texts)
            yield
        finally:
            self._write(sound)

    def _write(self, texts: Mapping[Path, str]) -> None:
        for module, text in texts.items():
            path = self.place / module
            path.write_text(text, encoding="utf-8")
            # What was compiled is known by its second and its length, which the next change may share.
            Path(importlib.util.cache_from_source(str(path))).unlink(missing_ok=True)

    def run(
        self, files: Sequence[str], tests: Sequence[str] = (), limit: float | None = None, all_: bool = False
    ) -> Ran:
        """Run the tests of files and folders, or those of them that are named, up to the first that fails or `all_`."""
        parts = multiprocessing.get_context("fork")
        hears, tells = parts.Pipe(duplex=False)
        child = parts.Process(target=_run, args=(self.place, files, tests, all_, tells))
        child.start()
        tells.close()
        try:
            ran = Ran(*hears.recv()) if hears.poll(limit) else Ran(("(hangs)",), {})
        except EOFError:
            ran = Ran(("(breaks off)",), {})
        with contextlib.suppress(ProcessLookupError):
            os.killpg(child.pid or 0, signal.SIGKILL)  # with whatever its tests have started
        child.join()
        return ran


def at_home(place: Path) -> None:
    """Make a process that has parted from this one at home in the copy, as if nothing of the project were imported."""
    os.setsid()
    os.chdir(place)
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    said = os.open("said.txt", os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    os.dup2(said, 1)
    os.dup2(said, 2)
    os.environ["PYTHONPATH"] = str(place / "tui")  # for the processes that tests start
    sys.path[:] = [str(place), *(path for path in sys.path if path not in ("", str(ROOT)))]
    for name in [name for name in sys.modules if name.partition(".")[0] == "tests"]:
        del sys.modules[name]


def options() -> list[str]:
    """What pytest is told there."""
    told = ["-n", "0", "-p", "no:randomly", "-p", "no:cacheprovider", "--basetemp=tmp", f"--timeout={HANGS}"]
    return [*told, *(f"--ignore=tests/{proof}" for proof in PROOFS)]


def _run(place: Path, files: Sequence[str], tests: Sequence[str], all_: bool, tells: Connection) -> None:
    """The process that runs tests."""
    at_home(place)
    chosen = Chosen(tests)
    code = pytest.main([*options(), *([] if all_ else ["-x"]), *files], plugins=[chosen])
    if code not in (0, NO_TESTS) and not chosen.failures:
        chosen.failures.append("(cannot be read)")
    tells.send((tuple(chosen.failures), dict(chosen.seconds)))
