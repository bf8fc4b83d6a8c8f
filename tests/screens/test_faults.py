"""The disk fails while the program runs: the user is told, what was typed stays, and the log stays whole."""

from __future__ import annotations

import asyncio
import errno
import os
import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from itertools import count
from pathlib import Path
from shutil import copyfile
from unittest.mock import Mock

import pytest

from reedkin.app import ReedkinApp
from reedkin.domain.clock import FixedClock
from reedkin.store.backups.backups import backups_of, folder_of
from reedkin.store.backups.restoring import choose, restore
from reedkin.store.disk.calls import APPEND, Disk
from reedkin.store.log import Log
from reedkin.store.unsent import KeptLines, keep_unsent, kept_unsent
from reedkin.widgets.entry_line import EntryLine
from tests.screens.conftest import DEMO_LOGS, Bench, Opened

TIED = ("1-3 tie eh 60 lot 7 tube 27",)


@contextmanager
def failing(patch: pytest.MonkeyPatch, *calls: str, code: int = errno.EIO, times: int | None = None) -> Iterator[None]:
    """Within the block these calls to the disk fail, each of them so many times (None: always)."""

    def fails(call: str) -> Callable[..., object]:
        usual, chances = getattr(Disk, call), iter(range(times) if times is not None else count())

        def fail(self: Disk, *args: object) -> object:
            if next(chances, None) is None:
                return usual(self, *args)
            raise OSError(code, os.strerror(code))

        return fail

    with patch.context() as patched:
        for call in calls:
            patched.setattr(Disk, call, fails(call))
        yield


def told(bench: Bench) -> str:
    """What the screen shows, with words that were broken over two lines of a notice put together."""
    return " ".join(bench.shown.replace("▌", " ").split())


def line_of(bench: Bench) -> str:
    return bench.app.screen.query_one(EntryLine).text


def overall(bench: Bench, tag: str = "1") -> float | None:
    reed = bench.desk.bench.find(tag)
    assert reed is not None
    return reed.now.overall_mm


