"""
How long the habits report takes on an invented log of 4,000 reeds and 100,000 events, from the lines of an open log to
the last habit; and how long it is at most from one moment at which it can be stopped to the next. Run from the top of
the project: python -m tests.benchmarks.habits_speed

Times are the least of several runs, in seconds: of the clock, and of the processor, which other work on the machine
does not lengthen.
"""

from __future__ import annotations

import argparse
import gc
import tempfile
import time
from pathlib import Path

from tests.benchmarks.scaled import SIZES, copy_of

from reedkin.answers.habits.report import habits_report
from reedkin.answers.lives.lifespans import lifespans
from reedkin.bench.bench import Bench
from reedkin.domain.clock import Clock
from reedkin.store.log import Log
from reedkin.study.study import Study


class Stopwatch:
    """Times parts of the work, and the longest wait between the ticks in them."""

    def __init__(self) -> None:
        self.clock: dict[str, float] = {}
        self.processor: dict[str, float] = {}
        self.longest_wait = 0.0
        self._last = 0.0

    def tick(self, share: float) -> None:
        now = time.perf_counter()
        self.longest_wait = max(self.longest_wait, now - self._last)
        self._last = now

    def start(self) -> tuple[float, float]:
        self._last = time.perf_counter()
        return self._last, time.process_time()

    def stop(self, name: str, started: tuple[float, float]) -> None:
        self.tick(1.0)
        self.clock[name] = min(self.clock.get(name, 1e9), time.perf_counter() - started[0])
        self.processor[name] = min(self.processor.get(name, 1e9), time.process_time() - started[1])


def once(bench: Bench, watch: Stopwatch) -> Study:
    began = watch.start()
    study = Study.of_bench(bench, watch.tick)
    watch.stop("lineages, lives, habits of making", began)
    started = watch.start()
    habits_report(study, "hours", tick=watch.tick)
    watch.stop("habits tried", started)
    watch.stop("**the whole report**", began)
    started = watch.start()
    habits_report(study, "days", tick=watch.tick)
    watch.stop("the same in days", started)
    started = time.perf_counter(), time.process_time()
    lifespans(study).to_json()
    watch.clock["lifespans"] = time.perf_counter() - started[0]
    watch.processor["lifespans"] = time.process_time() - started[1]
    return study


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--events", type=int, choices=SIZES, default=SIZES[-1])
    parser.add_argument("--runs", type=int, default=5)
    asked = parser.parse_args()
    watch = Stopwatch()
    with tempfile.TemporaryDirectory() as folder, Log(copy_of(asked.events, Path(folder)), Clock()) as log:
        gc.disable()  # the program keeps the garbage collector out while it asks the log, too
        for _ in range(asked.runs):
            bench = log.bench.snapshot()()  # one that has read no lineage yet
            study = once(bench, watch)
    print(f"{len(bench)} reeds, {asked.events} events, {len(study.lives)} lives, {len(study.playings)} playings\n")
    print("| part | seconds | of the processor |\n| --- | ---: | ---: |")
    for name, seconds in watch.clock.items():
        print(f"| {name} | {seconds:.2f} | {watch.processor[name]:.2f} |")
    print(f"\nLongest wait for a stop: {1000 * watch.longest_wait:.0f} ms")


if __name__ == "__main__":
    main()
