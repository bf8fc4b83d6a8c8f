"""Two programs on one log: both record, and each follows the other; whatever becomes of one, nobody is locked out."""

from __future__ import annotations

import signal
from pathlib import Path

from tests.filling import fill_now, overall
from tests.terminal.terminal import Terminal
from tests.terminal.test_program import command


def test_two_follow_each_other_a_death_and_a_restore(tmp_path: Path) -> None:
    log = fill_now(tmp_path / "bench.jsonl", "1-2 tie eh 60 lot 7 tube 27")  # with the backup that is put back below
    with Terminal("--log", str(log)) as one:
        one.until("▸ ")
        with Terminal("--log", str(log)) as other:
            other.until("▸ ")
            one.enter("1 c 1.5")
            one.until("✓ 1: clipped")
            other.until("58.5")
            other.enter("2 c .7")
            other.until("✓ 2: clipped")
            one.until("59.3")
            one.type("1 clip .25")
            one.until("1 clip .25")
            assert one.tell(signal.SIGKILL) == -signal.SIGKILL
            assert overall(log) == {"1": 58.5, "2": 59.3}  # the line that was being typed is lost, and nothing else
            command(log, "add", "2 clip 1.5")  # beside the one that is open, whatever the other left behind
            other.until("57.8")
            command(log, "restore", "--yes")
            other.until("lacks 3 entries")  # nothing is written until that was seen
            other.key("enter")
            other.until_gone("58.5")
            other.until_gone("57.8")
            other.key("ctrl+q")
            assert other.end() == 0
    assert overall(log) == {"1": 60, "2": 60}
