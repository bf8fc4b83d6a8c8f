"""
How long the program takes to answer, on logs of growing size: from a key to the preview of the entry line, and from
Enter behind a tag to the reed's own screen. Both as processor work alone (what is read, folded, previewed, completed),
and in a pseudo-terminal, painting and all. Times are medians, and the longest of a hundred where one waits for each.
Memory is the most that the program took in all, having read the whole log for the habits report.
Run: python -m tests.benchmarks.answers
"""

from __future__ import annotations

import argparse
import gc
import os
import random
import re
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from tests.answers.whole_life import whole_life
from tests.benchmarks.first_paint import start
from tests.benchmarks.scaled import SIZES, copy_of

from reedkin.app import look_back
from reedkin.desk import Desk
from reedkin.domain.clock import Clock
from reedkin.store.log import Log

MOST_KEY, MOST_OPEN = 0.016, 0.050
LINES = (
    "{tag} scrape tip 10m; clip .5; crow C5 -20c", "c .5", "p 45 8 rehearsal", "wire; tubing 5",
    "retire cracked @yesterday",
    "9001-9006 tie eh 60 lot 7 tube 27", '{tag} note "buzzes on low notes"', "{tag} measure tip 50.5 heart 43.5",
)  # fmt: skip
_REED_SCREEN = "reedkin · reed".encode()


def timed(action: Callable[[], object]) -> float:
    start = time.perf_counter()
    action()
    return time.perf_counter() - start


def keys(log: Log, chance: random.Random) -> list[float]:
    """Seconds for each key of some lines typed one after another."""
    desk = Desk(log)
    gc.collect()
    gc.freeze()  # as the program does, too
    desk.bench.take_over(look_back(desk.bench.snapshot()))  # as the program does in a thread once the list is there
    times = []
    for line in LINES:
        text = line.format(tag=chance.choice(desk.reeds()).tag)
        for end in range(1, len(text) + 1):
            typed = text[:end]
            times.append(timed(lambda t=typed: (desk.explain(desk.read(t)), desk.complete(t))))  # type: ignore[misc]
    return times


def folds(log: Log, chance: random.Random) -> list[float]:
    """Seconds to find any reeds of the log by tag and write their whole lives as text; each for the first time."""
    headings = list(log.bench.headings)
    chosen = chance.sample(headings, min(100, len(headings)))

    def opened(tag: str) -> None:
        reed = log.bench.find(tag)
        assert reed is not None
        whole_life(reed, log.bench)

    return [timed(lambda h=heading: opened(f"{h.tag}/1")) for heading in chosen]  # type: ignore[misc]


class Program:
    """The program in a pseudo-terminal, of which only the bytes are looked at."""

    def __init__(self, log: Path) -> None:
        self._process, self._terminal = start([sys.executable, "-m", "reedkin", "--log", str(log)])
        self.until("▸".encode())

    def until(self, words: bytes) -> None:
        """Read on until `words` come."""
        seen = b""
        while words not in seen:
            seen += os.read(self._terminal, 65536)

    def send(self, text: str) -> None:
        os.write(self._terminal, text.encode())

    def open_reed(self, tag: str) -> float:
        """Seconds from Enter behind a tag to the reed's screen; then back to the bench."""
        self.send(tag)
        self.until(tag[-1].encode())
        took = timed(lambda: (self.send("\r"), self.until(_REED_SCREEN)))
        self.send("\x1bOQ")
        self.until("reedkin · bench".encode())
        return took

    def ask_habits(self) -> None:
        """The habits report, which reads the whole log."""
        self.send("\x1b[15~")
        self.until(b"habits by hours")

    def megabytes(self) -> float:
        """The most memory that the program has taken so far, where the system tells."""
        status = Path(f"/proc/{self._process.pid}/status")
        found = re.search(r"VmHWM:\s*(\d+) kB", status.read_text()) if status.exists() else None
        return int(found[1]) / 1024 if found else float("nan")

    def end(self) -> None:
        self._process.kill()
        self._process.wait()
        os.close(self._terminal)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.parse_args()
    chance = random.Random(7)
    worst_key = worst_open = 0.0
    print(f"{'events':>8} {'a key':>9} {'longest':>9} {'a reed':>9} {'longest':>9} {'reed, painted':>14} {'memory':>8}")
    with tempfile.TemporaryDirectory() as folder:
        for events in SIZES:
            path = copy_of(events, Path(folder))
            with Log(path, Clock(), read_only=True) as log:
                typed, opened = keys(log, chance), folds(log, chance)
                tags = [heading.tag for heading in chance.sample(list(log.bench.headings), 12)]
            program = Program(path)
            painted = [program.open_reed(tag) for tag in tags]
            program.ask_habits()
            memory = program.megabytes()
            program.end()
            key, reed, shown = statistics.median(typed), statistics.median(opened), statistics.median(painted)
            print(
                f"{events:>8,} {key * 1e3:>6.1f} ms {max(typed) * 1e3:>6.1f} ms {reed * 1e3:>6.1f} ms "
                f"{max(opened) * 1e3:>6.1f} ms {shown * 1e3:>11.0f} ms {memory:>5.0f} MB"
            )
            worst_key, worst_open = max(worst_key, max(typed)), max(worst_open, max(opened))
    met = {"a key at most 16 ms": worst_key <= MOST_KEY, "a reed at most 50 ms": worst_open <= MOST_OPEN}
    for target, reached in met.items():
        print(f"{target}: {'reached' if reached else 'MISSED'}")
    return 0 if all(met.values()) else 1


if __name__ == "__main__":
    sys.exit(main())
