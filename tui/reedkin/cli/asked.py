"""Questions that a command asks at a terminal."""

from __future__ import annotations

import sys

from reedkin.domain.literal import literal


def can_ask() -> bool:
    """Whether somebody can answer."""
    return sys.stdin is not None and sys.stdin.isatty()


def asked(question: str) -> str:
    """What was answered, in lower case; nothing if it was Enter alone."""
    print(f"{literal(question)} ", end="", file=sys.stderr, flush=True)
    return sys.stdin.readline().strip().lower()


def agreed(question: str, usual: bool = False) -> bool:
    """Whether the answer was yes; Enter alone is the `usual` one."""
    answer = asked(f"{question} {'[Y/n]' if usual else '[y/N]'}")
    return answer in ("y", "yes") or (usual and not answer)
