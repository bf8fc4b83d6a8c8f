"""Commands that write much, on a disk that fails: nothing is recorded by half, and it is said why."""

from __future__ import annotations

import errno
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from reedkin.store.backups.backups import backups_of
from reedkin.store.disk.calls import Disk
from reedkin.store.log import Log
from tests.cli.conftest import CommandLine

_COMMANDS = {
    "add": ["add", "1 clip .5; scrape tip 10m"],
    "retag": ["retag", "2", "22"],
    "trial": ["trial", "start", "wire", "before", "or", "after", "eh", "for", "40"],
    "import": ["import", "rows.csv"],
    "merge": ["merge", "other.jsonl"],
    "move": ["move", "1", "last", "--to", "3"],
    "restore": ["restore", "--merge"],
}


@pytest.fixture(params=_COMMANDS)
def words(
    request: pytest.FixtureRequest, run: CommandLine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> list[str]:
    """A command, with a log and files for it."""
    monkeypatch.chdir(tmp_path)
    Path("rows.csv").write_text(
        "tag,kind,at,instrument\n7,tied,2026-03-01T10:00:00+00:00,oboe\n8,tied,2026-03-01T10:00:00+00:00,oboe\n",
        encoding="utf-8",
    )
    run.done("add", "4-5 tie eh 60", log=tmp_path / "other.jsonl")
    run.enter("1-3 tie oboe 72", "1 clip .5", "1 scrape tip 10m")
    if request.param == "move":
        with run.log() as log:
            reed = log.bench.find("1")
            assert reed is not None
            return ["move", reed.last.event.uid[-8:], "--to", "3"]
    return _COMMANDS[request.param]


@contextmanager
def failing(patch: pytest.MonkeyPatch, call: str, after: int, code: int) -> Iterator[None]:
    """Within the block a call to the disk fails from the one on that comes `after` so many."""
    usual, left = getattr(Disk, call), iter(range(after))

    def fail(self: Disk, *args: object) -> object:
        if next(left, None) is not None:
            return usual(self, *args)
        raise OSError(code, os.strerror(code))

    with patch.context() as patched:
        patched.setattr(Disk, call, fail)
        yield


@pytest.mark.parametrize(
    ("call", "code"), [("write", errno.ENOSPC), ("fsync", errno.EIO), ("open", errno.EACCES), ("read", errno.EIO)]
)
def test_it_is_recorded_whole_or_not_at_all(
    run: CommandLine, words: list[str], monkeypatch: pytest.MonkeyPatch, call: str, code: int
) -> None:
    begun = run.path.read_bytes()
    with Log(run.path, run.clock, read_only=True) as log:
        held = {uid for table in log.tables for uid in log.documents(table)}
    for after in (0, 1, 2, 4, 8):
        with failing(monkeypatch, call, after, code):
            ran = run(*words)
        assert ran.code in (0, 1, 2, 3), ran.err
        assert "Traceback" not in ran.err
        now = run.path.read_bytes()
        if ran.code:
            assert ran.err
        if words[0] != "restore":
            assert now.startswith(begun)
            if now == begun:
                assert ran.code, "called recorded"
                continue
            assert run("check").code == 0
            break  # it was recorded, and what failed came after
        if ran.code == 0 or now != begun:  # the backup took its place, and what was there is kept
            (aside,) = run.path.parent.glob("log-until-*")
            assert aside.read_bytes() == begun
            break
    else:
        run.done(*words)
    if words[0] == "restore":
        newest = [*run.path.parent.glob("log-until-*")][-1]
        run("merge", str(newest))
    with Log(run.path, run.clock, read_only=True) as log:
        assert held <= {uid for table in log.tables for uid in log.documents(table)}
        assert not log.faults
    assert not [*run.path.parent.glob(".*.new")]
    assert backups_of(run.path)
