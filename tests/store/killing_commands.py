"""
Commands that write much, and one that does not, killed at any call to the disk, and in the middle of what they write:
what the log held is held, and what the command adds is there whole or not at all. Each kill finds the log, its backup
and the other files as they were made once.
"""

from __future__ import annotations

import os
import re
import shutil
import signal
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import timedelta
from itertools import count
from pathlib import Path
from random import Random
from typing import Any

from tests.store.killing import Tally

from reedkin.cli.main import main
from reedkin.domain.clock import Clock
from reedkin.grammar.reading import read
from reedkin.store.disk.calls import Disk
from reedkin.store.log import Log
from reedkin.store.reading.faults import FaultKind

_LOG = "log.jsonl"
_EARLIER = Clock(-timedelta(days=3))


@dataclass(frozen=True)
class Deed:
    """A command, how many records it adds, and how often it calls the disk when nobody kills it."""

    words: tuple[str, ...]
    adds: int
    calls: int


def prepared(folder: Path) -> dict[str, Deed]:
    """Make the files, and try each command once on a copy of them."""
    folder.mkdir()
    rows = [f"{tag},tied,2026-03-01T10:{tag}:00+00:00,oboe" for tag in range(20, 50)]
    (folder / "rows.csv").write_text("\n".join(["tag,kind,at,instrument", *rows]), encoding="utf-8")
    for name, lines in (
        ("other.jsonl", ["10-15 tie eh 60", "10 clip .5; scrape tip 10m", "lot 9 cane 10 mm"]),
        (_LOG, ["1-6 tie oboe 72 lot 7", "1 clip .5", "1 scrape tip 10m", "2 note on the wrong reed"]),
    ):
        for line in lines:
            assert main(["--log", str(folder / name), "add", "--yes", line], _EARLIER) == 0
    with Log(folder / _LOG, Clock(), read_only=True) as log:
        reed = log.bench.find("2")
        assert reed is not None
        event = reed.last.event.uid[-8:]
    commands = {
        "add": ("add", "--yes", "1-2 scrape tip 5m; clip .25"),
        "import": ("import", "rows.csv"),
        "merge": ("merge", "other.jsonl"),
        "retag": ("retag", "3", "33"),
        "restore": ("restore", "--yes"),
        "restore and merge": ("restore", "--merge"),
        "trial": ("trial", "start", "wire", "before", "or", "after", "oboe", "for", "40"),
        "move to another reed": ("move", event, "--to", "1", "--yes"),
        "move to another day": ("move", event, "--on", "2 days ago", "--yes"),
        "amend": ("amend", event, "--says", 'note "another"', "--yes"),
        "strike": ("strike", event, "--yes"),
    }
    deeds = {}
    for name, words in commands.items():
        copy = folder.with_name("tried")
        shutil.copytree(folder, copy)
        before, said = held(copy), _run(copy, words)
        calls = re.search(r"said done after (\d+)", said)
        assert calls is not None, f"{name}: {said}"
        deeds[name] = Deed(words, len(held(copy)) - len(before), int(calls[1]))
        shutil.rmtree(copy)
    return deeds


def kill_command(made: Path, name: str, deed: Deed, tally: Tally, chance: Random) -> None:
    """Run a command on a copy of what was `made`, kill it at one of its calls or let it end, and look at the log."""
    folder = made.with_name("killed")
    shutil.copytree(made, folder)
    try:
        before = held(folder)
        done = "said done" in _run(folder, deed.words, chance.randrange(1, deed.calls + 2), chance.random())
        tally.kills += 1
        tally.recorded += done
        _look(folder, name, deed, before, done, tally)
    finally:
        shutil.rmtree(folder)


def _look(folder: Path, name: str, deed: Deed, before: set[str], done: bool, tally: Tally) -> None:
    for path in (folder / _LOG, *folder.glob("log-until-*")):
        with Log(path, Clock(), read_only=True) as log:
            faults = [fault for fault in log.faults if fault.kind is not FaultKind.TORN]
            tally.torn += len(log.faults) - len(faults)
            tally.wrong += [f"{name}: {path.name} line {fault.line}: {fault.message}" for fault in faults]
    there = held(folder)
    with Log(folder / _LOG, Clock()) as log:
        log.record(read("1 note after the kill", log.bench))
    if "restore" in name:
        kept = there.union(*(held(folder, aside.name) for aside in folder.glob("log-until-*")))
        if not before <= kept or (done and "merge" in name and not before <= there):
            tally.wrong.append(f"{name}: of {len(before)} records {len(before - kept)} are gone")
        return
    added = len(there - before)
    if not before <= there or added not in (0, deed.adds) or (done and not added):
        tally.wrong.append(f"{name}: {len(before - there)} gone, {added} of {deed.adds} added, done: {done}")
    tally.unsaid += bool(added and not done)


def held(folder: Path, name: str = _LOG) -> set[str]:
    """The ids of all that a log holds."""
    with Log(folder / name, Clock(), read_only=True) as log:
        return {uid for table in log.tables for uid in log.documents(table)}


def _run(folder: Path, words: tuple[str, ...], fatal: int = 0, share: float = 0.0) -> str:
    """What a command prints in a process split off from this one, and whether it was done. It is killed at the `fatal`
    call to the disk, having written a `share` of what it was to write there."""
    output, inward = os.pipe()
    child = os.fork()
    if not child:
        try:
            os.chdir(folder)
            sys.stdout = sys.stderr = os.fdopen(inward, "w")
            calls = _deadly(fatal, share)
            if main(["--log", _LOG, *words]) == 0:
                print(f"said done after {next(calls) - 1}", flush=True)
        finally:
            sys.stdout.flush()
            os._exit(0)
    os.close(inward)
    with os.fdopen(output, "r") as printed:
        said = printed.read()
    os.waitpid(child, 0)
    return said


def _deadly(fatal: int, share: float) -> Iterator[int]:
    """Have this process killed at one of its calls to the disk; the numbers of the calls."""
    calls = count(1)

    def deadly(name: str) -> Callable[..., object]:
        usual = getattr(Disk, name)

        def call(self: Disk, *args: Any) -> object:
            if next(calls) == fatal:
                if name == "write":
                    os.write(args[0], args[1][: int(share * len(args[1]))])
                elif share > 0.5:
                    usual(self, *args)
                os.kill(os.getpid(), signal.SIGKILL)
            return usual(self, *args)

        return call

    for name in ("open", "read", "write", "fsync", "truncate", "sync_folder", "_publish"):
        setattr(Disk, name, deadly(name))
    return calls
