"""Following a log that another program writes: what a reader learns when it looks again."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from reedkin.domain.clock import Clock
from reedkin.store.backups.shortfall import note_shortfall
from reedkin.store.disk.calls import Disk
from reedkin.store.disk.logfile import open_for_reading
from reedkin.store.reading.holding import Holding


@dataclass(frozen=True)
class News:
    """What a look found: the tables that got lines, and whether the whole log had to be read again; else `lines` are
    those that each of them got, without their seals."""

    tables: frozenset[str] = frozenset()
    reloaded: bool = False
    lines: Mapping[str, tuple[bytes, ...]] = field(default_factory=dict, compare=False)

    @classmethod
    def of(cls, held: Holding) -> News:
        """What the latest reading of a log has found."""
        lines = {table: tuple(held.shelf.lines[table][had:]) for table, had in held.reader.touched.items()}
        return cls(frozenset(lines), lines=lines)

    def and_then(self, later: News) -> News:
        """These and what a later look found, as one."""
        both = self.tables | later.tables
        lines = {name: (*self.lines.get(name, ()), *later.lines.get(name, ())) for name in both}
        return News(both, self.reloaded or later.reloaded, lines)

    def __bool__(self) -> bool:
        return self.reloaded or bool(self.tables)


class Follower:
    """A log open for reading only; `holding` is what it held at the last look. Raises the LogErrors of reading."""

    def __init__(self, path: Path, disk: Disk, clock: Clock) -> None:
        self._path, self._clock = path, clock
        self._disk = disk
        self.holding = self._opened()

    def _opened(self) -> Holding:
        fd = open_for_reading(self._path, self._disk)
        try:
            held = Holding(self._path, self._disk, fd)
            note_shortfall(held, self._disk, self._clock.now())
            return held
        except BaseException:
            os.close(fd)
            raise

    def look(self) -> News:
        """Take in what was recorded since. If the file was replaced or cut, it is read again from the start; where that
        cannot be, what was read last can still be asked for."""
        if self.holding.was_replaced():
            before, self.holding = self.holding, self._opened()
            os.close(before.fd)
            return News(frozenset(self.holding.shelf.names()), reloaded=True)
        self.holding.read()
        return News.of(self.holding)

    def close(self) -> None:
        os.close(self.holding.fd)
