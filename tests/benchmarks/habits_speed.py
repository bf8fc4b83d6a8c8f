"""
How long the habits report takes on an invented log of 4,000 reeds and 100,000 events, without reading the log; and how
long it is at most from one moment at which it can be stopped to the next. Run from the top of the project, with `tui`
on the path: python -m tests.benchmarks.habits_speed

Times are the least of several runs, in seconds: of the clock, and of the processor, which other work on the machine
does not lengthen.
"""

from __future__ import annotations

import argparse
import gc
import time

from demo_logs.simulate import scaled
from tests.analysis.logs import bench

from reedkin.analysis.lifespans import lifespans
from reedkin.analysis.report import habits_report
from reedkin.analysis.study import Study
from reedkin.domain.bench import Bench


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


def once(log: Bench, watch: Stopwatch) -> Study:
    started = watch.start()
    study = Study.of_bench(log, watch.tick)
    watch.stop("lives and habits' making", started)
    started = watch.start()
    habits_report(study, "hours", tick=watch.tick)
    watch.stop("habits report", started)
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
    parser.add_argument("--events", type=int, default=100_000)
    parser.add_argument("--runs", type=int, default=5)
    asked = parser.parse_args()
    scenario = scaled(asked.events)
    log = bench(scenario.rows, scenario.sessions)
    log.reeds()
    # The program keeps the garbage collector out while it asks the log, too.
    gc.disable()
    watch = Stopwatch()
    for _ in range(asked.runs):
        study = once(log, watch)
    print(f"{len(log)} reeds, {len(scenario.rows)} events, {len(study.lives)} lives, {len(study.playings)} playings\n")
    print("| part | seconds | of the processor |\n| --- | ---: | ---: |")
    for name, seconds in watch.clock.items():
        print(f"| {name} | {seconds:.2f} | {watch.processor[name]:.2f} |")
    print(f"\nLongest wait for a stop: {1000 * watch.longest_wait:.0f} ms")


if __name__ == "__main__":
    main()
