"""Killed at any moment: what the program called recorded is there, nothing else is, and the log opens."""

from __future__ import annotations

import os
from pathlib import Path
from random import Random

import pytest
from tests.store.killing import FIRST, Tally, forked, held, kill_adding, kill_typing
from tests.store.killing_commands import kill_command, prepared

from reedkin.cli.main import main

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork and a pseudo-terminal")


@pytest.fixture
def log(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Path:
    path = tmp_path / "bench.jsonl"
    assert main(["--log", str(path), "add", FIRST]) == 0
    capsys.readouterr()
    return path


def test_while_adding(log: Path) -> None:
    tally, chance = Tally(), Random(1)
    for _ in range(10):
        kill_adding(log, forked, tally, chance)
    assert tally.wrong == []
    assert tally.kills == 10
    assert len(held(log, tally)) == tally.recorded + tally.unsaid >= 10


def test_while_typing(log: Path) -> None:
    tally, chance = Tally(), Random(2)
    kill_typing(log, tally, chance)
    assert tally.wrong == []
    assert len(held(log, tally)) == tally.recorded + tally.unsaid >= 1


def test_commands_that_write_much(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    tally, chance = Tally(), Random(3)
    deeds = prepared(tmp_path / "made")
    for name in (*deeds, *["add"] * 2):
        kill_command(tmp_path / "made", name, deeds[name], tally, chance)
    assert tally.wrong == []
    assert tally.kills == len(deeds) + 2 == 13
    assert "Traceback" not in capsys.readouterr().err
