"""
The first question of the day: how long a command takes from the shell, Python's own start and all, on logs of growing
size. `stock`, `week`, `case` and `habits` are held against merely decoding the lines of the same log with Python's json
in a process of its own, `add` and `show` against themselves in a log of 1,000 events. All take turns, so that what else
the computer does falls on all alike; times are of the processor, which a busy computer changes least, and the least of
several (not on Windows). Run: python -m tests.benchmarks.cold_start
"""

from __future__ import annotations

import argparse
import os
import resource
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

from tests.benchmarks.scaled import SIZES, copy_of

from reedkin.domain.clock import Clock
from reedkin.domain.reeds import IN_SERVICE
from reedkin.store.log import Log

MOST_OF_DECODING, MOST_GROWTH = 3.0, 2.0
ASKED = (("stock",), ("week",), ("case",), ("habits",))
_DECODE = "import json, sys; [json.loads(line) for line in open(sys.argv[1], 'rb')]"


def took(command: Sequence[str]) -> float:
    """Processor seconds that a command takes, in a process of its own that finds Python's modules compiled, as a
    user's does. Raises CalledProcessError where it fails."""
    theirs = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    before = _of_children()
    subprocess.run(command, check=True, capture_output=True, env=theirs)
    return _of_children() - before


def _of_children() -> float:
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def commands(log: Path) -> dict[str, list[str]]:
    """What is timed on a log, by name; the reed that is shown and worked at is the latest of those in service, so that
    hours left are reckoned in every log."""
    reedkin = [sys.executable, "-m", "reedkin"]
    with Log(log, Clock(), read_only=True) as opened:
        tag = [reed.label for reed in opened.bench.at_work() if reed.stage == IN_SERVICE][-1]
    asked = {words[0]: [*reedkin, *words, "--log", str(log)] for words in ASKED}
    show = [*reedkin, "show", tag, "--log", str(log)]
    add = [*reedkin, "add", "--log", str(log), "--yes", f"{tag} note slow"]
    return {"decoding": [sys.executable, "-c", _DECODE, str(log)], **asked, "show": show, "add": add}


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--rounds", type=int, default=5, help="how often each command is run on each log")
    options = parser.parse_args()
    least: dict[int, dict[str, float]] = {}
    with tempfile.TemporaryDirectory() as folder:
        logs = {events: commands(copy_of(events, Path(folder))) for events in SIZES}
        for _ in range(options.rounds):
            for events, of_log in logs.items():
                times = least.setdefault(events, {})
                for name, command in of_log.items():
                    times[name] = min(times.get(name, float("inf")), took(command))
    print(f"{'seconds at':>12} " + " ".join(f"{name:>8}" for name in least[SIZES[0]]))
    for events, times in least.items():
        print(f"{events:>12,} " + " ".join(f"{seconds:>8.2f}" for seconds in times.values()))
    first, last = least[SIZES[0]], least[SIZES[-1]]
    asked = {words[0]: last[words[0]] / last["decoding"] for words in ASKED}
    grown = {name: last[name] / first[name] for name in ("show", "add")}
    print(f"At {SIZES[-1]:,}, of decoding:", ", ".join(f"{name} {ratio:.1f}" for name, ratio in asked.items()))
    print(
        f"At {SIZES[-1]:,}, of the time at {SIZES[0]:,}:", ", ".join(f"{n} {ratio:.1f}" for n, ratio in grown.items())
    )
    met = {
        f"a question at most {MOST_OF_DECODING} times the decoding": max(asked.values()) <= MOST_OF_DECODING,
        f"show and add at most {MOST_GROWTH} times": max(grown.values()) <= MOST_GROWTH,
    }
    for target, reached in met.items():
        print(f"{target}: {'reached' if reached else 'MISSED'}")
    return 0 if all(met.values()) else 1


if __name__ == "__main__":
    sys.exit(main())
