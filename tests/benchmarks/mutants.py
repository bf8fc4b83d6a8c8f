"""
How many small faults the tests find: `python -m tests.benchmarks.mutants [--count 200] [--seed 1] [PLACE ...]`.

A place is a folder or some modules of the program, such as `store` or `answers/*/words.py` (in quotes), or several of
these with commas between them; as many faults are drawn from each. A fault is one changed comparison, sign, number,
word of logic or condition, in a copy of the project. It is found if a test fails or hangs: of the place's folders of
tests those that reach the function it is in, and those in files that are near it (which import its module, or are named
after it or its folder), the quickest first; not the proofs, which take long and look at everything. Prints those that
survived, to be looked at by eye: some change nothing that can be seen.

What becomes of each is kept in a file (`--kept`), so that a run which was cut off goes on where it was; `--again` asks
once more about those that survived, when there are new tests (`--tests`: these alone). A file holds for one state of
the code.
"""

from __future__ import annotations

import argparse
import contextlib
import json
import sys
import tempfile
import time
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass
from itertools import pairwise
from pathlib import Path

from tests.benchmarks.mutating.copied import HANGS, Project
from tests.benchmarks.mutating.faults import Mutant, drawn
from tests.benchmarks.mutating.reach import Reach, reach
from tests.benchmarks.mutating.standing import Standing

KEPT = Path(__file__).parent / ".cache" / "mutants.jsonl"
TESTS = {
    "domain": ("domain", "grammar", "bench", "cli"),
    "grammar": ("grammar", "bench", "cli"),
    "bench": ("bench", "grammar", "answers", "cli"),
    "store": ("store", "cli"),
    "survival": ("survival", "cli"),
    "study": ("answers", "cli"),
    "answers": ("answers", "cli"),
    "hearing": ("hearing", "screens/test_ears.py"),
    "charts": ("charts", "screens", "cli"),
    "widgets": ("widgets", "screens"),
    "desk.py": ("screens", "test_pedal.py"),
    "pedal.py": ("screens", "test_pedal.py"),
    "screens": ("screens",),
    "cli": ("cli",),
}
"""By folder or module of the core, the folders and files of tests that are asked."""
STEPS = (0, 8, 60, None)
"""How many tests are asked at once: most faults are found by the first, which need few files to be read."""


@dataclass(frozen=True)
class Outcome:
    """What became of a fault, and what found it, if anything did."""

    place: str
    fault: str
    found: str
    asked: int
    seconds: float


class Kept:
    """What became of faults in this run and in those before, the last word about each counting."""

    def __init__(self, path: Path) -> None:
        self._path = path
        lines = path.read_text(encoding="utf-8").splitlines() if path.exists() else []
        self.outcomes = {outcome.fault: outcome for outcome in (Outcome(**json.loads(line)) for line in lines)}

    def to_be_asked(self, fault: str, again: bool) -> bool:
        """Whether nothing is known of a fault yet, or it is to be asked again what survived."""
        return fault not in self.outcomes or (again and not self.outcomes[fault].found)

    def add(self, outcome: Outcome) -> None:
        self.outcomes[outcome.fault] = outcome
        self._path.parent.mkdir(exist_ok=True)
        with self._path.open("a", encoding="utf-8") as page:
            page.write(json.dumps(asdict(outcome)) + "\n")


def judged(
    project: Project, standing: Standing, place: str, mutant: Mutant, reached: Reach, folders: Sequence[str]
) -> Outcome:
    """What the tests in these folders say of a mutant."""
    sound = project.text(mutant.module)
    tests, begun, found = reached.asked(mutant, sound, folders), time.monotonic(), None
    if reached.only_when_run(mutant, sound):
        found = standing.failed(mutant, tests, _limit(reached, tests))
    if found is None:
        found = _read_anew(project, mutant, reached, tests)
    fault = mutant.made(sound)[1]
    return Outcome(place, fault, found, len(tests), round(time.monotonic() - begun, 1))


def _read_anew(project: Project, mutant: Mutant, reached: Reach, tests: Sequence[str]) -> str:
    """Which test fails first where all of the project is read with a fault in it."""
    found = ""
    with project.changed({mutant.module: mutant.made(project.text(mutant.module))[0]}):
        for some in (tests[first:last] for first, last in pairwise(STEPS)):
            if some and not found:
                files = list(dict.fromkeys(test.partition("::")[0] for test in some))
                found = project.run(files, some, _limit(reached, some)).failed
    return found


def _limit(reached: Reach, tests: Sequence[str]) -> float:
    return 2 * HANGS + 10 * sum(reached.seconds[test] for test in tests)


def main() -> int:
    options = argparse.ArgumentParser(description=(__doc__ or "").strip().splitlines()[0])
    options.add_argument("places", nargs="*", default=list(TESTS), metavar="PLACE")
    options.add_argument("--count", type=int, default=200, help="how many faults, of all places together")
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--kept", type=Path, default=KEPT, help="the file of what became of them")
    options.add_argument("--tests", nargs="+", metavar="FILE", help="ask these files or folders of tests alone")
    options.add_argument("--again", action="store_true", help="ask once more about those that survived")
    told = options.parse_args()
    kept = Kept(told.kept)
    with tempfile.TemporaryDirectory() as folder:
        project = Project.made(Path(folder))
        chosen = drawn(project.place, told.places, told.count // len(told.places), told.seed)
        faults = {mutant: mutant.made(project.text(mutant.module))[1] for some in chosen.values() for mutant in some}
        unknown = {mutant: fault for mutant, fault in faults.items() if kept.to_be_asked(fault, told.again)}
        folders = told.tests or folders_of(unknown)
        with contextlib.ExitStack() as until_done:
            if unknown:
                reached = reach(project, {mutant.module for mutant in unknown}, folders)
                standing = until_done.enter_context(Standing(project, folders))
            left = dict.fromkeys(chosen, 0)
            for place, some in chosen.items():
                for mutant in some:
                    if mutant in unknown:
                        asked = told.tests or folders_of([mutant])
                        kept.add(judged(project, standing, place, mutant, reached, asked))
                    outcome = kept.outcomes[faults[mutant]]
                    if not outcome.found:
                        left[place] += 1
                        print(f"{outcome.fault}  ({outcome.asked} tests asked)", flush=True)
                print(f"{place}: {left[place]} of {len(some)} survived", flush=True)
    survived = sum(left.values())
    print(f"all: {survived} of {len(faults)} survived ({survived / max(1, len(faults)):.0%})")
    return 0


def folders_of(mutants: Iterable[Mutant]) -> list[str]:
    """The folders of tests that are asked about these."""
    return list(dict.fromkeys(f"tests/{name}" for mutant in mutants for name in TESTS[mutant.folder]))


if __name__ == "__main__":
    sys.exit(main())
