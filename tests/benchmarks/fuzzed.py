"""
Tries what nobody would write: mutated logs, files to import that are none, and keys without sense on every screen.
Wrong is: anything but an error of ours with its sentence, more than five seconds of processor time for one case, and
whatever was recorded and is not there afterwards. Says how many cases it tried and, of what went wrong, the seed and
number from which one case is made again: python -m tests.benchmarks.fuzzed --logs 1 --seed 1 --from 4711
"""

from __future__ import annotations

import argparse
import asyncio
import contextlib
import io
import os
import sys
import tempfile
import time
import traceback
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

from tests.benchmarks.fuzzing.imports import Imports
from tests.benchmarks.fuzzing.keys import LONGEST, type_at_random
from tests.benchmarks.fuzzing.logs import Logs


@dataclass
class Tally:
    """What was tried, how each ended, and what went wrong."""

    tried: int = 0
    ends: dict[str, int] = field(default_factory=dict)
    longest: float = 0.0
    wrong: list[str] = field(default_factory=list)

    def ended(self, how: str) -> None:
        self.ends[how] = self.ends.get(how, 0) + 1


def try_all(what: str, attempt: Callable[[Random], str], times: int, seed: int, first: int) -> Tally:
    """Try so many cases, each with a chance of its own that its number makes again."""
    tally, start = Tally(), time.monotonic()
    for number in range(first, first + times):
        begun = time.process_time()
        try:
            with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
                tally.ended(attempt(Random(f"{seed} {what} {number}")))
        except Exception as error:  # noqa: BLE001 - whatever it is, it is what is looked for
            where = traceback.extract_tb(error.__traceback__)[-1]
            place = f"{where.filename}:{where.lineno}"
            tally.wrong.append(f"case {number}: {type(error).__name__}: {error} ({place})"[:500])
        took = time.process_time() - begun
        tally.longest = max(tally.longest, took)
        if took > LONGEST:
            tally.wrong.append(f"case {number}: {took:.1f} s")
        tally.tried += 1
        if tally.tried % 5000 == 0:
            report(what, tally, time.monotonic() - start)
    report(what, tally, time.monotonic() - start)
    return tally


def report(what: str, tally: Tally, took: float) -> None:
    ends = ", ".join(f"{count} {how}" for how, count in sorted(tally.ends.items()))
    print(f"{what}: {tally.tried} tried in {took:.0f} s ({ends}); the longest {tally.longest:.2f} s. ", end="")
    print(f"Wrong: {len(tally.wrong)}", flush=True)
    for wrong in tally.wrong[:20]:
        print(f"  {wrong}")


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--logs", type=int, default=0, help="how many mutated logs")
    parser.add_argument("--imports", type=int, default=0, help="how many files to import")
    parser.add_argument("--keys", type=int, default=0, help="how many sequences of keys on screens")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--from", dest="first", type=int, default=0, metavar="NUMBER", help="the first case")
    options = parser.parse_args()
    memory = "/dev/shm" if os.access("/dev/shm", os.W_OK) else None  # nothing here is about a loss of power
    tallies = []
    with tempfile.TemporaryDirectory(dir=memory) as name:
        folder = Path(name)
        os.environ.update(HOME=name, XDG_DATA_HOME=name, XDG_STATE_HOME=name)
        os.chdir(folder)
        if options.logs:
            tallies.append(try_all("logs", Logs(folder / "logs").attempt, options.logs, options.seed, options.first))
        if options.imports:
            attempt = Imports(folder / "imports").attempt
            tallies.append(try_all("imports", attempt, options.imports, options.seed, options.first))
        if options.keys:
            start, tally = time.monotonic(), Tally()
            asyncio.run(type_at_random(folder / "keys", options.keys, options.seed, options.first, tally))
            report("keys", tally, time.monotonic() - start)
            tallies.append(tally)
    return 1 if any(tally.wrong for tally in tallies) else 0


if __name__ == "__main__":
    sys.exit(main())
