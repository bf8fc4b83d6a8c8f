"""Keys without sense on every screen: the program goes on, and what was recorded stays."""

from __future__ import annotations

import asyncio
import os
import shutil
import time
import traceback
from pathlib import Path
from random import Random
from typing import Protocol

from demo_logs.build import HERE
from tests.benchmarks.fuzzing.logs import ENTRIES, made
from textual import events
from textual.app import App
from textual.keys import _character_to_key

from reedkin.app import ReedkinApp
from reedkin.cli.commands.demo import clock_on_last_day
from reedkin.store.scan import scan

_SEQUENCES = 100
"""For each start of the program."""
_NAMED = (
    "f1", "f2", "f3", "f4", "f5", "f6", "f7", "f8", "f9", "f10", "enter", "enter", "escape", "escape", "escape", "tab",
    "up", "down", "left", "right", "home", "end", "pageup", "pagedown", "backspace", "delete", "ctrl+z", "ctrl+p",
    "ctrl+u", "ctrl+w", "ctrl+k", "ctrl+a", "ctrl+e", "shift+tab", "insert", "ctrl+c",
)  # fmt: skip
_CHARACTERS = "abcdefghijklmnopqrstuvwxyz 0123456789.,;:@/\\\"'-+~?*<>[]{}()|&%$#!=é€\u0301\u202e🎷"
_LINES = (
    "1 clip .5", "p 45 8 rehearsal", "12 scrape tip 10m", "tie eh 60", "retire cracked", "note [bold]x", "take back",
    "c 500", "played", "wire 28 awg", "crow C5 -20c", "@yesterday", "1-3 note x", "lot 7 cane 10", "session",
    "~nosuch/x",
    "/dev/null/x",
)  # fmt: skip
LONGEST = 5.0
"""Seconds of processor time that no case may take."""
_PATIENCE = 120.0
"""Seconds by the clock on the wall that the screens may take for a sequence, on a machine with much else to do."""


class Counted(Protocol):
    """Where is kept what was tried."""

    tried: int
    longest: float
    wrong: list[str]

    def ended(self, how: str) -> None: ...


async def type_at_random(folder: Path, times: int, seed: int, first: int, tally: Counted) -> None:
    """Type so many sequences of keys, a hundred for each start of the program: on a small log, and on a demo log."""
    folder.mkdir()
    small = made(folder / "small.jsonl", ENTRIES[0] + ENTRIES[3])
    number, end = first, first + times
    while number < end:
        case = folder / f"{number}"
        case.mkdir()
        os.chdir(case)
        log = case / "log.jsonl"
        before = small if number // _SEQUENCES % 5 else (HERE / "first_month.jsonl").read_bytes()
        log.write_bytes(before)
        start, number = number, await _run(log, number, min(number + _SEQUENCES, end), seed, tally)
        if not log.read_bytes().startswith(before) or [fault for fault in scan(log).faults if fault.blocks]:
            tally.wrong.append(f"from {start}: what was recorded is not there as it was")
        shutil.rmtree(case)


async def _run(log: Path, first: int, end: int, seed: int, tally: Counted) -> int:
    """Start the program and type; the number of the next sequence."""
    app = ReedkinApp(log, clock_on_last_day(log))
    size = Random(f"{seed} size {first}").choice([(80, 24), (120, 40), (30, 8), (1, 1)])
    number, wrong = first, ""
    try:
        async with app.run_test(size=size) as pilot:
            while number < end and app.crash is None and app.is_running:
                begun = time.process_time()
                typed = _sequence(Random(f"{seed} keys {number}"))
                for key in typed:
                    app.post_message(key)
                await asyncio.wait_for(_rested(app), _PATIENCE)
                await pilot.pause()
                took = time.process_time() - begun
                tally.longest = max(tally.longest, took)
                tally.ended(type(app.screen).__name__)
                if took > LONGEST:
                    tally.wrong.append(f"keys {number}: {took:.1f} s of {[getattr(key, 'key', key) for key in typed]}")
                tally.tried += 1
                number += 1
                if tally.tried % 500 == 0:
                    print(f"keys: {tally.tried}, wrong {len(tally.wrong)}", flush=True)
    except Exception as error:  # noqa: BLE001 - whatever it is, it is what is looked for
        wrong = f"{type(error).__name__}: {error}"
    if app.crash is not None:
        wrong = "".join(traceback.format_exception(app.crash)[-3:])
    if wrong:
        tally.wrong.append(f"keys from {first} up to {number}: {wrong}"[:1000])
    return number + bool(wrong)


async def _rested(app: App[None]) -> None:
    """Until what was typed has been done. A prompt keeps its worker waiting, so only the messages are waited for."""
    assert isinstance(app, ReedkinApp)
    passed = asyncio.Event()
    app.call_later(passed.set)
    await passed.wait()
    await app.turns.at_rest()


def _sequence(chance: Random) -> list[events.Event]:
    """Some keys; now and then a line, or something pasted."""
    typed: list[events.Event] = []
    for _ in range(chance.randrange(1, 9)):
        how = chance.random()
        if how < 0.55:
            typed.append(events.Key(chance.choice(_NAMED), None))
        elif how < 0.8:
            typed += _written(chance.choice(_CHARACTERS))
        elif how < 0.95:
            typed += [*_written(chance.choice(_LINES)), events.Key("enter", None)]
        else:
            pasted = chance.choices(_CHARACTERS + "\n\x00", k=chance.randrange(60))
            typed.append(events.Paste("".join(pasted)))
    return typed


def _written(text: str) -> list[events.Event]:
    return [events.Key(_character_to_key(character), character) for character in text]
