"""Two programs on one log: one writes, the other follows; whatever becomes of the first, nobody is locked out."""

from __future__ import annotations

import signal
from pathlib import Path

from tests.terminal.terminal import Terminal
from tests.terminal.test_program import command


def test_a_reader_follows_the_writer_its_death_and_a_restore(tmp_path: Path) -> None:
    log = tmp_path / "bench.jsonl"
    command(log, "add", "1-2 tie eh 60 lot 7 tube 27")  # which makes the backup that is put back below
    with Terminal("--log", str(log)) as writer:
        writer.until("▸ ")
        with Terminal("--log", str(log)) as reader:
            reader.until("reading only")
            writer.enter("1 c 1.5")
            writer.until("✓ 1: clipped")
            reader.until("58.5 mm")
            reader.enter("1 c 1")
            reader.until("Not recorded")
            writer.tell(signal.SIGKILL)
            command(log, "add", "2 clip 2.5")  # the lock file that stayed behind locks nobody out
            reader.until("57.5 mm")
            command(log, "restore")
            reader.until_gone("58.5 mm")
            reader.until_gone("57.5 mm")
            reader.key("ctrl+q")
            assert reader.end() == 0
    assert "60 mm" in command(log, "stock")
