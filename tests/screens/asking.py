"""What the tests of the screens that ask the log share."""

from __future__ import annotations

import shutil
from datetime import timedelta
from pathlib import Path
from threading import Event
from typing import Any

import pytest

from reedkin.bench.bench import Bench as LogBench
from reedkin.domain.clock import FixedClock
from reedkin.store.log import Log
from reedkin.study.study import Study
from reedkin.study.ticks import Tick
from tests.screens.conftest import DEMO_LOGS, Bench

FIVE_LIVES = (
    "1-5 tie oboe 72 lot 7", "6 tie eh 60 lot 9",
    "1 play 60 8", "1 retire worn",
    "2 play 1h 8; play 1h 6", "2 retire closed up",
    "3 play 2h 8; play 1h 4", "3 retire worn",
    "4 play 4h 9", "4 retire chipped",
    "5 play 5h 9",
)  # fmt: skip
"""Reeds retired for wear at 1, 2 and 3 hours, one chipped at 4, one in service at 5, and one never played. By hand: the
share in service is .8, .6, .4 after 1, 2, 3 hours, so that half last 3 hours."""


async def answered(bench: Bench) -> None:
    """Until the screen that is up has its answer."""
    await bench.pilot.pause()
    while bench.app.screen.is_busy:  # type: ignore[attr-defined]
        await bench.settle()
    await bench.pilot.pause()


class SlowReading:
    """Makes the reading of the log wait until it is let go, and counts how often it is begun and stopped."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.begun, self.stopped = 0, 0
        self.go, self.waiting = Event(), Event()
        read: Any = Study.of_bench

        def of_bench(bench: LogBench, tick: Tick) -> Study:
            self.begun += 1
            try:
                self.waiting.set()
                while not self.go.wait(0.01):
                    tick(0.5)
                tick(0.5)  # it may have been stopped just before it was let go
            except BaseException:
                self.stopped += 1
                raise
            return read(bench, tick)  # type: ignore[no-any-return]

        monkeypatch.setattr(Study, "of_bench", of_bench)
        monkeypatch.setattr(Bench, "waits_for_answers", False)


def first_month_at(path: Path, clock: FixedClock) -> None:
    """A copy of the demo log of a first month, opened on the morning after its last event."""
    shutil.copyfile(DEMO_LOGS / "first_month.jsonl", path)
    with Log.open(path, clock) as log:
        last = max(reed.last.at for reed in log.bench.reeds())
    clock.moment = last.astimezone(clock.moment.tzinfo).replace(hour=10, minute=0, second=0) + timedelta(days=1)
