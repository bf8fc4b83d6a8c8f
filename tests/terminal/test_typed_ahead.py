"""Keys typed ahead in a real terminal: the log holds what a slow typist would have."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from datetime import datetime
from pathlib import Path

import pytest

from reedkin.desk import Desk
from reedkin.domain.clock import FixedClock
from reedkin.store.log import Log
from tests.terminal.terminal import KEYS, PATIENCE, Terminal
from tests.typist import Typist, session, strokes_of, written

TIED = strokes_of("1-8 tie eh 60 lot 7 tube 27<enter>")


def slowly(log: Path, strokes: list[str]) -> list[object]:
    """What a log holds after these strokes, each looked at before the next."""
    with Log(log, FixedClock(datetime.now().astimezone())) as opened:
        Typist(Desk(opened)).type(strokes)
    return written(log)


def as_sent(strokes: list[str]) -> str:
    """What a terminal sends for these strokes."""
    sent = {**KEYS, "left": "\x1b[D", "right": "\x1b[C", "home": "\x1b[H", "end": "\x1b[F", "ctrl+p": "\x10"}
    return "".join(sent.get(stroke, stroke) for stroke in strokes)


@contextmanager
def with_half_a_core(process: int) -> Iterator[None]:
    """A process shares one core (on Linux; elsewhere the machine) with another that never rests."""
    busy = subprocess.Popen([sys.executable, "-SEc", "while True: pass"])
    try:
        for one in (process, busy.pid) if hasattr(os, "sched_setaffinity") else ():
            for thread in Path(f"/proc/{one}/task").iterdir():
                os.sched_setaffinity(int(thread.name), {min(os.sched_getaffinity(0))})
        yield
    finally:
        busy.kill()
        busy.wait()


@pytest.mark.parametrize(("at_once", "lines", "busy"), [(65536, 14, False), (1, 7, True)])
def test_what_is_typed_ahead_is_recorded_as_if_typed_slowly(
    tmp_path: Path, at_once: int, lines: int, busy: bool
) -> None:
    strokes = [*TIED, *session(lines + at_once, lines), *strokes_of("<f2><escape><down>8 note the end<enter>")]
    expected = slowly(tmp_path / "slow.jsonl", strokes)
    log = tmp_path / "fast.jsonl"
    with Terminal("--log", str(log)) as terminal:
        terminal.until("This log is empty")
        with with_half_a_core(terminal.process.pid) if busy else nullcontext():
            terminal.type_ahead(as_sent(strokes), at_once)
            terminal.until("the end", 4 * PATIENCE)
        terminal.key("ctrl+q")
        assert terminal.end() == 0
    assert len(expected) > lines
    assert written(log) == expected


def test_lines_typed_before_the_log_is_read_are_recorded_in_order(tmp_path: Path) -> None:
    log = tmp_path / "bench.jsonl"
    strokes = [*TIED, *strokes_of("".join(f"{n % 8 + 1} note early{n}<backspace><enter>" for n in range(15)))]
    expected = slowly(tmp_path / "slow.jsonl", strokes)
    with Terminal("--log", str(log)) as terminal:
        terminal.until("reading the log")
        terminal.type_ahead(as_sent([*strokes, *"8 note the end", "enter"]))
        terminal.until("the end”")
        terminal.key("ctrl+q")
        assert terminal.end() == 0
    assert written(log)[:-1] == expected


def test_lines_typed_before_the_program_is_up_are_recorded_whole(tmp_path: Path) -> None:
    """The terminal, not being asked for each key yet, ends lines in its own way then."""
    log = tmp_path / "bench.jsonl"
    with Terminal("--log", str(log), program=("-m", "reedkin")) as terminal:
        terminal.send(b"1-3 tie oboe 72\r1 note one\r2 note the end\r")
        terminal.until("the end”")
        terminal.key("ctrl+q")
        assert terminal.end() == 0
    docs = [json.loads(line)["doc"] for line in log.read_text().splitlines()[1:]]
    assert [(doc["tag"], doc.get("note")) for doc in docs] == [
        ("1", None), ("2", None), ("3", None), ("1", "one"), ("2", "the end"),
    ]  # fmt: skip


def test_escape_is_a_key_of_its_own_and_bytes_of_no_kind_are_no_keys(tmp_path: Path) -> None:
    log = tmp_path / "bench.jsonl"
    with Terminal("--log", str(log)) as terminal:
        terminal.until("This log is empty")
        terminal.enter("1-2 tie eh 60")
        terminal.until("✓")
        terminal.send(b"9 zz\x1b1 note one\rx\x1b\x1b2 note tw\xe3o\r\xff\x1b[M \xe0\xff1 note three\x1bOC\r")
        terminal.send(b"\x1b[99q1 note \x1b[200~four\x1b[31m\x1b[201~\r\x1b")
        terminal.until("four")
        terminal.send(b"2 note five \xc3")
        terminal.send(b"\xa9\r")
        terminal.until("✓ 2: note “five é”")
        terminal.key("ctrl+q")
        assert terminal.end() == 0
        assert "Traceback" not in terminal.text
    notes = [json.loads(line)["doc"].get("note") for line in log.read_text().splitlines()[1:]]
    assert [note for note in notes if note] == ["one", "two", "three", "four[31m", "five é"]
