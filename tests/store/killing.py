"""
The real program killed while it records. A victim records numbered entries of two events each and says which are
recorded: the command `add` in a loop, which prints; or the full-screen program at a keyboard, whose screen tells.
"""

from __future__ import annotations

import os
import re
import signal
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

from tests.terminal.terminal import Terminal

from reedkin.cli.main import main
from reedkin.domain.clock import Clock
from reedkin.store.log import Log
from reedkin.store.reading.faults import FaultKind

FIRST = "1 tie oboe 72"
_STANDS = re.compile(r"✓ 1: note “n(\d+)”")
_LONGEST_WAIT = 0.02
"""Seconds; a recording takes less, so a kill within this time comes at any point of it."""


def minutes(number: int) -> int:
    """The minutes of the entry with this number, such as are never asked about."""
    return 20 + number % 20


def line_of(number: int) -> str:
    """The entry line with this number: two events, which are recorded together or not at all."""
    return f'1 note "n{number}"; scrape tip {minutes(number)}m'


@dataclass
class Tally:
    """What was seen so far. `unsaid` counts the entries that were whole though the kill came before they were called
    recorded, `torn` the logs that ended in the midst of one."""

    kills: int = 0
    recorded: int = 0
    unsaid: int = 0
    torn: int = 0
    wrong: list[str] = field(default_factory=list)


def record_for_ever(log: Path, number: int) -> None:
    """The victim that adds: records entry after entry and prints each number once the command has ended well."""
    while main(["--log", str(log), "add", "--yes", line_of(number)]) == 0:
        print(f"said {number}", flush=True)
        number += 1


def forked(log: Path, number: int) -> tuple[int, int]:
    """A victim that adds, split off from this process, which spares it the imports; its id and what it prints."""
    output, inward = os.pipe()
    child = os.fork()
    if child:
        os.close(inward)
        return child, output
    try:
        sys.stdout = os.fdopen(inward, "w")
        record_for_ever(log, number)
    finally:
        os._exit(1)


def kill_adding(log: Path, start: Callable[[Path, int], tuple[int, int]], tally: Tally, chance: Random) -> None:
    """Let a victim add some entries, kill it at any moment, and look at the log."""
    before = held(log, tally)
    child, output = start(log, len(before))
    with os.fdopen(output, "rb") as printed:
        said, wanted = [], chance.randrange(1, 4)
        while len(said) < wanted and (line := printed.readline()):
            said += _numbers(line)
        _spin(chance.uniform(0, _LONGEST_WAIT))
        os.kill(child, signal.SIGKILL)
        said += _numbers(printed.read())
    _, status = os.waitpid(child, 0)
    if os.waitstatus_to_exitcode(status) != -signal.SIGKILL:
        tally.wrong.append(f"the victim ended by itself after {said}")
    look(log, len(before), said, tally)


def _numbers(printed: bytes) -> list[int]:
    """The numbers in whole lines of what was printed."""
    return [int(number) for number in re.findall(rb"^said (\d+)\n", printed, re.MULTILINE)]


def kill_typing(log: Path, tally: Tally, chance: Random) -> None:
    """Type some entries in the full-screen program, kill it at any moment after the last Enter, and look at the log."""
    before = held(log, tally)
    said: list[int] = []
    with Terminal("--log", str(log), size=(120, 40)) as terminal:
        terminal.until("1 ▸")
        last = len(before) + chance.randrange(1, 4)
        for number in range(len(before), last):
            terminal.enter(line_of(number))
            terminal.until(f"✓ 1: note “n{number}”")
            said.append(number)
        terminal.type(line_of(last))
        terminal.until(f"{minutes(last)}m")
        terminal.key("enter")
        _spin(chance.uniform(0, 4 * _LONGEST_WAIT))
        terminal.process.kill()
        terminal.end()
        said += [int(number) for number in _STANDS.findall(terminal.text) if int(number) == last]
    look(log, len(before), said, tally)


def _spin(seconds: float) -> None:
    """Pass the time without giving up the processor, which would make all waits alike."""
    end = time.perf_counter() + seconds
    while time.perf_counter() < end:
        pass


def held(log: Path, tally: Tally) -> list[int]:
    """The numbers of the entries that a log holds, in order, having opened it for writing as the next start does."""
    with Log(log, Clock()) as there:
        for fault in there.faults:
            if fault.kind is FaultKind.TORN:
                tally.torn += 1
            else:
                tally.wrong.append(f"line {fault.line}: {fault.message}")
        reed = there.bench.find("1")
        if reed is None:
            return []
        entries: dict[str, list[str]] = {}
        for step in reed.steps[1:]:
            entries.setdefault(step.event.entry, []).append(step.note or f"{step.facts.get('minutes')}")
    numbers = []
    for note, *scraped in entries.values():
        number = int(note.removeprefix("n"))
        numbers.append(number)
        if scraped != [f"{minutes(number)}"]:
            tally.wrong.append(f"entry {number} is not whole: {note}, {scraped}")
    return numbers


def look(log: Path, count: int, said: list[int], tally: Tally) -> None:
    """Whether the log holds the entries before, those called recorded, and at most the one that was on its way."""
    now = held(log, tally)
    tally.kills += 1
    tally.recorded += len(said)
    unsaid = len(now) - count - len(said)
    if now != list(range(len(now))):
        tally.wrong.append(f"not in order or not once each: {now[-20:]}")
    if said != list(range(count, count + len(said))) or unsaid not in (0, 1):
        tally.wrong.append(f"called recorded {said}, and the log has {now[count:]}")
    tally.unsaid += unsaid
