"""A log that another program cut short or emptied: its newest backup knows better."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest

from reedkin.cli.main import main
from reedkin.domain.clock import FixedClock
from reedkin.grammar.reading import read
from reedkin.store.backups import backups_of
from reedkin.store.faults import FaultKind
from reedkin.store.log import Log

NOW = FixedClock(datetime(2026, 11, 25, 10, 0, tzinfo=UTC))
ENTRIES = ("1 tie oboe 72", "1 clip .5", "1 scrape tip", "1 clip .2")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "bench" / "log.jsonl"
    with Log(path, NOW) as log:
        for line in ENTRIES:
            log.record(read(line, log.bench))
        log.back_up()
    return path


def lines_kept(count: int) -> Callable[[bytes], bytes]:
    return lambda raw: b"".join(raw.splitlines(keepends=True)[:count])


@pytest.mark.parametrize(("kept", "missing"), [(0, 4), (1, 4), (2, 3), (4, 1)])
def test_it_is_told_and_nothing_is_written(
    path: Path, kept: int, missing: int, capsys: pytest.CaptureFixture[str]
) -> None:
    path.write_bytes(lines_kept(kept)(path.read_bytes()))
    cut = path.read_bytes()
    assert main(["--log", str(path), "check"], NOW) == 3
    told = capsys.readouterr().out
    assert f"lacks {missing} entr{'y' if missing == 1 else 'ies'} " in told
    assert "reedkin restore" in told
    assert "reedkin merge" in told
    assert main(["--log", str(path), "add", "2", "tie", "eh", "60"], NOW) == 3
    assert path.read_bytes() == cut
    with Log(path, NOW, read_only=True) as log:
        assert [fault.kind for fault in log.faults] == [FaultKind.SHORT]


def test_it_can_be_put_back(path: Path) -> None:
    whole = path.read_bytes()
    path.write_bytes(lines_kept(2)(whole))
    assert main(["--log", str(path), "restore", backups_of(path)[-1].name], NOW) == 0
    assert path.read_bytes() == whole
    assert main(["--log", str(path), "check"], NOW) == 0


def test_it_can_be_gone_on_from(path: Path) -> None:
    path.write_bytes(lines_kept(2)(path.read_bytes()))
    assert main(["--log", str(path), "add", "--seen", "2", "tie", "eh", "60"], NOW) == 0
    assert main(["--log", str(path), "add", "2", "clip", ".5"], NOW) == 0  # it was seen, and is not asked about again
    assert main(["--log", str(path), "check"], NOW) == 0


def test_a_log_that_goes_on_from_its_backup_is_sound(path: Path) -> None:
    with Log(path, NOW) as log:
        log.record(read("2 tie eh 60", log.bench))
        assert not log.faults
    other = path.read_bytes().replace(b"\n", b"\r\n")  # some programs change every line's end
    path.write_bytes(other)
    with Log(path, NOW) as log:
        assert not log.faults


def test_a_backup_of_another_log_says_nothing(path: Path, tmp_path: Path) -> None:
    with Log(tmp_path / "other.jsonl", NOW) as log:
        log.record(read("5 tie eh 60", log.bench))
    path.write_bytes((tmp_path / "other.jsonl").read_bytes())
    with Log(path, NOW) as log:
        assert not log.faults
