"""
Which tests reach which functions: only those can find a fault in them. Each function of some modules notes, in a copy
of the project, the test that it is called in, also where a test has started another process for it.
"""

from __future__ import annotations

import ast
import re
from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from tests.benchmarks.mutating.copied import Project
from tests.benchmarks.mutating.faults import PACKAGE, Mutant

AWAY = 5
"""A test that is not in a file near a fault is asked as late as one that is, and takes so many times as long."""
_NOTES = '''"""Notes the tests in which functions are called."""
from os import O_APPEND, O_CREAT, O_WRONLY, environ, open, write

_page = open({page!r}, O_WRONLY | O_APPEND | O_CREAT)
_noted = set()


def reached(function):
    note = function + "\\t" + environ.get("PYTEST_CURRENT_TEST", "") + "\\n"
    if note not in _noted:
        _noted.add(note)
        write(_page, note.encode())
'''


def functions(module: Path, tree: ast.Module) -> dict[int, str]:
    """By the id of a node inside a function: the function, by its module and line."""
    inside = {}
    for function in ast.walk(tree):  # those within another come after it
        if isinstance(function, ast.FunctionDef | ast.AsyncFunctionDef):
            name = f"{module}:{function.lineno}"
            inside.update({id(part): name for statement in function.body for part in ast.walk(statement)})
    return inside


def _noting(module: Path, sound: str) -> str:
    """A module each function of which notes that it was called."""
    tree = ast.parse(sound)
    for function in ast.walk(tree):
        if isinstance(function, ast.FunctionDef | ast.AsyncFunctionDef):
            note = ast.parse(f"__import__('_reached').reached('{module}:{function.lineno}')").body
            function.body[(ast.get_docstring(function) is not None) : 0] = note
    return ast.unparse(ast.fix_missing_locations(tree))


@dataclass(frozen=True)
class Reach:
    """What a run of the sound project told: the seconds of each test, and the tests that reach each function."""

    seconds: Mapping[str, float]
    by_function: Mapping[str, frozenset[str]]
    near: Mapping[Path, frozenset[str]]
    by_import: frozenset[str]
    """Functions that are called while modules are read."""

    def only_when_run(self, mutant: Mutant, sound: str) -> bool:
        """Whether a fault is in a function that is not called before there is a test."""
        function = _function_of(mutant, sound)
        return bool(function) and function not in self.by_import

    def asked(self, mutant: Mutant, sound: str, folders: Sequence[str]) -> list[str]:
        """The tests in these folders to be asked about a mutant, those first that will find it soonest."""
        function = _function_of(mutant, sound)
        reaching = self.by_function.get(function, frozenset[str]())
        if not function:  # said where the module is imported: whatever uses the module may see it
            reaching = frozenset[str]().union(
                *(tests for name, tests in self.by_function.items() if name.startswith(f"{mutant.module}:"))
            )
        near = {test for test in self.seconds if _file(test) in self.near[mutant.module]}

        def rank(test: str) -> tuple[bool, float]:
            return test not in reaching, self.seconds[test] * (1 if test in near else AWAY)

        return sorted((test for test in reaching | near if test.startswith(tuple(folders))), key=rank)


def _function_of(mutant: Mutant, sound: str) -> str:
    """The function that a fault is in; "" where it is in none."""
    tree = ast.parse(sound)
    return functions(mutant.module, tree).get(id(list(ast.walk(tree))[mutant.place]), "")


def _file(test: str) -> str:
    return test.partition("::")[0]


def reach(project: Project, modules: Collection[Path], folders: Sequence[str]) -> Reach:
    """Run the tests of the sound project in these folders or files, and note which reach what functions."""
    page = project.place / "reached.txt"
    page.unlink(missing_ok=True)
    (project.place / "tui" / "_reached.py").write_text(_NOTES.format(page=str(page)), encoding="utf-8")
    with project.changed({module: _noting(module, project.text(module)) for module in modules}):
        ran = project.run(folders, all_=True)
    if not ran.seconds:
        raise SystemExit(f"The tests cannot be run where nothing is changed: {ran.failed}.")
    for test in ran.failures:
        print(f"{test} fails where nothing is changed, and is not asked.", flush=True)
    seconds = {test: taken for test, taken in ran.seconds.items() if test not in ran.failures}
    tests_in = defaultdict(set)
    for test in seconds:
        tests_in[_file(test)].add(test)
    found = defaultdict(set)
    by_import = set()
    for function, current in _noted(page):
        if not current:
            by_import.add(function)
        test, _, moment = current.rpartition(" ")
        # What a fixture calls may have been made for all tests of the file.
        found[function] |= {test} & seconds.keys() if moment == "(call)" else tests_in[_file(test)]
    near = {module: frozenset(_nearest(project.place, module, folders)) for module in modules}
    return Reach(seconds, {function: frozenset(tests) for function, tests in found.items()}, near, frozenset(by_import))


def _noted(page: Path) -> Iterator[tuple[str, str]]:
    for line in page.read_text(encoding="utf-8").splitlines() if page.exists() else ():
        function, _, current = line.partition("\t")
        yield function, current


def _nearest(place: Path, module: Path, folders: Sequence[str]) -> Iterator[str]:
    """The files of tests that import a module of the package, or are named after it or the folder it is in."""
    inner = module.relative_to(PACKAGE)
    names = {part for part in (inner.stem, *inner.parts[1:-1]) if part not in ("words", "question", "__init__")}
    dotted = ".".join(("reedkin", *inner.with_suffix("").parts))
    imported = re.compile(
        rf"from {re.escape(dotted)} import|from {re.escape(dotted.rpartition('.')[0])} import .*\b{inner.stem}\b"
    )
    for folder in map(place.joinpath, folders):
        for path in sorted(folder.glob("test_*.py")) if folder.is_dir() else [folder]:
            if any(name in path.stem for name in names) or imported.search(path.read_text(encoding="utf-8")):
                yield str(path.relative_to(place))
