"""
How long it takes to record an entry, until it is durable, in logs of growing size; against TinyDB's own JSON storage;
and how long opening a log takes and how much memory. Run: python tests/benchmarks/recording_speed.py

Every reed has 25 events, so 100,000 events are 4,000 reeds. All logs are open at once and take turns, so that what
else the computer does falls on all alike. Times are medians.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, cast

from tinydb import TinyDB
from tinydb.table import Document

from reedkin.store.database import LogDatabase
from reedkin.store.reading.lines import document_tail, entry_lines, header_line
from reedkin.store.storage import AppendOnlyStorage

SIZES = (1_000, 10_000, 50_000, 100_000)
STOCK_SIZE = 50_000
EVENTS_A_REED = 25
REEDS_AT_HAND = 20
MOST_GROWTH = 1.3
LEAST_GAIN = 100


def event(number: int) -> dict[str, Any]:
    """An invented event about as long as a real one."""
    return {
        "kind": "scraped",
        "at": f"2024-03-01T09:{number // 60 % 60:02}:{number % 60:02}+01:00",
        "recorded": "2024-03-01T09:12:00.000Z",
        "session": f"0190a6f0-{number // 12:012x}",
        "facts": {"where": "tip", "minutes": number % 20, "note": "left side still thick"},
    }


def uid(number: int) -> str:
    return f"0190a6f0-1b2c-7000-8000-{number:012x}"


def placed(events: int) -> Iterator[tuple[str, int]]:
    """Table and number of each event: the reeds are worked at in turn."""
    reeds = max(1, events // EVENTS_A_REED)
    return ((f"reed {number % reeds}", number) for number in range(events))


def make_log(path: Path, events: int) -> None:
    with path.open("wb") as file:
        file.write(header_line("0190a6f0-0000-7000-8000-000000000000", "2024-03-01T08:00:00+00:00"))
        for table, number in placed(events):
            file.writelines(entry_lines([document_tail(table, uid(number), event(number))]))


def make_stock(path: Path, events: int) -> None:
    tables: dict[str, dict[str, Any]] = {}
    for table, number in placed(events):
        documents = tables.setdefault(table, {})
        documents[str(len(documents) + 1)] = event(number)
    path.write_text(json.dumps(tables))


def timed(action: Callable[[], object]) -> float:
    start = time.perf_counter()
    action()
    return time.perf_counter() - start


def plain_append(path: Path) -> float:
    """Appending a line of the same length to a bare file, and fsync: what the disk itself takes."""
    line = entry_lines([document_tail("reed 1", uid(1), event(1))])[0]
    fd = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_APPEND)
    try:
        return timed(lambda: (os.write(fd, line), os.fsync(fd)))
    finally:
        os.close(fd)


def recording(folder: Path, rounds: int, chance: random.Random) -> tuple[dict[int, float], float, float]:
    """Seconds for an entry at each size, for TinyDB's own storage, and for the disk alone."""
    logs = {events: LogDatabase(folder / f"{events}.log") for events in SIZES}
    times: dict[int, list[float]] = {events: [] for events in SIZES}
    disk: list[float] = []
    stock_times: list[float] = []
    with TinyDB(folder / "stock.json") as stock:
        for turn in range(rounds + REEDS_AT_HAND):
            for events, log in logs.items():
                reed = turn if turn < REEDS_AT_HAND else chance.randrange(REEDS_AT_HAND)
                document = Document(event(turn), cast(int, uid(10**9 + turn)))
                took = timed(lambda r=reed, d=document, g=log: g.table(f"reed {r}").insert(d))  # type: ignore[misc]
                if turn >= REEDS_AT_HAND:  # before, each reed is read for the first time
                    times[events].append(took)
            disk.append(plain_append(folder / "plain"))
            if turn % (rounds // 6) == 0:
                stock_times.append(timed(lambda: stock.table("reed 1").insert(event(1))))
    for log in logs.values():
        log.close()
    medians = {events: statistics.median(found) for events, found in times.items()}
    return medians, statistics.median(stock_times), statistics.median(disk)


def resident() -> float:
    """Megabytes of memory in use by this process (Linux), else 0."""
    statm = Path("/proc/self/statm")
    return int(statm.read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE") / 1e6 if statm.exists() else 0.0


def open_once(path: Path) -> None:
    """In a process of its own: opening a log, seconds and megabytes."""
    before = resident()
    start = time.perf_counter()
    storage = AppendOnlyStorage(path, read_only=True)
    took = time.perf_counter() - start
    print(json.dumps([took, resident() - before]))
    storage.close()


def opening(path: Path, rounds: int = 7) -> tuple[float, float]:
    command = [sys.executable, __file__, "--open", str(path)]
    found = [json.loads(subprocess.run(command, capture_output=True, check=True).stdout) for _ in range(rounds)]
    return statistics.median(took for took, _ in found), statistics.median(space for _, space in found)


def report(folder: Path, rounds: int) -> bool:
    """Print the table; whether both targets were reached."""
    for events in SIZES:
        make_log(folder / f"{events}.log", events)
    make_stock(folder / "stock.json", STOCK_SIZE)
    opened = {events: opening(folder / f"{events}.log") for events in SIZES}
    recorded, stock, disk = recording(folder, rounds, random.Random(12))

    print(f"{'events':>8} {'record':>10} {'ratio':>6} {'open':>9} {'memory':>8} {'file':>8}")
    for events in SIZES:
        took, space = opened[events]
        size = (folder / f"{events}.log").stat().st_size / 1e6
        ratio = recorded[events] / recorded[SIZES[0]]
        print(
            f"{events:>8,} {recorded[events] * 1e3:>7.3f} ms {ratio:>6.2f} {took * 1e3:>6.0f} ms "
            f"{space:>5.0f} MB {size:>5.1f} MB"
        )
    print(f"The disk alone, append and fsync: {disk * 1e3:.3f} ms.")
    growth = recorded[SIZES[-1]] / recorded[SIZES[0]]
    gain = stock / recorded[STOCK_SIZE]
    print(f"TinyDB's JSON storage at {STOCK_SIZE:,} events: {stock * 1e3:.0f} ms, {gain:,.0f} times as long.")
    met = {f"growth at most {MOST_GROWTH}": growth <= MOST_GROWTH, f"gain at least {LEAST_GAIN}": gain >= LEAST_GAIN}
    for target, reached in met.items():
        print(f"{target}: {'reached' if reached else 'MISSED'}")
    return all(met.values())


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--rounds", type=int, default=600, help="entries recorded in each log")
    parser.add_argument("--open", type=Path, metavar="LOG", help="only open this log once (used by the command itself)")
    options = parser.parse_args()
    if options.open:
        open_once(options.open)
        return 0
    with tempfile.TemporaryDirectory() as folder:
        return 0 if report(Path(folder), options.rounds) else 1


if __name__ == "__main__":
    sys.exit(main())
