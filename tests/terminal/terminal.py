"""The real program in a pseudo-terminal, and the screen that a terminal would show of it."""

from __future__ import annotations

import fcntl
import os
import pty
import select
import signal
import struct
import subprocess
import sys
import termios
import time
from collections.abc import Callable, Mapping, Sequence
from types import TracebackType
from typing import Self

import pyte

from tests.terminal.parted import Parted

PATIENCE = 30
"""Seconds to wait for something to show before the test fails: only a broken program takes so long."""

KEYS = {
    "enter": "\r", "tab": "\t", "escape": "\x1b", "up": "\x1b[A", "down": "\x1b[B", "ctrl+z": "\x1a", "ctrl+q": "\x11",
    "f1": "\x1bOP", "f2": "\x1bOQ", "f3": "\x1bOR", "f4": "\x1bOS", "f5": "\x1b[15~", "f9": "\x1b[20~",
    "f10": "\x1b[21~", "backspace": "\x7f",
}  # fmt: skip
"""What a terminal sends for a key (xterm's control sequences, from memory)."""


class Terminal:
    """Runs `reedkin ARGS` in a terminal of a size: in a process that parts from one which has read its modules, or, if
    a `program` is named, as a Python of its own."""

    def __init__(
        self,
        *args: str,
        size: tuple[int, int] = (80, 24),
        env: Mapping[str, str] | None = None,
        program: Sequence[str] = (),
    ) -> None:
        columns, rows = size
        self._screen = pyte.Screen(columns, rows)
        self._stream = pyte.ByteStream(self._screen)
        self.written = bytearray()
        """All that the program, and the terminal's own echo, have written."""
        self._fd, terminal = pty.openpty()
        fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
        kept = {k: v for k, v in os.environ.items() if k not in ("NO_COLOR", "COLORTERM", "COLUMNS", "LINES")}
        known = {**kept, "TERM": "xterm-256color", **(env or {})}
        self.process: Parted | subprocess.Popen[bytes]
        if program:
            self.process = subprocess.Popen(
                [sys.executable, *program, *args],
                stdin=terminal,
                stdout=terminal,
                stderr=terminal,
                env=known,
                start_new_session=True,
                preexec_fn=lambda: fcntl.ioctl(0, termios.TIOCSCTTY, 0),
            )
        else:
            self.process = Parted(args, os.ttyname(terminal), known)
        self._until_open: int | None = terminal
        """The program's end of the line, held until the program has it open: nobody there would end the line."""

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGKILL)
        self.process.wait()
        self._is_open()
        if self._fd >= 0:
            os.close(self._fd)

    def _is_open(self) -> None:
        if self._until_open is not None:
            os.close(self._until_open)
            self._until_open = None

    @property
    def text(self) -> str:
        """What the screen shows."""
        return "\n".join(line.rstrip() for line in self._screen.display)

    @property
    def colours(self) -> set[str]:
        """The colours of letters on the screen, other than the terminal's own."""
        cells = (cell for row in self._screen.buffer.values() for cell in row.values())
        return {cell.fg for cell in cells if cell.data.strip() and cell.fg != "default"}

    def _take_in(self, seconds: float) -> bool:
        """Feed the screen with what the program writes within so many seconds; False at its end."""
        ready, _, _ = select.select([self._fd], [], [], seconds)
        if not ready:
            return True
        try:
            written = os.read(self._fd, 65536)
        except OSError:  # Linux says so when the other side is closed
            return False
        self._is_open()
        self._stream.feed(written)
        self.written += written
        return bool(written)

    def until(self, words: str, patience: float = PATIENCE) -> str:
        """Wait until the screen shows `words`; returns what it shows then."""
        return self._wait(lambda: words in self.text, f"never showed {words!r}", patience)

    def until_gone(self, words: str) -> str:
        """Wait until the screen no longer shows `words`; returns what it shows then."""
        return self._wait(lambda: words not in self.text, f"went on showing {words!r}")

    def wait(self, done: Callable[[], bool], for_what: str) -> None:
        """Wait until something is so."""
        self._wait(done, f"never {for_what}")

    def _wait(self, done: Callable[[], bool], failure: str, patience: float = PATIENCE) -> str:
        end = time.monotonic() + patience
        while not done():
            if time.monotonic() > end or not self._take_in(0.2):
                raise AssertionError(f"the screen {failure}; it shows\n{self.text}")
        return self.text

    def type(self, text: str) -> None:
        """Type text as it is."""
        self.send(text.encode())

    def send(self, sent: bytes) -> None:
        """Send bytes, of whatever kind."""
        os.write(self._fd, sent)

    def type_ahead(self, text: str, at_once: int = 65536) -> None:
        """Type a long text, so many bytes in each write, however far the program is; what it shows is taken in."""
        rest = text.encode()
        os.set_blocking(self._fd, False)
        while rest:
            try:
                rest = rest[os.write(self._fd, rest[:at_once]) :]
            except BlockingIOError:  # the line is full until the program reads on
                self._take_in(0.01)
            else:
                self._take_in(0)
        os.set_blocking(self._fd, True)

    def key(self, name: str) -> None:
        """Press a key by its name."""
        os.write(self._fd, KEYS[name].encode())

    def enter(self, line: str) -> None:
        """Type a line, wait until it stands there, and press Enter."""
        self.type(line)
        self.until(line[-20:])
        self.key("enter")

    @property
    def gone(self) -> bool:
        """Whether the window was closed."""
        return self._fd < 0

    @property
    def restored(self) -> bool:
        """Whether the terminal is as it was: it shows what is typed, and its cursor."""
        flags = termios.tcgetattr(self._fd)[3]
        return bool(flags & termios.ECHO and flags & termios.ICANON) and not self._screen.cursor.hidden

    def end(self) -> int:
        """Wait until the program ends; returns its exit code."""
        end = time.monotonic() + PATIENCE
        while self._take_in(0.2) and time.monotonic() < end and self.process.poll() is None:
            pass
        return self.process.wait(PATIENCE)

    def hang_up(self) -> int:
        """Close the terminal's window, upon which the system tells the program; returns its exit code."""
        os.close(self._fd)
        self._fd = -1
        return self.process.wait(PATIENCE)

    def tell(self, number: signal.Signals) -> int:
        """Send a signal and wait until the program ends; returns its exit code."""
        self.process.send_signal(number)
        return self.end()
