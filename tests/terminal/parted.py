"""The program in a process that parts from one which has read all of its modules: most of a start is to read them."""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
from collections.abc import Mapping, Sequence
from multiprocessing.process import BaseProcess

_MODULES = ("reedkin.app", "reedkin.cli.main", "reedkin.cli.commands", "reedkin.grammar.reading", "reedkin.store.log")


class Parted:
    """Runs `reedkin ARGS` at a terminal by its name. To be asked as a process of `subprocess` is."""

    def __init__(self, args: Sequence[str], terminal: str, env: Mapping[str, str]) -> None:
        server = multiprocessing.get_context("forkserver")
        server.set_forkserver_preload(list(_MODULES))
        self._process: BaseProcess = server.Process(target=_run, args=(list(args), terminal, dict(env)))
        self._process.start()

    @property
    def pid(self) -> int:
        assert self._process.pid is not None
        return self._process.pid

    def poll(self) -> int | None:
        """How it ended, or None while it runs; less than 0 if by a signal."""
        return self._process.exitcode

    def wait(self, seconds: float | None = None) -> int:
        """How it ended, once it has."""
        self._process.join(seconds)
        code = self._process.exitcode
        if code is None:
            raise TimeoutError(f"it still runs after {seconds} s")
        return code

    def send_signal(self, number: int) -> None:
        if self.poll() is None:
            os.kill(self.pid, number)

    def kill(self) -> None:
        self.send_signal(signal.SIGKILL)


def _run(args: list[str], terminal: str, env: dict[str, str]) -> None:
    """What the process does: all that a shell and Python do before a program has its turn, and then the program."""
    os.setsid()
    at = os.open(terminal, os.O_RDWR)  # which makes it the terminal of all that is started here
    for number in range(3):
        os.dup2(at, number)
    os.close(at)
    sys.stdin = sys.__stdin__ = open(0, encoding="utf-8", closefd=False)  # noqa: SIM115
    sys.stdout = sys.__stdout__ = open(1, "w", encoding="utf-8", closefd=False)  # noqa: SIM115
    sys.stderr = sys.__stderr__ = open(2, "w", encoding="utf-8", closefd=False)  # noqa: SIM115
    os.environ.clear()
    os.environ.update(env)
    sys.argv = ["reedkin", *args]
    from reedkin.__main__ import run

    run()
