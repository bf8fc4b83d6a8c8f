"""How many small faults the tests find: `python -m tests.benchmarks.mutants [--count 200] [--seed 1] [PLACE ...]`.

A place is a folder or some modules of the core, such as `store` or `answers/*/words.py` (in quotes); sites are drawn
evenly from the places. Each mutant is one changed comparison, sign, number, word of logic or condition, in a copy of
the project. It is found if a test fails or hangs: first those nearest to it (which import its module, or are named
after it or its folder), then those of its folder, then those beside; not the proofs, which take long and look at
everything. Prints those that survived, to be looked at by eye: some change nothing that can be seen.
"""

from __future__ import annotations

import argparse
import ast
import copy
import os
import random
import re
import shutil
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from queue import SimpleQueue

ROOT = Path(__file__).parents[2]
PACKAGE = Path("tui/reedkin")
TESTS = {
    "domain": ("domain", "grammar", "bench"),
    "grammar": ("grammar", "bench"),
    "bench": ("bench", "grammar"),
    "store": ("store",),
    "survival": ("survival",),
    "study": ("answers",),
    "answers": ("answers",),
}
"""By folder of the core, the folders of tests to be asked in turn; of `cli` beside them those that are nearest."""
PROOFS = (
    "answers/test_habits_proof.py", "answers/test_hours_left.py", "store/test_killed.py", "cli/test_process.py",
    "cli/test_release.py",
)  # fmt: skip
SECONDS = 300
NO_TESTS = 5

_COMPARED: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
}  # fmt: skip
_RECKONED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.FloorDiv: ast.Mult,
}  # fmt: skip
_CALLED = {"max": "min", "min": "max", "any": "all", "all": "any"}


@dataclass(frozen=True)
class Mutant:
    """A module with one node changed: the one that stands at `place` when its tree is walked."""

    module: Path
    place: int

    @property
    def folder(self) -> str:
        return self.module.relative_to(PACKAGE).parts[0]

    def made(self, sound: str) -> tuple[str, str]:
        """The module's text with the fault in it, and the fault in words."""
        tree = ast.parse(sound)
        node = list(ast.walk(tree))[self.place]
        other = _changed(node)
        assert other is not None
        words = f"{self.module}:{getattr(node, 'lineno', 0)}: {ast.unparse(node)}  ->  {ast.unparse(other)}"
        return ast.unparse(ast.fix_missing_locations(_Replace(node, other).visit(tree))), words


def _changed(node: ast.AST) -> ast.AST | None:
    """A small fault that a node can have; None where it has none of ours."""
    other = copy.deepcopy(node)
    match other:
        case ast.Compare(ops=[first, *_]) if type(first) in _COMPARED:
            other.ops[0] = _COMPARED[type(first)]()
        case ast.BinOp(op=sign) if type(sign) in _RECKONED:
            other.op = _RECKONED[type(sign)]()
        case ast.BoolOp(op=word):
            other.op = ast.Or() if isinstance(word, ast.And) else ast.And()
        case ast.UnaryOp(op=ast.Not()):
            return other.operand
        case ast.Constant(value=bool() as value):
            other.value = not value
        case ast.Constant(value=int() | float() as value):
            other.value = value + 1
        case ast.Call(func=ast.Name(id=name)) if name in _CALLED:
            other.func = ast.Name(_CALLED[name], ast.Load())
        case ast.IfExp(body=body, orelse=orelse):
            other.body, other.orelse = orelse, body
        case _:
            return None
    return other


class _Replace(ast.NodeTransformer):
    def __init__(self, target: ast.AST, by: ast.AST) -> None:
        self._target, self._by = target, by

    def visit(self, node: ast.AST) -> ast.AST:
        return ast.copy_location(self._by, node) if node is self._target else self.generic_visit(node)


def mutants(copied: Path, module: Path) -> Iterator[Mutant]:
    """All mutants of a module of a copied project; what decorators are told is left alone."""
    tree = ast.parse((copied / module).read_text(encoding="utf-8"))
    told = {
        id(part) for node in ast.walk(tree) for one in getattr(node, "decorator_list", ()) for part in ast.walk(one)
    }
    for place, node in enumerate(ast.walk(tree)):
        if id(node) not in told and _changed(node) is not None:
            yield Mutant(module, place)


