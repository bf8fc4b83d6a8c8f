"""Two programs on one log: both record, and each follows the other; whatever becomes of one, nobody is locked out."""

from __future__ import annotations

import signal
from pathlib import Path

from tests.terminal.terminal import Terminal
from tests.terminal.test_program import command


def test_two_follow_each_other_a_death_and_a_restore(tmp_path: Path) -> None:
    log = tmp_path / "bench.jsonl"
    command(log, "add", "1-2 tie eh 60 lot 7 tube 27")  # which makes the backup that is put back below
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
            one.tell(signal.SIGKILL)
            command(log, "add", "2 clip 1.5")  # beside the one that is open, whatever the other left behind
            other.until("57.8")
            command(log, "restore", "--yes")
            other.until("lacks 3 entries")  # nothing is written until that was seen
            other.key("enter")
            other.until_gone("58.5")
            other.until_gone("57.8")
            other.key("ctrl+q")
            assert other.end() == 0
    assert " 60.0 " in command(log, "stock")
