"""Lines that are kept for the next start, where several programs are open on one log."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from pathlib import Path

import pytest

from reedkin.store.disk import lock
from reedkin.store.unsent import KeptLines, keep_unsent, kept_unsent


@pytest.fixture
def log(tmp_path: Path) -> Path:
    return tmp_path / "log.jsonl"


def test_each_program_keeps_its_own_line(log: Path) -> None:
    assert keep_unsent(log, "1 clip .5")
    assert keep_unsent(log, "2 scrape tip")
    assert keep_unsent(log)  # a third had none
    assert kept_unsent(log) == ["1 clip .5", "2 scrape tip"]


def test_one_sees_only_to_what_it_was_given(log: Path) -> None:
    keep_unsent(log, "1 clip .5")
    given = kept_unsent(log)
    keep_unsent(log, "2 scrape tip")  # another that was open ends
    keep_unsent(log, instead_of=given)  # and this one has recorded its line
    assert kept_unsent(log) == ["2 scrape tip"]
    keep_unsent(log, "2 scrape tip 10m", instead_of=kept_unsent(log))
    assert kept_unsent(log) == ["2 scrape tip 10m"]
    keep_unsent(log, instead_of=kept_unsent(log))
    assert not log.with_name("log.jsonl.unsent").exists()


def test_a_line_that_two_had_is_kept_once_and_not_without_end(log: Path) -> None:
    for number in range(30):
        keep_unsent(log, f"1 note {number}\nover two lines", "1 clip .5")
    kept = kept_unsent(log)
    assert len(kept) == 9
    assert kept[-2:] == ["1 note 29 over two lines", "1 clip .5"]
    assert len(set(kept)) == len(kept)


def test_one_program_has_the_kept_lines_until_it_has_seen_to_them(log: Path) -> None:
    keep_unsent(log, "1 clip .5")
    one, other = KeptLines(log), KeptLines(log)
    assert one.take() == ["1 clip .5"]
    assert other.take() == []
    keep_unsent(log, "2 scrape tip")  # one that was open ends meanwhile
    keep_unsent(log, instead_of=["1 clip .5"])
    one.let_go()
    assert other.take() == ["2 scrape tip"]


_TAKES = """
import os, sys
from pathlib import Path
from reedkin.store.unsent import KeptLines
kept = KeptLines(Path(sys.argv[1]))
print(kept.take(), flush=True)
os.kill(os.getpid(), 9)
"""


def test_what_a_program_had_that_was_killed_is_given_to_the_next(log: Path) -> None:
    keep_unsent(log, "1 clip .5")
    killed = subprocess.run([sys.executable, "-c", _TAKES, log], capture_output=True, text=True, check=False)
    assert killed.returncode != 0
    assert killed.stdout.strip() == "['1 clip .5']"
    assert KeptLines(log).take() == ["1 clip .5"]


def test_a_disk_without_locks_gives_them_to_all(log: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    keep_unsent(log, "1 clip .5")

    def refuse(fd: int) -> None:
        raise OSError(errno.ENOLCK, "no locks")

    monkeypatch.setattr(lock, "_lock", refuse)
    assert KeptLines(log).take() == KeptLines(log).take() == ["1 clip .5"]


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_in_the_place_of_the_kept_lines_is_not_waited_for(log: Path) -> None:
    os.mkfifo(log.with_name(f"{log.name}.unsent"))
    assert kept_unsent(log) == []
