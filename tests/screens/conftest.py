"""The program under Pilot: a log of its own, a clock that stands still."""

from __future__ import annotations

import asyncio
import re
from collections.abc import AsyncIterator, Callable, Hashable
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone
from filecmp import cmp
from pathlib import Path
from shutil import copyfile
from typing import Any
from weakref import WeakKeyDictionary

import pytest
from textual import events
from textual._compositor import Compositor, LayoutUpdate
from textual.app import App
from textual.css.model import RuleSet
from textual.css.stylesheet import Stylesheet
from textual.keys import _character_to_key
from textual.pilot import Pilot

from reedkin.answers.question import Asked, Question
from reedkin.app import ReedkinApp
from reedkin.desk import Desk
from reedkin.domain.clock import FixedClock
from reedkin.screens.parts.reckoning import ReckoningScreen
from reedkin.store.disk.calls import Disk
from reedkin.study.ticks import Tick
from tests.filling import fill

DEMO_LOGS = Path(__file__).parents[2] / "demo_logs"
DEMOS = tuple(DEMO_LOGS.glob("*.jsonl"))
SIZES = [(80, 24), (120, 40)]
Opened = Callable[..., AbstractAsyncContextManager["Bench"]]


class Bench:
    """A running program and what a test asks of it."""

    waits_for_answers = True
    """Whether keys wait for what a screen asks the log (`SlowReading` holds it back)."""

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
        What a screen then asks the log is waited for; but not every worker, since a prompt that a key opens keeps one
        waiting for what is typed into it."""
        for named, character in _KEY.findall(text):
            self.app.post_message(events.Key(named or _character_to_key(character), character or None))
        await passed(self.app)
        await self.app.turns.at_rest()
        await self.app.animator.wait_until_complete()
        await self.pilot.pause()
        while self.waits_for_answers and getattr(self.app.screen, "is_busy", False):
            await self.settle()

    async def both_sizes(self) -> AsyncIterator[tuple[int, int]]:
        """What is shown at each size, that of the opening first: to give the window another size costs a tenth of
        opening the program in it."""
        for size in sorted(SIZES, key=lambda size: size != self.app.size):
            await self.pilot.resize_terminal(*size)
            yield size

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
        """What the screen shows, as plain text, line by line, without the margin at its left."""
        rows = ("".join(strip.text for strip in row) for row in painted(self.app).strips)
        return "\n".join(row.removeprefix(" ").rstrip() for row in rows)


_SEEN: WeakKeyDictionary[Compositor, LayoutUpdate] = WeakKeyDictionary()
"""What was painted last, while nothing of it has changed."""


def painted(app: ReedkinApp) -> LayoutUpdate:
    """All that the program shows: painted now, unless nothing has happened since it was painted last."""
    compositor, behind = app.screen._compositor, app._background_screens
    rests = not (behind or _ready() or _is_due(app) or compositor._dirty_regions)
    if rests and compositor in _SEEN:
        return _SEEN[compositor]
    update = compositor.render_update(full=True, screen_stack=behind)
    assert isinstance(update, LayoutUpdate)
    if rests:
        _SEEN[compositor] = update
    return update


_KEY = re.compile(r"<([^>]+)>|(.)")


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


@pytest.fixture(autouse=True)
def painted_when_looked_at(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nobody sees what the program paints in a test but the test itself, when it asks what is shown: then all is
    painted (in full, as `painted` and `export_screenshot` ask for it), and not with every change in between. That is a
    third of a test's time."""
    in_full = Compositor.render_update

    def when_asked(self: Compositor, full: bool = False, **how: Any) -> Any:
        if self._dirty_regions:
            _SEEN.pop(self, None)
        if full:
            return in_full(self, full, **how)
        self._dirty_regions.clear()
        return None

    monkeypatch.setattr(Compositor, "render_update", when_asked)


@pytest.fixture(autouse=True)
def no_power_is_cut(monkeypatch: pytest.MonkeyPatch) -> None:
    """What survives a loss of power is tested with the log itself: here no test waits for the disk to vouch for what
    was written."""
    monkeypatch.setattr(Disk, "fsync", lambda disk, fd: None)


_PARSED: dict[Hashable, list[RuleSet]] = {}