async def test_an_entry_that_fails_stays_on_the_line(
    opened: Opened, log_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with opened((80, 24), *TIED) as bench:
        before = log_path.read_bytes()
        for code in (errno.ENOSPC, errno.EROFS, errno.EIO):
            await bench.keys("<ctrl+u>c .5")
            assert "Not recorded" not in bench.shown
            with failing(monkeypatch, "write", code=code):
                await bench.keys("<enter>")
                assert "Not recorded" in bench.shown
                assert os.strerror(code)[:20] in bench.shown
                assert line_of(bench) == "c .5"
                await bench.keys("<f9>")
                assert bench.desk.session is None
                await bench.keys("<ctrl+z>")
                assert "Not recorded" in bench.shown
                assert bench.desk.bench.find("3") is not None
            assert log_path.read_bytes() == before
            assert overall(bench) == 60
        await bench.keys("<enter>")
        assert overall(bench) == 59.5
        assert line_of(bench) == ""
    with Log(log_path, FixedClock(bench.clock.now())) as log:
        assert not log.faults
        assert len(log.bench.lineages.records(log.bench.tags.bearers("1")[0])) == 2


async def test_an_entry_that_the_disk_would_not_vouch_for_is_not_recorded(
    opened: Opened, log_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with opened((80, 24), *TIED) as bench:
        before = log_path.read_bytes()
        with failing(monkeypatch, "fsync", times=1):
            await bench.enter("c .5")
            assert "Not recorded" in bench.shown
            assert line_of(bench) == "c .5"
            assert log_path.read_bytes() == before
            await bench.keys("<enter>")
        assert overall(bench) == 59.5


async def test_when_the_log_cannot_be_put_back_the_program_refuses_further_entries(
    opened: Opened, log_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with opened((80, 24), *TIED) as bench:
        with failing(monkeypatch, "fsync", "truncate"):
            await bench.enter("c .5")
            assert "Perhaps recorded" in told(bench)
            assert "Open the log again" in told(bench)
        await bench.keys("<enter>")
        assert "Not recorded" in bench.shown
        assert line_of(bench) == "c .5"
    assert kept_unsent(log_path) == ["1 c .5"]
    # Its bytes did reach the file whole, though the disk would not vouch for them: what is read is true.
    with Log(log_path, FixedClock(bench.clock.now())) as log:
        assert not log.damaged


async def test_a_line_that_is_kept_says_which_reed_was_in_hand(opened: Opened, log_path: Path) -> None:
    before = ""
    for typed, kept in (("c .5", "2 c .5"), ("3 c .5", "3 c .5"), ("lot 7 250 g", "lot 7 250 g"),
                        ("4 tie eh", "4 tie eh"), ("zz", "zz")):  # fmt: skip
        async with opened((80, 24), *(() if before else TIED)) as bench:
            assert line_of(bench) == before
            await bench.keys("<ctrl+u><up><up><down>")
            assert bench.desk.hand is not None
            assert bench.desk.hand.label == "2"
            await bench.keys(typed)
        assert kept_unsent(log_path) == [kept]
        before = kept
    async with opened() as bench:
        assert line_of(bench) == before


async def test_a_kept_line_is_given_to_one_screen_until_it_has_seen_to_it(opened: Opened, log_path: Path) -> None:
    keep_unsent(log_path, "1 note earlier", "2 c .5")
    async with opened((80, 24), *TIED) as bench:
        assert line_of(bench) == "2 c .5"
        assert KeptLines(log_path).take() == []  # what another that starts meanwhile is given
        await bench.keys("<escape>")
        await bench.settle()
    assert KeptLines(log_path).take() == ["1 note earlier"]


async def test_a_folder_that_vanishes_and_comes_back(opened: Opened, log_path: Path) -> None:
    away = log_path.parent.with_name(f"{log_path.parent.name} elsewhere")
    async with opened((80, 24), *TIED) as bench:
        log_path.parent.rename(away)
        await bench.enter("c .5")
        assert "no longer there" in bench.shown
        assert line_of(bench) == "c .5"
        away.rename(log_path.parent)
        await bench.keys("<enter>")
        assert overall(bench) == 59.5


async def test_ending_while_the_folder_is_gone_tells_what_was_typed(opened: Opened, log_path: Path) -> None:
    away = log_path.parent.with_name(f"{log_path.parent.name} elsewhere")
    async with opened((80, 24), *TIED) as bench:
        await bench.enter("c .5")
        await bench.keys("scrape tip 10m")
        log_path.parent.rename(away)
    parting = " ".join(bench.app.parting)
    assert "scrape tip 10m" in parting
    assert "No backup" in parting
    with Log(away / log_path.name, bench.clock) as log:
        assert not log.faults
        assert log.bench.reed(log.bench.tags.bearers("1")[0]).now.overall_mm == 59.5
    assert not log_path.parent.exists()  # nothing grew where the folder was


async def test_a_log_that_may_not_be_written_is_shown(
    log_path: Path, opened: Opened, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As a file without permission to write does; whoever runs the tests as root has every permission."""
    usual = Disk.open

    def forbid(self: Disk, path: Path, flags: int) -> int:
        if flags == APPEND:
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
        return usual(self, path, flags)

    async with opened((80, 24), *TIED):
        pass
    before = log_path.read_bytes()
    monkeypatch.setattr(Disk, "open", forbid)
    async with opened() as bench:
        assert "reading only" in bench.shown
        assert "Permission denied" in told(bench)
        await bench.enter("1 c .5")
        assert "Not recorded" in bench.shown
        assert line_of(bench) == "1 c .5"
    assert bench.app.parting[0].endswith("open for reading only: 1 c .5")
    assert log_path.read_bytes() == before


async def test_a_torn_end_that_the_full_disk_cannot_keep_aside_leaves_the_log_for_reading(
    opened: Opened, log_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with opened((80, 24), *TIED):
        pass
    torn = log_path.read_bytes() + b'{"crc":"half a line'
    log_path.write_bytes(torn)
    with failing(monkeypatch, "write", code=errno.ENOSPC):
        async with opened() as bench:
            await bench.keys("<escape>")
            assert "reading only" in bench.shown
            assert overall(bench) == 60
    assert log_path.read_bytes() == torn


async def test_a_log_that_cannot_be_made_ends_the_program_with_a_sentence(
    log_path: Path, clock: FixedClock, monkeypatch: pytest.MonkeyPatch
) -> None:
    with failing(monkeypatch, "write", code=errno.ENOSPC):
        app = ReedkinApp(log_path, clock)
        async with app.run_test():
            await app.workers.wait_for_complete()
    assert app.failure is not None
    assert "cannot be made" in str(app.failure)
    assert app.return_code == 3


async def test_every_signal_that_would_end_the_program_ends_it_in_good_order(
    opened: Opened, log_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A real terminal and real signals are in tests/terminal; here it is seen that all of them lead to the same."""
    heeded: dict[int, tuple[Callable[[int], None], int]] = {}
    loop = asyncio.get_running_loop()
    monkeypatch.setattr(loop, "add_signal_handler", lambda number, do, code: heeded.update({number: (do, code)}))
    monkeypatch.setattr("sys.__stdin__", Mock(isatty=lambda: True))
    async with opened((80, 24), *TIED) as bench:
        await bench.keys("2 c .25")
        assert heeded == {number: (bench.app._leave, 128 + number) for number in heeded}
        assert {signal.SIGTERM, signal.SIGHUP, signal.SIGINT, signal.SIGQUIT, signal.SIGUSR1} <= heeded.keys()
        do, code = heeded[signal.SIGQUIT]
        do(code)
    assert bench.app.return_code == 128 + signal.SIGQUIT
    assert kept_unsent(log_path) == ["2 c .25"]


# Backups


async def test_a_backup_is_made_when_the_program_opens_and_ends(opened: Opened, log_path: Path) -> None:
    async with opened((80, 24), *TIED) as bench:
        (first,) = backups_of(log_path)
        assert first.path.read_bytes() == log_path.read_bytes()
        bench.clock.forward(days=1)
        await bench.enter("c .5")
        assert len(backups_of(log_path)) == 1
    assert [backup.path.read_bytes() for backup in backups_of(log_path)][-1] == log_path.read_bytes()
    async with opened():
        assert len(backups_of(log_path)) == 2  # nothing new


async def test_a_backup_that_fails_is_told_and_the_work_goes_on(opened: Opened, log_path: Path) -> None:
    folder_of(log_path).touch()
    async with opened((120, 40), *TIED) as bench:
        assert "No backup was made" in told(bench)
        await bench.enter("c .5")
        assert overall(bench) == 59.5
    assert len(bench.app.parting) == 1


async def test_the_demo_makes_none(log_path: Path, clock: FixedClock, opened: Opened) -> None:
    async with opened((80, 24), *TIED):
        pass
    count = len(backups_of(log_path))
    app = ReedkinApp(log_path, FixedClock(clock.now()), demo=True)
    async with app.run_test() as pilot:
        await app.workers.wait_for_complete()
        await pilot.pause()
        await pilot.press(*"1", "space", *"c", "space", *"1", "enter")
        await pilot.pause()
    assert len(backups_of(log_path)) == count


# A reader


@pytest.fixture
def impatient(monkeypatch: pytest.MonkeyPatch) -> None:
    """A log that another program does not let go of is opened for reading at once."""
    monkeypatch.setattr("reedkin.store.log.PATIENCE", 0.0)


async def test_a_reader_sees_what_is_recorded_and_what_is_put_back(
    opened: Opened, log_path: Path, clock: FixedClock, impatient: None
) -> None:
    async with opened((80, 24), *TIED):
        pass
    writer = Log(log_path, clock)
    async with opened() as bench:
        assert "reading only" in bench.shown
        reed = writer.bench.find("1")
        assert reed is not None
        writer.strike([reed.steps[0].event])
        bench.app.follow()
        assert bench.desk.bench.find("1") is None
        writer.close()
        restore(log_path, choose(log_path, None), clock.now())
        bench.app.follow()
        await bench.settle()
        assert overall(bench) == 60


async def test_a_reader_is_told_once_that_the_log_is_gone_and_finds_it_again(
    opened: Opened, log_path: Path, clock: FixedClock, impatient: None
) -> None:
    async with opened((80, 24), *TIED):
        pass
    with Log(log_path, clock):
        async with opened((120, 40)) as bench:
            away = log_path.with_name("away")
            log_path.rename(away)
            for _ in range(3):
                bench.app.follow()
                await bench.settle()
            assert told(bench).count("There is no log at") == 1
            assert overall(bench) == 60
            away.rename(log_path)
            bench.app.follow()
            await bench.settle()
            assert overall(bench) == 60


async def test_a_log_cut_while_it_is_open_is_told_and_mended_by_a_key(opened: Opened, log_path: Path) -> None:
    async with opened((80, 24), *TIED) as bench:
        await bench.enter("1 c .5")  # no backup has this one
        cut = b"".join(log_path.read_bytes().splitlines(keepends=True)[:-1])
        log_path.write_bytes(cut)
        bench.app.follow()
        await bench.settle()
        assert "lacks 1 entry" in told(bench)
        assert log_path.read_bytes() == cut
        await bench.keys("m")
        assert "1 record taken in" in told(bench)
        await bench.keys("<enter>")
        assert overall(bench) == 59.5


async def test_a_key_puts_the_backup_in_the_place_of_a_log_that_was_cut(opened: Opened, log_path: Path) -> None:
    async with opened((80, 24), *TIED) as bench:
        await bench.enter("1 c .5")
        bench.desk.log.back_up()
        whole = log_path.read_bytes()
        await bench.enter("1 scrape tip 5")  # no backup has this one
        cut = b"".join(whole.splitlines(keepends=True)[:-1])
        log_path.write_bytes(cut)
        bench.app.follow()
        await bench.settle()
        await bench.keys("r")
        assert "The backup is in its place, with 4 events" in told(bench)
        assert "that the backup lacks is in" in told(bench)
        (besides,) = log_path.parent.glob("*-rescued-*")
        assert b"scraped" in besides.read_bytes()
        (aside,) = log_path.parent.glob("*-until-*")
        assert aside.read_bytes() == cut
        assert log_path.read_bytes() == whole
        await bench.keys("<enter>")
        assert overall(bench) == 59.5
        await bench.enter("1 c .5")
        assert overall(bench) == 59
        assert log_path.read_bytes().startswith(whole)


async def test_what_is_known_of_a_log_that_vanished_is_written_to_a_file(opened: Opened, log_path: Path) -> None:
    async with opened((80, 24), *TIED) as bench:
        log_path.unlink()
        bench.app.follow()
        await bench.settle()
        assert "cannot be read any more" in told(bench)
        assert "unharmed" not in told(bench)
        await bench.keys("w")
        rescued = next(log_path.parent.glob("*-rescued-*.jsonl"))
        assert "records written to" in told(bench)
        with Log(rescued, bench.app.clock, read_only=True) as log:
            assert sorted(reed.tag for reed in log.bench.reeds()) == ["1", "2", "3"]


async def test_where_a_log_has_many_faults_the_keys_are_seen_all_the_same(opened: Opened, log_path: Path) -> None:
    copyfile(DEMO_LOGS / "damaged.jsonl", log_path)
    async with opened((80, 24)) as bench:
        for said in ("has 6 faults", "line 21:", "Enter I have seen this, go on", "Esc only look, write nothing"):
            assert said in bench.shown
        await bench.keys("<escape>")
        await bench.enter("99 tie oboe 72")  # only looked at: they are shown again, and the line stays
        assert "Enter I have seen this, go on" in bench.shown
        await bench.keys("<enter><enter>")
        assert bench.desk.bench.find("99") is not None
