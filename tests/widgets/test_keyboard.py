"""Keys told apart, however what the terminal sends is split over reads.

What stands for a key: ECMA-48 (control sequences) and xterm's control sequences (keys, mouse, pastes), from memory.
"""

from __future__ import annotations

import os
import signal
import threading
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reedkin.widgets.keyboard import ESCAPE, Keyboard
from reedkin.widgets.terminal_input import TerminalInput

SEQUENCES = [
    "\x1b[A", "\x1bOP", "\x1b[21~", "\x1b[1;5C", "\x1b[[A", "\x1b[<0;10;20M", "\x1b[32;10;20M", "\x1b[127;3u",
    "\x1b[48;24;80;600;1200t", "\x1b[?2026;2$y", "\x1b]11;rgb:0000/0000/0000\x07", "\x1b[I", "\x1b[Z", "\x1bOH",
    "\x1bOd",
]  # fmt: skip
DROPPED = [
    b"\x1b[M \xe0\xff", b"\x1b[M\x1b!!", b"\xff", b"\xe3", b"\xc3", b"\xed\xa0\x80", b"\x1b]12;rgb:0000/0000/0000\x07",
    b"\x1b]10;rgb:ffff\x1b\\", b"\x1bP>|a terminal\x1b\\", b"\x1b[" + b"9;" * 20 + b"q",
]  # fmt: skip


def characters(pieces: list[str]) -> list[str]:
    """The pieces with texts taken apart, so that it does not count where a text was split."""
    return [c for piece in pieces for c in ([piece] if piece.startswith(ESCAPE) else piece)]


def told_apart(*sent: bytes) -> list[str]:
    keyboard = Keyboard()
    return characters([piece for part in sent for piece in keyboard.feed(part)] + keyboard.give_up())


Part = tuple[bytes, list[str]]
words = st.text(st.characters(exclude_categories=["Cs", "Cc"]), min_size=1, max_size=6)
parts: st.SearchStrategy[Part] = st.one_of(
    words.map(lambda text: (text.encode(), list(text))),
    st.sampled_from(SEQUENCES).map(lambda sequence: (sequence.encode(), [sequence])),
    st.sampled_from(DROPPED).map(lambda sent: (sent + b".", ["."])),
    # Escape and a key, as it is typed ahead, and as a terminal sends that key with Alt.
    st.sampled_from("1 cé\r\t\x7f\x11\x1aPO][_").map(lambda key: (f"\x1b{key} ".encode(), [ESCAPE, key, " "])),
    st.integers(1, 3).map(lambda times: (b"\x1b" * times + b"\x1b[A", [ESCAPE] * times + ["\x1b[A"])),
    st.just((b"\x1b[200~\x1b[201~", ["\x1b[200~\x1b[201~"])),  # nothing was in the clipboard
    words.map(
        lambda text: (f"\x1b[200~{text}\x1b[31m\r\n\x1b\x1b[201~".encode(), [f"\x1b[200~{text}[31m\r\n\x1b[201~"])
    ),
)


@given(st.lists(parts, max_size=12), st.lists(st.integers(0, 200), max_size=12))
def test_any_split_of_what_is_sent_gives_the_same_keys(sent: list[Part], cuts: list[int]) -> None:
    whole = b"".join(part for part, _ in sent)
    places = sorted({0, *(min(cut, len(whole)) for cut in cuts), len(whole)})
    pieces = [whole[start:end] for start, end in pairwise(places)]
    expected = [key for _, keys in sent for key in keys]
    assert told_apart(*pieces) == expected
    assert told_apart(*(bytes([byte]) for byte in whole)) == expected


@given(st.binary(max_size=60), st.binary(max_size=60))
def test_whatever_is_sent_the_keyboard_lives_on(noise: bytes, more: bytes) -> None:
    keyboard = Keyboard()
    keyboard.feed(noise)
    keyboard.feed(more)
    keyboard.give_up()
    if b"\x1b[200~" not in noise + more:
        assert "".join(keyboard.feed(b"  c .5\r")).endswith(" c .5\r")


def test_escape_at_the_end_of_a_read_waits_for_what_may_follow() -> None:
    keyboard = Keyboard()
    assert keyboard.feed(b"7 note x\x1b") == ["7 note x"]
    assert keyboard.waiting
    assert keyboard.feed(b"[2") == []
    assert keyboard.feed(b"1~") == ["\x1b[21~"]
    assert not keyboard.waiting
    assert keyboard.feed(b"\x1b") == []
    assert keyboard.give_up() == [ESCAPE]
    assert not keyboard.waiting


def test_a_sequence_that_breaks_off_types_nothing() -> None:
    assert told_apart(b"\x1b[1;") == []
    assert told_apart(b"\x1b[1;\x1b[A") == ["\x1b[A"]
    assert told_apart(b"\x1b]11;rgb") == []
    assert told_apart(b"\x1b[M!") == []
    assert told_apart(b"\x1b[") == [ESCAPE, "["]


def test_a_long_paste_is_one_piece_and_takes_no_time() -> None:
    keyboard = Keyboard()
    keyboard.feed(b"\x1b[200~")
    for _ in range(2000):
        assert keyboard.feed(b"x" * 500) == []
    (paste,) = keyboard.feed(b"\x1b[201~")
    assert len(paste) == 1_000_012


def test_a_terminal_that_is_gone_ends_the_program_though_no_signal_tells_of_it(monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[tuple[int, int]] = []
    monkeypatch.setattr(os, "kill", lambda *to: told.append(to))
    reading = TerminalInput.__new__(TerminalInput)
    reading._debug, reading.exit_event = False, threading.Event()
    reading.fileno, terminal = os.pipe()
    os.close(terminal)
    reading.run_input_thread()
    os.close(reading.fileno)
    assert told == [(os.getpid(), signal.SIGHUP)]
