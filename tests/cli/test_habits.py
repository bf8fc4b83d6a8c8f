"""`reedkin habits`."""

from __future__ import annotations

from pathlib import Path

import pytest

from reedkin.cli import demo
from tests.cli.conftest import CommandLine


@pytest.fixture
def seasons() -> Path:
    return demo.demo_log("three-seasons")


def test_the_json(run: CommandLine, seasons: Path) -> None:
    report = run.done("habits", "--json", log=seasons).json
    assert report["clock"] == "hours"
    assert report["retired"] <= report["reeds"]
    assert len(report["habits"]) > 10
    for habit in report["habits"]:
        assert habit.keys() == {
            "habit", "label", "per", "kind", "n", "retired", "hazard_ratio", "ci", "p", "q", "evidence", "direction",
            "more_retirements_needed", "chance", "hours", "within_lots",
        }  # fmt: skip
        assert habit["kind"] in ("making", "use")
        assert habit["evidence"] in ("clear", "leaning", "unclear")
        assert habit["direction"] == ("shorter" if habit["hazard_ratio"] > 1 else "longer")
        assert habit["p"] <= habit["q"]


def test_the_text(run: CommandLine, seasons: Path) -> None:
    text = run.done("habits", "--clock", "days", log=seasons).out
    assert "habits tried" in text
    assert "only a fair trial can tell" in text


def test_a_log_that_is_too_young(run: CommandLine) -> None:
    run.enter("1 tie oboe 72", "1 play 45 8")
    assert "Early days" in run.done("habits").out
    assert run.done("habits", "--json").json["habits"] == []
