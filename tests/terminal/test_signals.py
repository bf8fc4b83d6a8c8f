"""The program told to end by the system: what was typed is offered at the next start, and the log is whole."""

from __future__ import annotations

import signal
from collections.abc import Callable
from pathlib import Path

import pytest

from reedkin.domain.clock import Clock
from reedkin.store.backups import backups_of
from reedkin.store.log import Log
from reedkin.store.unsent import keep_unsent, take_unsent
from tests.terminal.terminal import Terminal
from tests.terminal.test_program import command

ENDINGS: dict[str, tuple[Callable[[Terminal], int], int]] = {
    "the machine stops": (lambda terminal: terminal.tell(signal.SIGTERM), 128 + signal.SIGTERM),
    "the terminal says so": (lambda terminal: terminal.tell(signal.SIGHUP), 128 + signal.SIGHUP),
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
    with Log(log, Clock()) as there:  # not locked, not damaged, and holds what was called recorded
        assert not there.faults
        overall = {reed.tag: reed.now.overall_mm for reed in there.bench.reeds()}
        assert overall == {"1": 59.5, "2": 60}
    assert backups_of(log)[-1].path.read_bytes() == log.read_bytes()
    assert take_unsent(log) == "2 clip .25"


def test_the_line_that_was_kept_is_offered_and_can_be_recorded(log: Path) -> None:
    keep_unsent(log, "2 clip .25")
    with Terminal("--log", str(log)) as terminal:
        terminal.until("2 clip .25")
        terminal.key("enter")
        terminal.until("✓ 2: clipped 0.25 mm")
        terminal.key("ctrl+q")
        assert terminal.end() == 0
    assert take_unsent(log) == ""


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
