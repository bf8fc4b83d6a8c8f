"""What Windows does not allow, tried with fakes on whatever system this runs: it was never run there."""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import UTC, datetime, timedelta, timezone, tzinfo
from pathlib import Path
from typing import Any

import pytest
from tests.store.making import FailingDisk

from reedkin.cli.main import main
from reedkin.domain.clock import Clock, FixedClock
from reedkin.store.disk.calls import Disk
from reedkin.store.errors import LogWriteError
from reedkin.store.log import Log
from reedkin.store.storage import AppendOnlyStorage
from reedkin.store.unsent import keep_unsent

NOW = FixedClock(datetime(2026, 11, 25, 10, 0, tzinfo=UTC))
_OPEN = Path("/proc/self/fd")
needs_proc = pytest.mark.skipif(not _OPEN.is_dir(), reason="asks Linux which files are open")


def _is_open(path: Path) -> bool:
    return any(os.path.realpath(fd) == os.path.realpath(path) for fd in _OPEN.iterdir())


@pytest.fixture
def windows(monkeypatch: pytest.MonkeyPatch) -> list[Path]:
    """No open file is renamed, replaced or removed, no folder is opened, no name holds what it must not; the names
    that files got."""
    named: list[Path] = []

    def guarded(usual: Callable[..., Any]) -> Callable[..., Any]:
        def call(path: Path, *others: Any, **options: Any) -> Any:
            for one in (path, *(other for other in others if isinstance(other, Path))):
                named.append(one)
                if one.is_file() and _is_open(one):
                    raise PermissionError(13, "The process cannot access the file because it is being used", str(one))
            return usual(path, *others, **options)

        return call

    for name in ("unlink", "replace", "rename"):
        monkeypatch.setattr(Path, name, guarded(getattr(Path, name)))
    usual = Disk.open

    def opened(self: Disk, path: Path, *others: int) -> int:
        named.append(path)
        if path.is_dir():
            raise PermissionError(13, "Permission denied", str(path))
        return usual(self, path, *others)

    monkeypatch.setattr(Disk, "open", opened)
    monkeypatch.setattr(Disk, "sync_folder", lambda self, folder: None)
    return named


@needs_proc
def test_files_are_closed_before_they_are_moved_and_have_names_that_windows_takes(
    tmp_path: Path, windows: list[Path]
) -> None:
    log, other, rows = tmp_path / "log.jsonl", tmp_path / "other.jsonl", tmp_path / "rows.csv"
    rows.write_text("tag,kind,at,instrument\n7,tied,1969-03-01T10:00:00,oboe\n", encoding="utf-8")
    for path, *words in (
        (log, "add", "1-3 tie oboe 72"),
        (other, "add", "1 tie eh 60"),
        (log, "import", str(rows)),
        (log, "merge", str(other)),
        (log, "retag", "2", "22"),
        (log, "export", "--force", str(tmp_path / "out.csv")),
        (log, "export", "--force", str(tmp_path / "out.csv")),
        (log, "add", "1 clip .5"),
        (log, "restore", "--merge"),
    ):
        assert main(["--log", str(path), *words], NOW) == 0, words
    keep_unsent(log, "1 clip .5")
    keep_unsent(log, "1 clip .5", instead_of=["1 clip .5"])
    log.write_bytes(log.read_bytes() + b"\n\ntorn")
    assert main(["--log", str(log), "check", "--mend", str(tmp_path / "mended.jsonl")], NOW) == 3
    with Log(log, NOW) as held:
        held.acknowledge()
    assert len(windows) > 20
    assert not [path for path in windows if set(path.name) & set('<>:"|?*\\') or path.name.endswith((" ", "."))]


@needs_proc
def test_a_torn_end_that_cannot_be_copied_leaves_no_half_copy(tmp_path: Path, windows: list[Path]) -> None:
    path, disk = tmp_path / "log.jsonl", FailingDisk()
    AppendOnlyStorage(path, disk=disk).close()
    path.write_bytes(path.read_bytes() + b"torn")
    disk.room = 2
    with pytest.raises(LogWriteError):
        AppendOnlyStorage(path, disk=disk)
    assert not list(tmp_path.glob("*.torn-*"))


class _OnWindows(datetime):
    """Its C library knows no times before 1970."""

    def astimezone(self, tz: tzinfo | None = None) -> datetime:
        if tz is None and self.year < 1970:
            raise OSError(22, "Invalid argument")
        return super().astimezone(tz)


class _InRome(Clock):
    def now(self) -> datetime:
        return datetime(2026, 11, 25, 10, 0, tzinfo=timezone(timedelta(hours=1)))


def test_local_times_before_1970() -> None:
    there = _InRome().local(_OnWindows(1936, 5, 1, 12, 0))
    assert there.isoformat() == "1936-05-01T12:00:00+01:00"
    aware = _InRome().local(_OnWindows(1936, 5, 1, 12, 0, tzinfo=UTC))
    assert aware.isoformat() == "1936-05-01T13:00:00+01:00"


def test_no_folder_is_synced_there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    disk = FailingDisk()
    with monkeypatch.context() as there:
        there.setattr("reedkin.store.disk.calls.os.name", "nt")
        disk.sync_folder(tmp_path)
    assert disk.calls == []
