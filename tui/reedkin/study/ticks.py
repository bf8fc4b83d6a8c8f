"""How long work is watched and stopped."""

from __future__ import annotations

from collections.abc import Callable

Tick = Callable[[float], None]
"""Told the share of the work that is done, 0 to 1, every few hundredths of a second at the latest. To stop the work,
raise `Cancelled` in it."""


class Cancelled(Exception):  # noqa: N818 - it is no error
    """Raised in a tick by whoever no longer wants the answer."""


def no_tick(share: float) -> None:
    """For callers that neither watch nor stop."""


def part(tick: Tick, start: float, end: float) -> Tick:
    """The tick for a part of the work that takes it from `start` to `end`."""
    return lambda share: tick(start + (end - start) * share)
