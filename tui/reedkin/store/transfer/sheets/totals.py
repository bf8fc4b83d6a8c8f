"""A reed's hours in all, as a sheet tells them, written as several playings; and written anew where the sheet says
another number later, be it more or less."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from itertools import count

from reedkin.bench.bench import Bench
from reedkin.store.transfer.drafts import is_of_file

MOST_AT_ONCE = 240
"""Minutes of a playing that nobody would ask about, so a reed's hours in all are written as several."""


def shares(minutes: int, held: int) -> list[int]:
    """The minutes of each playing. Where the log holds more playings (`held`) than are needed, since there once were
    more hours, all of them share what there is now: their sum is what the sheet says."""
    needed = -(-minutes // MOST_AT_ONCE)
    there = min(held, minutes)
    if there <= needed:
        return [min(MOST_AT_ONCE, minutes - part * MOST_AT_ONCE) for part in range(needed)]
    each, left = divmod(minutes, there)
    return [each + (part < left) for part in range(there)]


def held_by(bench: Bench, tag: str, of_part: Callable[[int], datetime]) -> int:
    """How many playings of a total the log holds by an earlier import; `of_part` tells when each of them stands."""
    played = {
        step.event.at.replace(tzinfo=None)
        for reed in bench.tags.bearers(tag)
        for step in bench.reed(reed).of_kind("played")
        if is_of_file(step.event)
    }
    return next(part for part in count() if of_part(part) not in played)
