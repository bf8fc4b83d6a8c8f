"""
Kills the real program hundreds of times while it records, at any moment, and looks at the log after each: all that was
called recorded has to be there, and nothing else but the one entry that was on its way, whole. Half of the kills hit
commands that write much (import, merge, retag, restore, trial, and the corrections that the diary makes), one in ten
the full-screen program in a pseudo-terminal, the others `reedkin add` in a process that runs it over and over.
Run: python -m tests.benchmarks.killed --times 1000
"""

from __future__ import annotations

import argparse
import contextlib
import io
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from random import Random

from tests.store.killing import FIRST, Tally, held, kill_adding, kill_typing
from tests.store.killing_commands import kill_command, prepared

_VICTIM = """
import sys
from pathlib import Path
from tests.store.killing import record_for_ever
record_for_ever(Path(sys.argv[1]), int(sys.argv[2]))
"""


def process(log: Path, number: int) -> tuple[int, int]:
    """A victim that adds, as a process of its own; its id and what it prints."""
    output, inward = os.pipe()
    # Popen would wait for the child itself; the killing does.
    child = os.posix_spawn(
        sys.executable, [sys.executable, "-c", _VICTIM, str(log), str(number)], os.environ,
        file_actions=[(os.POSIX_SPAWN_DUP2, inward, 1), (os.POSIX_SPAWN_CLOSE, output)],
    )  # fmt: skip
    os.close(inward)
    return child, output


def kill_commands(folder: Path, times: int, chance: Random) -> Tally:
    """Kill each of the commands that write much, by turns."""
    made, tally = folder / "made", Tally()
    with contextlib.redirect_stdout(io.StringIO()):
        deeds = prepared(made)
    start = time.monotonic()
    for number in range(times):
        name = list(deeds)[number % len(deeds)]
        kill_command(made, name, deeds[name], tally, chance)
    report(tally, f"{len(deeds)} commands that write much", time.monotonic() - start)
    return tally


def report(tally: Tally, what: str, took: float) -> None:
    print(
        f"{what}: killed {tally.kills} times in {took:.0f} s. Called recorded: {tally.recorded} entries; besides, "
        f"{tally.unsaid} were whole when the kill came before they were called so. {tally.torn} logs ended in the "
        f"midst of an entry. Wrong: {len(tally.wrong)}"
    )
    for wrong in tally.wrong[:10]:
        print(f"  {wrong}")


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--times", type=int, default=500, help="how many kills in all")
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    chance = Random(options.seed)
    typed, commanded = max(1, options.times // 10), options.times // 2
    tallies = []
    with tempfile.TemporaryDirectory() as folder:
        tallies.append(kill_commands(Path(folder), commanded, chance))
        for what, times in (("add", options.times - typed - commanded), ("full screen", typed)):
            log = Path(folder) / f"{what}.jsonl"
            subprocess.run([sys.executable, "-m", "reedkin", "--log", str(log), "add", FIRST], check=True)
            tally, start = Tally(), time.monotonic()
            for _ in range(times):
                if what == "add":
                    kill_adding(log, process, tally, chance)
                else:
                    kill_typing(log, tally, chance)
            if len(held(log, tally)) != tally.recorded + tally.unsaid:
                tally.wrong.append("the numbers do not add up")
            report(tally, what, time.monotonic() - start)
            tallies.append(tally)
    return 1 if any(tally.wrong for tally in tallies) else 0


if __name__ == "__main__":
    sys.exit(main())