def drawn(copied: Path, places: Sequence[str], count: int, seed: int) -> dict[str, list[Mutant]]:
    """As many mutants from each place, or all of those that have fewer."""
    chance = random.Random(seed)
    found = {}
    for place in places:
        named = sorted((copied / PACKAGE).glob(place))
        paths = [path for one in named for path in ([one] if one.is_file() else sorted(one.rglob("*.py")))]
        every = [mutant for path in paths for mutant in mutants(copied, path.relative_to(copied))]
        found[place] = chance.sample(every, min(len(every), count // len(places)))
    return found


def asked(mutant: Mutant, tests: Path) -> Iterator[list[str]]:
    """The files and folders of tests to be asked about a mutant, those first that will find it soonest."""
    folders = TESTS[mutant.folder]
    yield _nearest(mutant.module.relative_to(PACKAGE), [tests / folder for folder in dict.fromkeys((*folders, "cli"))])
    yield from ([str(tests / folder)] for folder in folders)


def _nearest(module: Path, folders: Sequence[Path]) -> list[str]:
    """The files of tests that import a module of the package, or are named after it or the folder it is in."""
    names = {part for part in (module.stem, *module.parts[1:-1]) if part not in ("words", "question", "__init__")}
    dotted = ".".join(("reedkin", *module.with_suffix("").parts))
    imported = re.compile(
        rf"from {re.escape(dotted)} import|from {re.escape(dotted.rpartition('.')[0])} import .*\b{module.stem}\b"
    )
    return [
        str(path)
        for folder in folders
        for path in sorted(folder.glob("test_*.py"))
        if any(name in path.stem for name in names) or imported.search(path.read_text(encoding="utf-8"))
    ]


def survivor(mutant: Mutant, copied: Path) -> str:
    """The fault in words if no test of the copied project finds it, or nothing."""
    path = copied / mutant.module
    sound = path.read_text(encoding="utf-8")
    faulty, words = mutant.made(sound)
    path.write_text(faulty, encoding="utf-8")
    try:
        return "" if any(_fails(copied, tests) for tests in asked(mutant, copied / "tests")) else words
    finally:
        path.write_text(sound, encoding="utf-8")


def _fails(copied: Path, tests: Sequence[str], seconds: float | None = SECONDS) -> bool:
    """Whether one of these tests fails, hangs, or cannot be read any more."""
    if not tests:
        return False
    proofs = [f"--ignore={copied / 'tests' / proof}" for proof in PROOFS]
    options = ["-x", "-n", "0", "-p", "no:randomly", "-p", "no:cacheprovider", *proofs]
    command = [sys.executable, "-m", "pytest", *options, *tests]
    theirs = {**os.environ, "PYTHONPATH": str(copied / "tui")}  # for the processes that tests start
    try:
        done = subprocess.run(command, cwd=copied, env=theirs, capture_output=True, timeout=seconds, check=False)
    except subprocess.TimeoutExpired:
        return True
    return done.returncode not in (0, NO_TESTS)


def _copy(place: Path) -> Path:
    for name in ("tui", "tests", "demo_logs"):
        shutil.copytree(ROOT / name, place / name, ignore=shutil.ignore_patterns("__pycache__", ".cache"))
    for name in ("pyproject.toml", "README.md", "DEVELOPERS.md", "LICENSE"):
        shutil.copy(ROOT / name, place / name)
    return place


def main() -> int:
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("places", nargs="*", default=list(TESTS), metavar="PLACE")
    options.add_argument("--count", type=int, default=200)
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--workers", type=int, default=2)
    told = options.parse_args()
    with tempfile.TemporaryDirectory() as place:
        copies = [_copy(Path(place) / str(number)) for number in range(told.workers)]
        chosen = drawn(copies[0], told.places, told.count, told.seed)
        folders = {mutant.folder for of_place in chosen.values() for mutant in of_place}
        tests = {str(copies[0] / "tests" / name) for folder in folders for name in (*TESTS[folder], "cli")}
        if _fails(copies[0], sorted(tests), None):
            print("The tests fail where nothing is changed, so they would find whatever they are asked.")
            return 1
        return report(chosen, copies)


def report(chosen: dict[str, list[Mutant]], copies: Sequence[Path]) -> int:
    """Ask about all mutants, in as many copies of the project at once; print those that survived, and how many."""
    free: SimpleQueue[Path] = SimpleQueue()
    for copied in copies:
        free.put(copied)

    def judged(mutant: Mutant) -> str:
        copied = free.get()
        try:
            return survivor(mutant, copied)
        finally:
            free.put(copied)

    left: Counter[str] = Counter()
    with ThreadPoolExecutor(len(copies)) as pool:
        for place, of_place in chosen.items():
            for words in filter(None, pool.map(judged, of_place)):
                left[place] += 1
                print(words, flush=True)
            print(f"{place}: {left[place]} of {len(of_place)} survived", flush=True)
    count = sum(map(len, chosen.values()))
    print(f"all: {left.total()} of {count} survived ({left.total() / max(1, count):.0%})")
    return 0


if __name__ == "__main__":
    sys.exit(main())
