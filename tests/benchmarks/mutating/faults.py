"""Small faults that a module can have: one changed comparison, sign, number, word of logic or condition each."""

from __future__ import annotations

import ast
import copy
import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

PACKAGE = Path("tui/reedkin")

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

    def tree(self, sound: str) -> ast.Module:
        """The module with the fault in it; all of it stands in the lines where it stood."""
        tree = ast.parse(sound)
        node, other = self._nodes(tree)
        return ast.fix_missing_locations(_Replace(node, other).visit(tree))

    def made(self, sound: str) -> tuple[str, str]:
        """The module's text with the fault in it, and the fault in words."""
        node, other = self._nodes(ast.parse(sound))
        words = f"{self.module}:{getattr(node, 'lineno', 0)}: {ast.unparse(node)}  ->  {ast.unparse(other)}"
        return ast.unparse(self.tree(sound)), words

    def _nodes(self, tree: ast.Module) -> tuple[ast.AST, ast.AST]:
        node = list(ast.walk(tree))[self.place]
        other = _changed(node)
        assert other is not None
        return node, other


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
    """So many mutants of each place, or all of those that have fewer; a place's draw is the same beside any other."""
    found = {}
    for place in places:
        named = sorted(path for pattern in place.split(",") for path in (copied / PACKAGE).glob(pattern))
        paths = [path for one in named for path in ([one] if one.is_file() else sorted(one.rglob("*.py")))]
        every = [mutant for path in paths for mutant in mutants(copied, path.relative_to(copied))]
        found[place] = random.Random(f"{seed} {place}").sample(every, min(len(every), count))
    return found
