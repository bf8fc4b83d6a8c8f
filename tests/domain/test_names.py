"""A name means one thing: no class name stands twice in the program."""

from __future__ import annotations

import re
from collections import defaultdict
from pathlib import Path

import reedkin

_CLASS = re.compile(r"^ *class _?(\w+)", re.MULTILINE)


def test_no_class_name_stands_twice_be_it_with_an_underscore() -> None:
    where = defaultdict(list)
    folder = Path(reedkin.__file__).parent
    for module in folder.rglob("*.py"):
        for name in _CLASS.findall(module.read_text(encoding="utf-8")):
            where[name].append(str(module.relative_to(folder)))
    assert len(where) > 200
    assert {name: modules for name, modules in where.items() if len(modules) > 1} == {}
