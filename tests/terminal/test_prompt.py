"""`reedkin add` without an entry, in a real terminal: what a screen reader or a braille display is given."""

from __future__ import annotations

import shutil
from functools import partial
from pathlib import Path

from tests.filling import fill_now
from tests.terminal.terminal import Terminal

DEMO = Path(__file__).parents[2] / "demo_logs" / "first_month.jsonl"
ASKED = (
    ("who is in hand", "Reed "), ("last", "Last: "), ("?", "To leave: bye"), ("show 12", "12"),
    ("week", " to "),
    ("case", "played"), ("stock", "in service"), ("lifespans", "How long reeds last"), ("yield", "came good"),
    ("steady --of tied", "nearly all lie within"), ("people", ""), ("ready --on tomorrow --reeds 2", "the chance is"),
    ("12 clip 9", "Record it all the same? yes or no:"), ("no", "Not recorded."), ("12 clip .5", "12: clipped 0.5 mm"),
    ("take back", "Taken back: 12"), ("frobnicate", "not recorded: "),
)  # fmt: skip


def test_nothing_is_drawn_and_nothing_painted_over(tmp_path: Path) -> None:
    log = tmp_path / "bench.jsonl"
    shutil.copyfile(DEMO, log)
    fill_now(log, "12 note begins")
    inputrc = tmp_path / "inputrc"  # what some have for their shell
    inputrc.write_text("set enable-bracketed-paste on\nset bell-style audible\n")
    with Terminal("--log", str(log), "add", size=(200, 60), env={"INPUTRC": str(inputrc)}) as terminal:
        terminal.until("Ctrl+D ends.")
        for asked, answer in ASKED:
            before = len(terminal.written)
            terminal.type(f"{asked}\r")
            terminal.wait(partial(_answered, terminal, before, asked, answer), f"answered {asked!r}")
        terminal.send(b"\x04")
        assert terminal.end() == 0
    written = bytes(terminal.written)
    assert b"\x1b" not in written
    assert b"\x08" not in written
    assert b"\r" not in written.replace(b"\r\n", b"")
    drawn = [c for c in written.decode() if "\u2500" <= c <= "\u259f" or "\u2800" <= c <= "\u28ff"]
    assert not drawn


def _answered(terminal: Terminal, before: int, asked: str, answer: str) -> bool:
    """Whether the answer has come and the prompt stands again (which ends in a colon and a space)."""
    said = terminal.written[before:].decode(errors="replace").removeprefix(asked)
    return answer in said and said.endswith(": ")
