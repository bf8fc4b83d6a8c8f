"""A file that may grow no more stands for a full disk: the system refuses a write just so (RLIMIT_FSIZE)."""

from __future__ import annotations

import os
import resource
import subprocess
import sys
from pathlib import Path

import pytest

from tests.filling import fill_now, overall
from tests.terminal.terminal import Terminal

pytestmark = pytest.mark.skipif(not hasattr(resource, "prlimit"), reason="Linux alone limits another process")

KEEPS_NOTHING = {"PYTHONDONTWRITEBYTECODE": "1"}
"""Python itself would keep what it compiles beside the program: cut off at the limit, and no program would start any
more."""


def test_the_program_on_a_full_disk(tmp_path: Path) -> None:
    log = fill_now(tmp_path / "bench.jsonl", "1-2 tie eh 60 lot 7 tube 27")
    with Terminal("--log", str(log), env=KEEPS_NOTHING, program=("-m", "reedkin")) as terminal:
        terminal.until("▸ ")
        before = log.read_bytes()
        _, most = resource.prlimit(terminal.process.pid, resource.RLIMIT_FSIZE)
        resource.prlimit(terminal.process.pid, resource.RLIMIT_FSIZE, (len(before) + 50, most))
        terminal.enter("1 c 1.5")
        terminal.until("Not recorded")
        assert "1 c 1.5" in terminal.text
        assert log.read_bytes() == before
        resource.prlimit(terminal.process.pid, resource.RLIMIT_FSIZE, (most, most))
        terminal.key("enter")
        terminal.until("✓ 1: clipped")
        terminal.key("ctrl+q")
        assert terminal.end() == 0
    assert log.read_bytes().startswith(before)
    assert overall(log) == {"1": 58.5, "2": 60}


def test_a_command_on_a_full_disk(tmp_path: Path) -> None:
    log = fill_now(tmp_path / "bench.jsonl", "1-2 tie eh 60 lot 7 tube 27")
    before = log.read_bytes()
    line = [sys.executable, "-m", "reedkin", "--log", str(log), "add", "1 c 1.5"]
    ended = subprocess.run(
        line, capture_output=True, text=True, check=False, env=os.environ | KEEPS_NOTHING,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (len(before) + 50, len(before) + 50)),
    )  # fmt: skip
    assert ended.returncode == 3
    assert "Not recorded" in ended.stderr
    assert "Traceback" not in ended.stderr
    assert log.read_bytes() == before
