"""A bench at which entry lines are typed, for the tests of the domain."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone

from reedkin.bench.bench import Bench
from reedkin.domain.clock import FixedClock
from reedkin.domain.events import Record
from reedkin.domain.reeds import Reed
from reedkin.domain.uid import UidMaker
from reedkin.grammar.reading import Reading, ReedAction, read
from reedkin.grammar.recording import to_records

NOW = datetime(2026, 11, 25, 10, 7, tzinfo=timezone(timedelta(hours=1)))
"""A Wednesday."""


class Maker:
    """Types lines, one a minute, with the reed that was begun last in hand unless another is taken."""

    def __init__(self, *lines: str, now: datetime = NOW) -> None:
        self.clock = FixedClock(now)
        self.bench = Bench.of(self.clock)
        self.uids = UidMaker()
        self._hand: str | None = None
        self.type(*lines)

    @property
    def hand(self) -> Reed | None:
        return self.bench.reed(self._hand) if self._hand is not None else None

    def take(self, tag: str) -> None:
        self._hand = self.reed(tag).id

    def reed(self, tag: str) -> Reed:
        found = self.bench.find(tag)
        assert found is not None, f"there is no reed {tag}"
        return found

    def read(self, line: str, minutes: int | None = None) -> Reading:
        return read(line, self.bench, self.hand, minutes)

    def type(self, *lines: str) -> list[Record]:
        """Record lines, saying yes to every question."""
        records: list[Record] = []
        for line in lines:
            reading = self.read(line)
            assert reading.ready, (line, [p.message for p in reading.errors])
            session = self.bench.sessions.open()
            new = to_records(reading, self.uids, self.clock.now(), session.uid if session else None)
            self.bench.add(new)
            records += new
            begun = [a.tag for a in reading.actions if isinstance(a, ReedAction) and a.before is None]
            if begun:
                self.take(begun[-1])
            self.clock.forward(minutes=1)
        return records

    def action(self, line: str, minutes: int | None = None) -> ReedAction:
        """The one event that a line would record."""
        reading = self.read(line, minutes)
        assert reading.ready, (line, [p.message for p in reading.errors])
        (action,) = reading.actions
        assert isinstance(action, ReedAction)
        return action

    def error(self, line: str) -> tuple[str, str]:
        """The first error of a line: the words it points at, and what it says."""
        reading = self.read(line)
        assert reading.errors, (line, reading.actions)
        first = reading.errors[0]
        return line[first.start : first.end], first.message

    def question(self, line: str) -> tuple[str, str]:
        """The first question of a line without errors."""
        reading = self.read(line)
        assert reading.ready, (line, [p.message for p in reading.errors])
        assert reading.questions, line
        first = reading.questions[0]
        return line[first.start : first.end], first.message
