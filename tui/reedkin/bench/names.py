"""Who is meant by a name that nobody has: somebody known whose name holds it, or is nearly the same."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable

from reedkin.bench.deliveries import order_key

_ALIKE = 0.85
"""Names so much alike (Ratcliff and Obershelp's ratio) may be one that was written wrongly."""
_LEAST = 5
"""Letters of a name of which that can be said."""


def meant_by(name: str, known: Iterable[str]) -> list[str]:
    """Of the names that are `known` those that may be meant by `name`; none where it is one of them."""
    every = {order_key(one): one for one in known if one}
    key = order_key(name)
    if not key or key in every:
        return []
    words = set(_plain(key).split())
    found = [one for of, one in every.items() if words <= set(_plain(of).split())]
    return found or [one for of, one in every.items() if _alike(_plain(key), _plain(of))]


def _alike(one: str, other: str) -> bool:
    from difflib import SequenceMatcher  # only for a name that nobody has

    if min(len(one), len(other)) < _LEAST or any(c.isdigit() for c in one + other):
        return False
    return SequenceMatcher(None, one, other, autojunk=False).ratio() >= _ALIKE


def _plain(text: str) -> str:
    """A name without its accents."""
    return "".join(c for c in unicodedata.normalize("NFD", text) if not unicodedata.combining(c))
