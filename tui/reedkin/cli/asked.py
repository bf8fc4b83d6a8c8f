"""Questions that a command asks at a terminal."""

from __future__ import annotations

import sys


def can_ask() -> bool:
    """Whether somebody can answer."""
    return sys.stdin is not None and sys.stdin.isatty()


def asked(question: str) -> str:
    """What was answered, in lower case; nothing if it was Enter alone."""
    print(f"{question} ", end="", file=sys.stderr, flush=True)
    return sys.stdin.readline().strip().lower()


def agreed(question: str) -> bool:
    """Whether the answer was yes; nothing but y is."""
    return asked(f"{question} [y/N]") in ("y", "yes")
