"""The program as its user runs it: a process in a terminal, by keyboard alone."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

from tests.filling import fill_now
from tests.terminal.terminal import Terminal

SESSION = [
    ("1-6 tie eh 60 lot 7 tube 27", "✓ 1–6: tied"),
    ("1 measure tip 50.5 heart 43.5", "✓ 1: measured"),
    ("s tip 10", "✓ 1: scraped"),
    ("clip 1", "✓ 1: clipped 1 mm"),
    ("2 s back heart 15", "✓ 2: scraped"),
    ("1 clip 1; clip .5; wire 28 brass; tube 5; crow C5 -20c", "crowed C5"),
    ("p 45 8 rehearsal", "✓ 1: played 45 min"),
    ("2 retire never came good", "✓ 2: retired"),
    ("1 retire cracked", "✓ 1: retired"),
]


def command(log: Path, *args: str) -> str:
    """What a command prints."""
    line = [sys.executable, "-m", "reedkin", "--log", str(log), *args]
    return subprocess.run(line, check=True, capture_output=True, text=True).stdout


def test_a_session_by_keyboard_alone(tmp_path: Path) -> None:
    log = tmp_path / "bench.jsonl"
    with Terminal("--log", str(log), env={"TERM": "xterm"}, program=("-m", "reedkin")) as terminal:
        terminal.until("This log is empty")
        terminal.key("f9")
        terminal.until("Session started")
        for line, answer in SESSION:
            terminal.enter(line)
            terminal.until(answer)
            if line == SESSION[0][0]:
                go_down_and_up(terminal)
        terminal.key("f9")
        terminal.until("no session")
        terminal.key("ctrl+q")
        assert terminal.end() == 0
    shown = json.loads(command(log, "show", "1", "--json"))
    # Common practice, no source: three clips of 1, 1 and 0.5 mm leave 57.5 of 60 mm.
    assert shown["overall_mm"] == 57.5
    assert shown["stage"] == "retired"
    assert shown["hours_played"] == 0.75
    assert [event["kind"] for event in shown["events"]] == [
        "tied", "measured", "scraped", "clipped", "clipped", "clipped", "wired", "tubed", "crowed", "played", "retired",
    ]  # fmt: skip


def go_down_and_up(terminal: Terminal) -> None:
    """Which reed is in hand is seen by signs alone, in the list and on the entry line."""
    for key, tag in (("down", "2"), ("up", "1")):
        terminal.key(key)
        terminal.until(f"{tag} ▸")
        terminal.until(f"▸ {tag}")


def test_the_reed_in_hand_is_seen_without_colours(tmp_path: Path) -> None:
    log = fill_now(tmp_path / "bench.jsonl", "1-6 tie eh 60 lot 7 tube 27")
    with Terminal("--log", str(log), env={"NO_COLOR": "1", "COLUMNS": "40", "LINES": "12"}) as terminal:
        terminal.until("^Q quit")  # by the terminal's own size, whatever a shell has exported
        go_down_and_up(terminal)
        assert not terminal.colours


def test_a_log_that_is_not_ours_is_refused_in_a_sentence(tmp_path: Path) -> None:
    log = tmp_path / "bench.jsonl"
    log.write_text("a shopping list\n")
    with Terminal("--log", str(log)) as terminal:
        assert terminal.end() == 3
        assert "Traceback" not in terminal.text
    assert log.read_text() == "a shopping list\n"
