"""Who may read what the program writes: a new log is its owner's alone, and whatever is made of a log allows what the
log does."""

from __future__ import annotations

import os
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from reedkin.domain.clock import FixedClock
from reedkin.grammar.reading import read
from reedkin.store.backups.backups import backups_of
from reedkin.store.backups.restoring import copy_out, restore
from reedkin.store.log import Log
from reedkin.store.mending.mending import mend
from reedkin.store.mending.rescue import rescue
from reedkin.store.unsent import keep_unsent

pytestmark = pytest.mark.skipif(os.name == "nt", reason="Windows knows no such modes")
NOW = FixedClock(datetime(2026, 11, 25, 10, 0, tzinfo=UTC))


@pytest.fixture(autouse=True, params=[0o022, 0o077, 0o002])
def mask(request: pytest.FixtureRequest) -> Iterator[None]:
    before = os.umask(request.param)
    yield
    os.umask(before)


def modes(folder: Path) -> dict[str, int]:
    return {path.name: path.stat().st_mode & 0o777 for path in folder.rglob("*") if path.is_file()}


def made_of(path: Path) -> None:
    """Everything that the program makes beside a log."""
    log = Log(path, NOW, shared=True)
    log.record(read("1 clip .5", log.bench))
    log.back_up()
    keep_unsent(path, "1 clip .2")
    rescue(log, NOW.now())
    log.close()
    path.write_bytes(path.read_bytes() + b"\n{'crc': torn")
    mend(path, path.with_name("mended.jsonl"), "2026-11-25T10:00:00+00:00")
    with Log(path, NOW, shared=True) as log:
        log.acknowledge()
    newest = backups_of(path)[-1]
    copy_out(newest, path.with_name("copy.jsonl"))
    restore(path, newest, NOW.now())


def begun(tmp_path: Path) -> Path:
    path = tmp_path / "bench" / "log.jsonl"
    with Log(path, NOW) as log:
        log.record(read("1 tie oboe 72", log.bench))
    return path


def test_a_new_log_and_all_that_is_made_of_it_are_private(tmp_path: Path) -> None:
    path = begun(tmp_path)
    made_of(path)
    found = modes(path.parent)
    assert len(found) >= 9, found
    assert set(found.values()) == {0o600}, found


@pytest.mark.parametrize("mode", [0o640, 0o664])
def test_what_is_made_of_a_log_allows_what_the_log_does(tmp_path: Path, mode: int) -> None:
    path = begun(tmp_path)
    path.chmod(mode)
    path.with_name("log.jsonl.lock").unlink()
    made_of(path)
    found = modes(path.parent)
    assert found.pop("log.jsonl.unsent") == 0o600  # nobody else's words
    assert set(found.values()) == {mode}, found
