"""How the Python that runs the program is set: when it looks for garbage, and how its threads take turns."""

from __future__ import annotations

import gc
import sys
from collections.abc import Iterator
from contextlib import contextmanager

_TURN_SECONDS = 0.001
"""How long a thread that reckons may keep the screen waiting for its turn: a fifth of what Python would let it, since a
screen that opens waits some twenty times."""
_FELT = 100_000
"""So many new objects take the garbage collector long enough for a key to be felt waiting: some 30 ms."""


def start_uncollected() -> None:
    """At the start of the process. What is imported and read then is there to stay; looking for garbage in it takes a
    sixth of the start. A command ends soon; the full-screen program looks for garbage once it has read its log."""
    gc.disable()


def collect_from_now_on() -> None:
    """Look for garbage from now on, if that was put off, in nothing that is there already."""
    if not gc.isenabled():
        gc.freeze()
        gc.enable()


def end_uncollected() -> None:
    """At the end of the process. Python looks for garbage once more before it ends, whatever was asked of it; after a
    long log was read that takes a tenth of the run, and the system takes all of it back in a moment anyway."""
    gc.freeze()


def take_short_turns() -> None:
    """Let a thread that reckons give way to the screen sooner than Python would let it."""
    sys.setswitchinterval(_TURN_SECONDS)


@contextmanager
def uncollected() -> Iterator[None]:
    """Keep the garbage collector from what is read meanwhile: lineages hold no cycles, and to look through those of ten
    years takes it a third of a second, many times over while they grow, in which no key is answered. Only so much is
    set aside for good: the screen that is up is set aside with it, and would stay when it is left."""
    gc.disable()
    try:
        yield
    finally:
        if gc.get_count()[0] > _FELT:
            gc.freeze()
        gc.enable()
