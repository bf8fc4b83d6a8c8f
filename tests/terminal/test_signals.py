"""The program told to end by the system: what was typed is offered at the next start, and the log is whole."""

from __future__ import annotations

import signal
from collections.abc import Callable
from pathlib import Path

import pytest

from reedkin.domain.clock import Clock
from reedkin.store.backups import backups_of
from reedkin.store.log import Log
from reedkin.store.unsent import keep_unsent, kept_unsent
from tests.terminal.terminal import Terminal
from tests.terminal.test_program import command

ENDINGS: dict[str, tuple[Callable[[Terminal], int], int]] = {
    "the machine stops": (lambda terminal: terminal.tell(signal.SIGTERM), 128 + signal.SIGTERM),
    "the terminal says so": (lambda terminal: terminal.tell(signal.SIGHUP), 128 + signal.SIGHUP),
    "it is interrupted": (lambda terminal: terminal.tell(signal.SIGINT), 130),
    "it is told to quit": (lambda terminal: terminal.tell(signal.SIGQUIT), 128 + signal.SIGQUIT),
    "the window is closed": (Terminal.hang_up, 128 + signal.SIGHUP),
}


@pytest.fixture
def log(tmp_path: Path) -> Path:
    path = tmp_path / "bench.jsonl"
    command(path, "add", "1-2 tie eh 60 lot 7 tube 27")
    return path


@pytest.mark.parametrize("ending", ENDINGS)
def test_the_typed_line_is_kept_for_the_next_start(log: Path, ending: str) -> None:
    end, code = ENDINGS[ending]
    with Terminal("--log", str(log)) as terminal:
        terminal.until("▸ ")
        terminal.enter("1 c .5")
        terminal.until("✓ 1: clipped")
        terminal.type("2 clip .25")
        terminal.until("2 clip .25")
        assert end(terminal) == code
        assert "Traceback" not in terminal.text
        assert terminal.gone or terminal.restored
    with Log(log, Clock()) as there:  # not locked, not damaged, and holds what was called recorded
        assert not there.faults
        overall = {reed.tag: reed.now.overall_mm for reed in there.bench.reeds()}
        assert overall == {"1": 59.5, "2": 60}
    assert backups_of(log)[-1].path.read_bytes() == log.read_bytes()
    assert kept_unsent(log) == ["2 clip .25"]


def test_the_line_that_was_kept_is_offered_and_can_be_recorded(log: Path) -> None:
    keep_unsent(log, "2 clip .25")
    with Terminal("--log", str(log)) as terminal:
        terminal.until("2 clip .25")
        terminal.key("enter")
        terminal.until("✓ 2: clipped 0.25 mm")
        terminal.key("ctrl+q")
        assert terminal.end() == 0
    assert kept_unsent(log) == []


def test_the_line_that_was_kept_stays_kept_until_it_is_recorded(log: Path) -> None:
    keep_unsent(log, "2 note earlier", "2 clip .25")
    with Terminal("--log", str(log)) as terminal:
        terminal.until("2 clip .25")
        terminal.tell(signal.SIGKILL)
    assert kept_unsent(log) == ["2 note earlier", "2 clip .25"]
    with Terminal("--log", str(log)) as terminal:
        terminal.until("2 clip .25")
        terminal.key("enter")
        terminal.until("✓ 2: clipped 0.25 mm")
        terminal.tell(signal.SIGKILL)
    assert kept_unsent(log) == ["2 note earlier"]


BROKEN = """
from reedkin.desk import Desk
read = Desk.read
def fails(self, line):
    if "fail" in line:
        raise RuntimeError("nobody thought of this")
    return read(self, line)
Desk.read = fails
from reedkin.__main__ import run
run()
"""


def test_what_should_not_have_happened_costs_no_more_than_the_run(log: Path, tmp_path: Path) -> None:
    with Terminal("--log", str(log), program=("-c", BROKEN), env={"XDG_STATE_HOME": str(tmp_path)}) as terminal:
        terminal.until("▸ ")
        terminal.enter("1 c .5")
        terminal.until("✓ 1: clipped")
        terminal.type("2 note it may fail")
        assert terminal.end() == 1
        assert "Something went wrong in the program itself (RuntimeError: nobody" in terminal.text.replace("\n", "")
        assert "A report is in" in terminal.text
        assert "Traceback" not in terminal.text
        assert terminal.restored
    assert "nobody thought of this" in next(tmp_path.rglob("errors.log")).read_text("utf-8")
    assert kept_unsent(log) == ["2 note it may fail"]


def test_a_kill_while_a_line_is_typed_costs_that_line_alone(log: Path) -> None:
    with Terminal("--log", str(log)) as terminal:
        terminal.until("▸ ")
        terminal.enter("1 c .5")
        terminal.until("✓ 1: clipped")
        terminal.type("2 clip .25")
        terminal.until("2 clip .25")
        assert terminal.tell(signal.SIGKILL) == -signal.SIGKILL
    with Log(log, Clock()) as there:  # the lock file that stayed behind locks nobody out
        assert not there.faults
        assert {reed.tag: reed.now.overall_mm for reed in there.bench.reeds()} == {"1": 59.5, "2": 60}
