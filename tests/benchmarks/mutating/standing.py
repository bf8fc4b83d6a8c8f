"""
The tests of a copied project, read once and asked again and again: a process stands by with all of them collected, and
for each fault another parts from it, puts the faulty functions in the place of the sound ones, and runs those tests
that are asked. Nothing has to be read anew, which takes longer than most tests do.
"""

from __future__ import annotations

import contextlib
import gc
import multiprocessing
import os
import signal
from collections import defaultdict
from collections.abc import Iterator, Sequence
from multiprocessing.connection import Connection
from pathlib import Path
from types import CodeType, FunctionType, TracebackType

import pytest
from tests.benchmarks.mutating.copied import Chosen, Project, at_home, options
from tests.benchmarks.mutating.faults import Mutant

_PARTS = multiprocessing.get_context("fork")


class Standing:
    """The process that stands by. What a fault changes where a module is imported it cannot show."""

    def __init__(self, project: Project, files: Sequence[str]) -> None:
        self._project = project
        self._hears, tells = _PARTS.Pipe()
        self._process = _PARTS.Process(target=_stand, args=(project.place, files, tells, self._hears))
        self._process.start()
        tells.close()
        self._hears.recv()  # nothing may be changed before all is read

    def __enter__(self) -> Standing:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._hears.close()
        self._process.join()

    def failed(self, mutant: Mutant, tests: Sequence[str], limit: float) -> str | None:
        """Which of these tests, in this order, fails first with a fault in the project; "" where none does, None where
        the fault cannot be put in place."""
        sound = self._project.text(mutant.module)
        with self._project.changed({mutant.module: mutant.made(sound)[0]}):  # for processes that tests start
            self._hears.send((mutant, sound, list(tests), limit))
            failed: str | None = self._hears.recv()
            return failed


def _stand(place: Path, files: Sequence[str], hears: Connection, other: Connection) -> None:
    other.close()  # so that it is heard when whoever asks is gone
    at_home(place)
    pytest.main([*options(), *files], plugins=[_StandsBy(place, hears)])


class _StandsBy:
    """Runs what is asked in place of all tests."""

    def __init__(self, place: Path, hears: Connection) -> None:
        self._place, self._hears = place, hears
        self._functions: dict[str, list[FunctionType]] = {}

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        self._functions = _functions()
        self._hears.send(None)
        with contextlib.suppress(EOFError):  # whoever asks is gone
            while True:
                self._hears.send(self._asked(session, *self._hears.recv()))
        return True

    def _asked(
        self, session: pytest.Session, mutant: Mutant, sound: str, tests: Sequence[str], limit: float
    ) -> str | None:
        hears, tells = _PARTS.Pipe(duplex=False)
        child = _PARTS.Process(target=self._run, args=(session, mutant, sound, tests, tells))
        child.start()
        tells.close()
        try:
            failed: str | None = hears.recv() if hears.poll(limit) else "(hangs)"
        except EOFError:
            failed = "(breaks off)"
        with contextlib.suppress(ProcessLookupError):
            os.killpg(child.pid or 0, signal.SIGKILL)  # with whatever its tests have started
        child.join()
        return failed

    def _run(
        self, session: pytest.Session, mutant: Mutant, sound: str, tests: Sequence[str], tells: Connection
    ) -> None:
        os.setsid()
        path = self._place / mutant.module
        if not put_in_place(self._functions.get(str(path), []), path, mutant, sound):
            tells.send(None)
            os._exit(0)
        chosen, by_name = Chosen(tests), {item.nodeid: item for item in session.items}
        session.config.pluginmanager.register(chosen)
        items = [by_name[test] for test in tests if test in by_name]
        for item, following in zip(items, [*items[1:], None], strict=True):
            session.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
            if chosen.failures:
                break
        tells.send("".join(chosen.failures[:1]))
        os._exit(0)


def _functions() -> dict[str, list[FunctionType]]:
    """All functions that there are, by the file that they stand in."""
    found = defaultdict(list)
    gc.unfreeze()  # else what was laid aside for good is not told
    for one in gc.get_objects():
        if type(one) is FunctionType:
            found[one.__code__.co_filename].append(one)
    gc.freeze()
    return found


def put_in_place(functions: Sequence[FunctionType], path: Path, mutant: Mutant, sound: str) -> bool:
    """Give the functions of a module what they would do with a fault in it, and say whether that could be done. A
    module that has none, since it has not been imported, will be read with its fault."""
    codes = dict(_codes(compile(mutant.tree(sound), str(path), "exec")))
    changed = not functions
    for function in functions:
        there = function.__code__
        faulty = codes.get(_known_by(there), there)
        if len(faulty.co_freevars) == len(there.co_freevars):
            changed = changed or faulty != there
            function.__code__ = faulty
    return changed


def _codes(code: CodeType) -> Iterator[tuple[tuple[str, int], CodeType]]:
    for inner in code.co_consts:
        if isinstance(inner, CodeType):
            yield _known_by(inner), inner
            yield from _codes(inner)


def _known_by(code: CodeType) -> tuple[str, int]:
    return code.co_qualname, code.co_firstlineno
