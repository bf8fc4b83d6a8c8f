"""The program told to end by the system: what was typed is offered at the next start, and the log is whole."""

from __future__ import annotations

import signal
from collections.abc import Callable
from pathlib import Path

import pytest

from reedkin.store.backups.backups import backups_of
from reedkin.store.unsent import keep_unsent, kept_unsent
from tests.filling import fill_now, overall
from tests.terminal.terminal import Terminal

ENDINGS: dict[str, tuple[Callable[[Terminal], int], int]] = {
    "the machine stops": (lambda terminal: terminal.tell(signal.SIGTERM), 128 + signal.SIGTERM),
    "it is interrupted": (lambda terminal: terminal.tell(signal.SIGINT), 130),
    "the window is closed": (Terminal.hang_up, 128 + signal.SIGHUP),
}


@pytest.fixture
def log(tmp_path: Path) -> Path:
    return fill_now(tmp_path / "bench.jsonl", "1-2 tie eh 60 lot 7 tube 27")


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
    assert overall(log) == {"1": 59.5, "2": 60}  # not locked, and holds what was called recorded
    assert backups_of(log)[-1].path.read_bytes() == log.read_bytes()
    assert kept_unsent(log) == ["2 clip .25"]


def test_the_lines_that_were_kept_are_offered_and_stay_kept_until_they_are_recorded(log: Path) -> None:
    keep_unsent(log, "2 note earlier", "2 clip .25")
    with Terminal("--log", str(log)) as terminal:
        terminal.until("2 clip .25")
        terminal.tell(signal.SIGKILL)
    assert kept_unsent(log) == ["2 note earlier", "2 clip .25"]
    with Terminal("--log", str(log)) as terminal:
        terminal.until("2 clip .25")
        terminal.key("enter")
        terminal.until("✓ 2: clipped 0.25 mm")
        terminal.wait(lambda: kept_unsent(log) == ["2 note earlier"], "kept what is not recorded yet alone")
        terminal.send(b"\x10\x10")  # Ctrl+P: what was just entered, and what was kept
        terminal.until("2 note earlier")
        terminal.key("enter")
        terminal.until("✓ 2: note “earlier”")
        terminal.key("ctrl+q")
        assert terminal.end() == 0
    assert kept_unsent(log) == []


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
