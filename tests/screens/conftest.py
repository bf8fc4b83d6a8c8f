"""The program under Pilot: a log of its own, a clock that stands still."""

from __future__ import annotations

import asyncio
import re
from collections.abc import AsyncIterator, Callable
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from datetime import datetime, timedelta, timezone
from html import unescape
from pathlib import Path

import pytest
from textual import events
from textual.keys import _character_to_key
from textual.pilot import Pilot

from reedkin.app import ReedkinApp
from reedkin.desk import Desk
from reedkin.domain.clock import FixedClock
from reedkin.grammar.reading import read
from reedkin.store.log import Log

SIZES = [(80, 24), (120, 40)]
Opened = Callable[..., AbstractAsyncContextManager["Bench"]]


class Bench:
    """A running program and what a test asks of it."""

    def __init__(self, pilot: Pilot[None], app: ReedkinApp, clock: FixedClock) -> None:
        self.pilot, self.app, self.clock = pilot, app, clock

    @property
    def desk(self) -> Desk:
        assert self.app.desk is not None
        return self.app.desk

    async def settle(self) -> None:
        """Until all workers and messages are done."""
        await self.app.workers.wait_for_complete()
        await self.pilot.pause()

    async def keys(self, text: str) -> None:
        """Type without a pause, which is as if one had typed slowly (tested on its own); words in <> are keys by name.
        A prompt that a key opens keeps its worker waiting for the answer, so only the messages are waited for."""
        for named, character in _KEY.findall(text):
            self.app.post_message(events.Key(named or _character_to_key(character), character or None))
        await passed(self.app)
        await self.app.turns.at_rest()
        await self.app.animator.wait_until_complete()
        await self.pilot.pause()

    async def enter(self, line: str) -> None:
        """Type a line and press Enter."""
        await self.keys(f"{line}<enter>")

    async def answer(self, text: str) -> None:
        """Paste the answer to a prompt in place of what is there, and press Enter."""
        await self.keys("<ctrl+u>")
        assert self.app.focused is not None
        self.app.focused.post_message(events.Paste(text))
        await self.keys("<enter>")

    @property
    def shown(self) -> str:
        """What the screen shows, as plain text: the words of its picture, line by line."""
        lines: dict[int, list[str]] = {}
        for line, text in _TEXT.findall(self.app.export_screenshot()):
            lines.setdefault(int(line), []).append(unescape(text).replace("\xa0", " "))
        return "\n".join("".join(lines[line]).rstrip() for line in sorted(lines))


_KEY = re.compile(r"<([^>]+)>|(.)")
_TEXT = re.compile(r'<text[^>]*clip-path="url\(#[^)]*-line-(\d+)\)"[^>]*>(.*?)</text>', re.DOTALL)


async def passed(app: ReedkinApp) -> None:
    """Until the program has taken in what was posted to it."""
    seen = asyncio.Event()
    app.call_later(seen.set)
    await seen.wait()


@pytest.fixture
def clock() -> FixedClock:
    return FixedClock(datetime(2026, 11, 25, 10, 0, tzinfo=timezone(timedelta(hours=1))))


@pytest.fixture(autouse=True)
def looked_at_by_the_test_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whether another program has recorded something is looked at when the test says so (`app.follow`), and not each
    second, which on a busy machine falls into the middle of anything."""
    monkeypatch.setattr("reedkin.app.FOLLOW_SECONDS", 3600.0)


@pytest.fixture
def log_path(tmp_path: Path) -> Path:
    return tmp_path / "bench.jsonl"


@pytest.fixture
def opened(log_path: Path, clock: FixedClock) -> Opened:
    """Open the program at a size, on a log that holds the lines given; `first` are keys that lead to a screen, which is
    waited for."""

    @asynccontextmanager
    async def open_at(size: tuple[int, int] = (80, 24), *lines: str, first: str = "") -> AsyncIterator[Bench]:
        if lines:
            fill(log_path, clock, lines)
        app = ReedkinApp(log_path, clock)
        async with app.run_test(size=size, notifications=True) as pilot:
            bench = Bench(pilot, app, clock)
            await bench.settle()
            if first:
                await bench.keys(first)
                while app.screen.is_busy:  # type: ignore[attr-defined]
                    await bench.settle()
                await pilot.pause()
            yield bench

    return open_at


def fill(path: Path, clock: FixedClock, lines: tuple[str, ...]) -> None:
    """Record entry lines in a log, a minute apart."""
    with Log(path, clock) as log:
        hand = None
        for line in lines:
            reading = read(line, log.bench, hand)
            assert reading.ready, (line, reading.errors)
            records = log.record(reading)
            hand = log.bench.reed(records[0].reed) if hasattr(records[0], "reed") else hand
            clock.forward(minutes=1)
