"""The JSON Schema (2020-12) of what a command gives, made of its type.

An object has no other members than those named, so that what changes is noticed.
"""

from __future__ import annotations

from typing import Any

from msgspec.json import schema_components

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def schema_of(title: str, *shapes: object) -> Any:
    """The schema of a document that has one of these shapes."""
    found, parts = schema_components(shapes, ref_template="#/$defs/{name}")
    either = found[0] if len(found) == 1 else {"anyOf": list(found)}
    return _finished({"$schema": DIALECT, "title": title, **either, "$defs": parts})


def _finished(node: Any) -> Any:
    """The same for anybody to use: objects without further members unless they say so, patterns as ECMA-262 has them,
    as the standard asks, and descriptions in one line."""
    if isinstance(node, list):
        return [_finished(one) for one in node]
    if not isinstance(node, dict):
        return node
    inner = {name: _finished(one) for name, one in node.items()}
    if isinstance(node.get("properties"), dict):
        inner.setdefault("additionalProperties", False)
    if isinstance(pattern := node.get("pattern"), str):
        inner["pattern"] = pattern.replace(r"\A", "^").replace(r"\Z", "$")
    if isinstance(said := node.get("description"), str):
        inner["description"] = " ".join(said.split())
    return inner
