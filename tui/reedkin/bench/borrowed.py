"""The way of a log into another thread and back: no thread reads the bench that the screen uses."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from reedkin.bench.bench import Bench


class Borrowed:
    """The log `of` as it is now, for another thread, while entries are recorded in it. `changes` is how often it had
    changed by then."""

    def __init__(self, of: Bench) -> None:
        self.of, self.changes = of, of.changes
        self._make = of.snapshot()
        self._read: Bench | None = None

    def bench(self) -> Bench:
        """For the other thread, once: a bench of its own."""
        self._read = self._make()
        return self._read

    def give_back(self) -> bool:
        """In the thread of the log: keep there the lineages that were read. False if something was recorded since, and
        what was found out is out of date."""
        if self._read is None or self.changes != self.of.changes:
            return False
        self.of.take_over(self._read)
        return True
