"""Logs filled with entry lines, without a program."""

from __future__ import annotations

from collections.abc import Hashable
from datetime import datetime
from pathlib import Path

from reedkin.domain.clock import Clock, FixedClock
from reedkin.grammar.reading import read
from reedkin.store.log import Log

_FILLED: dict[Hashable, tuple[bytes, datetime]] = {}


def fill(path: Path, clock: FixedClock, lines: tuple[str, ...]) -> None:
    """Record entry lines in a log, a minute apart. A new log of the same lines is written once for all tests."""
    if path.exists():
        _record(path, clock, lines)
        return
    of = (lines, clock.moment.isoformat())
    if of not in _FILLED:
        _record(path, clock, lines)
        _FILLED[of] = path.read_bytes(), clock.moment
    written, clock.moment = _FILLED[of]
    path.write_bytes(written)


def fill_now(path: Path, *lines: str) -> Path:
    """A log with entry lines that are recorded now, and a backup of it."""
    fill(path, FixedClock(Clock().now()), lines)
    with Log(path, Clock()) as log:
        log.back_up()
    return path


def overall(path: Path) -> dict[str, float | None]:
    """The lengths of the reeds of a log by their tags; the log is whole."""
    with Log(path, Clock()) as log:
        assert not log.faults
        return {reed.tag: reed.now.overall_mm for reed in log.bench.reeds()}


def _record(path: Path, clock: FixedClock, lines: tuple[str, ...]) -> None:
    with Log(path, clock) as log:
        hand = None
        for line in lines:
            reading = read(line, log.bench, hand)
            assert reading.ready, (line, reading.errors)
            records = log.record(reading)
            hand = log.bench.reed(records[0].reed) if hasattr(records[0], "reed") else hand
            clock.forward(minutes=1)
