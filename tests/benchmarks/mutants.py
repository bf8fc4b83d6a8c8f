"""How many small faults the tests find: `python -m tests.benchmarks.mutants [--count 200] [--seed 1] [FOLDER ...]`.

Sites are drawn evenly from the folders of the core. Each mutant is one changed comparison, sign, number, word of logic
or condition, in a copy of the project; it is found if the tests of its folder, or else those beside it, fail or hang.
Prints those that survived, to be looked at by eye: some change nothing that can be seen.
"""

from __future__ import annotations

import argparse
import ast
import copy
import random
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
    "domain": ("domain", "grammar", "bench", "store"),
    "grammar": ("grammar", "cli"),
    "bench": ("bench", "grammar", "answers"),
    "store": ("store", "cli"),
    "survival": ("survival", "answers"),
    "study": ("answers",),
    "answers": ("answers", "cli"),
}
"""By folder, the folders of tests to be asked, those that are nearest first."""
SECONDS = 300

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

    def made(self) -> tuple[str, str]:
        """The module's text with the fault in it, and the fault in words."""
        tree = ast.parse((ROOT / self.module).read_text(encoding="utf-8"))
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


def mutants(module: Path) -> Iterator[Mutant]:
    """All mutants of a module, given by its path in the project; what decorators are told is left alone."""
    tree = ast.parse((ROOT / module).read_text(encoding="utf-8"))
    told = {
        id(part) for node in ast.walk(tree) for one in getattr(node, "decorator_list", ()) for part in ast.walk(one)
    }
    for place, node in enumerate(ast.walk(tree)):
        if id(node) not in told and _changed(node) is not None:
            yield Mutant(module, place)


def drawn(folders: Sequence[str], count: int, seed: int) -> list[Mutant]:
    """As many mutants from each folder, or all of those that have fewer."""
    chance = random.Random(seed)
    found: list[Mutant] = []
    for folder in folders:
        paths = sorted((ROOT / PACKAGE / folder).rglob("*.py"))
        every = [one for path in paths for one in mutants(path.relative_to(ROOT))]
        found += chance.sample(every, min(len(every), count // len(folders)))
    return found


def survivor(mutant: Mutant, copied: Path) -> str:
    """The fault in words if no test of the copied project finds it, or nothing."""
    path = copied / mutant.module
    sound = path.read_text(encoding="utf-8")
    faulty, words = mutant.made()
    path.write_text(faulty, encoding="utf-8")
    try:
        return "" if any(_finds(copied / "tests" / folder) for folder in TESTS[mutant.folder]) else words
    finally:
        path.write_text(sound, encoding="utf-8")


def _finds(tests: Path) -> bool:
    asked = [sys.executable, "-m", "pytest", "-x", "-n", "0", "-p", "no:randomly", "-p", "no:cacheprovider", str(tests)]
    try:
        done = subprocess.run(asked, cwd=tests.parents[1], capture_output=True, timeout=SECONDS, check=False)
    except subprocess.TimeoutExpired:
        return True
    return done.returncode == 1


def _copy(place: Path) -> Path:
    for name in ("tui", "tests", "demo_logs"):
        shutil.copytree(ROOT / name, place / name, ignore=shutil.ignore_patterns("__pycache__", ".cache"))
    for name in ("pyproject.toml", "README.md", "DEVELOPERS.md", "LICENSE"):
        shutil.copy(ROOT / name, place / name)
    return place


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("folders", nargs="*", default=list(TESTS), metavar="FOLDER")
    options.add_argument("--count", type=int, default=200)
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--workers", type=int, default=2)
    asked = options.parse_args()
    chosen = drawn(asked.folders, asked.count, asked.seed)
    with tempfile.TemporaryDirectory() as place:
        free: SimpleQueue[Path] = SimpleQueue()
        for number in range(asked.workers):
            free.put(_copy(Path(place) / str(number)))

        def judged(mutant: Mutant) -> tuple[Mutant, str]:
            copied = free.get()
            try:
                return mutant, survivor(mutant, copied)
            finally:
                free.put(copied)

        left: Counter[str] = Counter()
        with ThreadPoolExecutor(asked.workers) as pool:
            for mutant, words in pool.map(judged, chosen):
                if words:
                    left[mutant.folder] += 1
                    print(words, flush=True)
    print()
    for folder in asked.folders:
        print(f"{folder}: {left[folder]} of {sum(one.folder == folder for one in chosen)} survived")
    print(f"all: {left.total()} of {len(chosen)} survived ({left.total() / max(1, len(chosen)):.0%})")


if __name__ == "__main__":
    main()