@pytest.fixture(autouse=True)
def styles_parsed_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every program that a test opens has the same styles, which Textual parses anew for each, and again for each
    screen that comes up in it. That is a sixth of a test's time."""
    parse = Stylesheet._parse_rules

    def once(self: Stylesheet, *source: Hashable, **named: Hashable) -> list[RuleSet]:
        of = (source, *named.items(), *self._variables.items())
        if of not in _PARSED:
            _PARSED[of] = parse(self, *source, **named)  # type: ignore[arg-type]
        return _PARSED[of]

    monkeypatch.setattr(Stylesheet, "_parse_rules", once)


@dataclass(frozen=True)
class _OfADemo:
    """A question that is asked of a demo log as it was shipped."""

    question: Question[Any]
    log: Path
    now: datetime

    def answer(self, asked: Asked, tick: Tick) -> object:
        if self not in _GIVEN:
            _GIVEN[self] = self.question.answer(asked, tick)
        return _GIVEN[self]


_GIVEN: dict[_OfADemo, object] = {}


@pytest.fixture(autouse=True)
def demos_asked_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """What a question has found in a demo log is the same for every test that asks it at the same time: it is reckoned
    once. Every other log, and a demo log that was added to, is asked anew."""
    usual = ReckoningScreen.ask

    def ask(self: ReckoningScreen, question: Question[Any], show: Callable[[Any], None]) -> None:
        log = self.desk.log.path
        demo = next((demo for demo in DEMOS if log.exists() and cmp(log, demo, shallow=False)), None)
        if demo is not None and not isinstance(question, _OfADemo):
            question = _OfADemo(question, demo, self.desk.log.clock.now())
        usual(self, question, show)

    monkeypatch.setattr(ReckoningScreen, "ask", ask)


@pytest.fixture(autouse=True)
def paused_until_done(monkeypatch: pytest.MonkeyPatch) -> None:
    """A pause lasts until nothing is left to do; Textual's own waits until the processor was idle for a fiftieth of a
    second, which on a busy machine is never."""

    async def until_done(pilot: Pilot[Any], delay: float | None = None) -> None:
        assert delay is None, "a test sleeps nowhere"
        await _at_rest()
        while _goes_on(pilot.app):
            await _at_rest()

    monkeypatch.setattr(Pilot, "pause", until_done)


async def _at_rest() -> None:
    """Until the loop has nothing more to run: every part of the program waits for a message, a timer or a thread."""
    await asyncio.sleep(0)
    while _ready():
        await asyncio.sleep(0)


def _ready() -> bool:
    """Whether the loop has something to run."""
    loop: Any = asyncio.get_running_loop()
    return bool(loop._ready)


def _goes_on(app: App[Any]) -> bool:
    """Whether something was still to be dealt with, which it is thereby."""
    due = _is_due(app)
    if app._resize_event is not None:
        app._check_resize()
    app.screen._on_timer_update()
    return due


def _is_due(app: App[Any]) -> bool:
    """Whether a new size, a layout or a painting is still to be dealt with."""
    screen = app.screen
    return app._resize_event is not None or (
        screen.is_current
        and bool(
            screen._layout_required
            or screen._scroll_required
            or screen._repaint_required
            or screen._dirty_widgets
            or screen._recompose_required
            or screen._callbacks
        )
    )


@pytest.fixture
def log_path(tmp_path: Path) -> Path:
    return tmp_path / "bench.jsonl"


@pytest.fixture
def demo(log_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The log is a copy of the demo of three seasons. A test of it types nothing on the bench, so what the entry line
    looks back at need not be read beforehand."""
    copyfile(DEMO_LOGS / "three_seasons.jsonl", log_path)
    monkeypatch.setattr("reedkin.app.look_back", lambda make: make())


@pytest.fixture
def opened(log_path: Path, clock: FixedClock) -> Opened:
    """Open the program at a size, on a log that holds the lines given; `first` are keys that lead to a screen."""

    @asynccontextmanager
    async def open_at(size: tuple[int, int] = (80, 24), *lines: str, first: str = "") -> AsyncIterator[Bench]:
        if lines:
            fill(log_path, clock, lines)
        app = ReedkinApp(log_path, clock)
        app.animation_level = "none"  # a page is there at once
        async with app.run_test(size=size, notifications=True) as pilot:
            bench = Bench(pilot, app, clock)
            await bench.settle()
            await _backed_up(app)
            if first:
                await bench.keys(first)
            yield bench
            painted(app)  # whatever a test looks at, all that is there can be painted

    return open_at


async def _backed_up(app: ReedkinApp) -> None:
    """Until the backup that opening makes is there, so that no fault that a test injects falls into it."""
    for worker in [one for one in app.workers if one.name == "_back_up"]:
        await worker.wait()
