"""
How long the program takes from its start to its first screenful, and to the list of reeds, on logs of growing size;
against a Textual app that shows one word. All take turns in a pseudo-terminal of 80 by 24. Times are medians, of the
clock and of the processor (all threads of the program until then; Linux only).
Run: python -m tests.benchmarks.first_paint
"""

from __future__ import annotations

import argparse
import fcntl
import os
import pty
import statistics
import struct
import subprocess
import sys
import tempfile
import termios
import time
from dataclasses import dataclass, field
from pathlib import Path

from tests.benchmarks.scaled import SIZES, copy_of

MOST, LIST_SECONDS = 1.3, 0.5
BARE = "a bare Textual app"
_BARE_APP = """
from textual.app import App
from textual.widgets import Static
class Bare(App):
    def compose(self):
        yield Static("bench")
Bare().run()
"""
_PAINTED, _FILLED = b"bench", b"stage"
"""The latter stands over the list, once there is one."""


@dataclass
class Times:
    """Seconds until the first screenful, by the clock and of the processor, and by the clock until the list."""

    painted: list[float] = field(default_factory=list)
    processor: list[float] = field(default_factory=list)
    filled: list[float] = field(default_factory=list)


def start(command: list[str]) -> tuple[subprocess.Popen[bytes], int]:
    """A program in a pseudo-terminal, and the terminal's end."""
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
    process = subprocess.Popen(
        command, stdin=theirs, stdout=theirs, stderr=theirs, start_new_session=True,
        env={**os.environ, "TERM": "xterm-256color", "COLORTERM": "truecolor"},
    )  # fmt: skip
    os.close(theirs)
    return process, ours


def processor_seconds(pid: int) -> float:
    """Processor time of a process so far; 0 where the system does not tell."""
    stat = Path(f"/proc/{pid}/stat")
    if not stat.exists():
        return 0.0
    fields = stat.read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def measure(command: list[str], fills: bool, into: Times | None) -> None:
    """Run the program until it has painted, and its list is there if it has one."""
    began, seen, painted = time.perf_counter(), b"", 0.0
    process, terminal = start(command)
    while not painted or (fills and _FILLED not in seen):
        seen += os.read(terminal, 65536)
        if not painted and _PAINTED in seen:
            painted, processor = time.perf_counter() - began, processor_seconds(process.pid)
    filled = time.perf_counter() - began
    process.kill()
    process.wait()
    os.close(terminal)
    if into is not None:
        into.painted.append(painted)
        into.processor.append(processor)
        into.filled.append(filled)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--rounds", type=int, default=15)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        commands = {BARE: [sys.executable, "-c", _BARE_APP]}
        for events in SIZES:
            log = copy_of(events, Path(folder))
            commands[f"{events:,} events"] = [sys.executable, "-m", "reedkin", "--log", str(log)]
        times = {name: Times() for name in commands}
        for turn in range(options.rounds + 1):
            for name, command in commands.items():
                measure(command, name != BARE, times[name] if turn else None)  # the first fills the disk's cache
    return report(times)


def report(times: dict[str, Times]) -> int:
    bare = times[BARE]
    print(f"{'':20} {'first paint':>12} {'ratio':>6} {'processor':>10} {'ratio':>6} {'list':>9}")
    for name, found in times.items():
        painted, processor, filled = map(statistics.median, (found.painted, found.processor, found.filled))
        print(
            f"{name:20} {painted * 1e3:9.0f} ms {painted / statistics.median(bare.painted):6.2f} "
            f"{processor * 1e3:7.0f} ms {processor / (statistics.median(bare.processor) or 1):6.2f} "
            + (f"{filled * 1e3:6.0f} ms" if name != BARE else "")
        )
    longest = times[f"{SIZES[-1]:,} events"]
    ratio, listed = (
        statistics.median(longest.painted) / statistics.median(bare.painted),
        statistics.median(longest.filled),
    )
    met = {
        f"first paint at most {MOST} times a bare app's": ratio <= MOST,
        f"the list within {LIST_SECONDS} s": listed <= LIST_SECONDS,
    }
    for target, reached in met.items():
        print(f"{target}: {'reached' if reached else 'MISSED'}")
    return 0 if all(met.values()) else 1


if __name__ == "__main__":
    sys.exit(main())
