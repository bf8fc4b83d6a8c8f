"""Records by hand, and the parts of a bench wired to as few others as they need."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

from reedkin.bench.bearers import Bearers
from reedkin.bench.headings import Heading, Headings
from reedkin.bench.lineages import Lineages
from reedkin.bench.whereabouts import Whereabouts
from reedkin.domain.events import Event, Record, Statement, Strike
from reedkin.domain.facts import Value

DAY_ONE = datetime(2026, 3, 2, 9, tzinfo=UTC)


def event(number: int, reed: str, kind: str, tag: str = "1", **facts: Value) -> Event:
    """An event of the reed that was begun by the event with the uid `reed`, `number` minutes into the first day."""
    at = DAY_ONE + timedelta(minutes=number)
    return Event(f"u{number:03d}", reed, kind, tag, at, at, f"e{number}", facts)


def said(number: int, table: str, subject: str, **facts: Value) -> Statement:
    at = DAY_ONE + timedelta(minutes=number)
    return Statement(f"u{number:03d}", table, subject, at, at, f"e{number}", facts)


def strike(number: int, table: str, of: str) -> Strike:
    return Strike(f"u{number:03d}", table, of, DAY_ONE + timedelta(minutes=number), f"e{number}")


def heading(number: int, tag: str = "1", over: bool = False, void: bool = False, **facts: Value) -> Heading:
    """The heading of a reed that was begun `number` minutes into the first day."""
    return Heading(f"u{number:03d}", tag, DAY_ONE + timedelta(minutes=number), facts, over=over, void=void)


class Parts:
    """Headings, bearers, lineages and whereabouts of these lineages, and which of them were read."""

    def __init__(self, *lineages: Sequence[Event], over: Sequence[str] = ()) -> None:
        self.read: Counter[str] = Counter()
        self._records = {events[0].reed: events for events in lineages}
        self.headings, self.bearers = Headings(), Bearers()
        self.lineages = Lineages(self._lineage, self.headings, self.bearers)
        self.whereabouts = Whereabouts(self.headings, self.lineages)
        for first, *_ in lineages:
            head = Heading(first.reed, first.tag, first.at, first.facts, over=first.reed in over)
            self.headings.put(head)
            self.bearers.put(head.tag, head.at, head.reed)
            self.whereabouts.put(head)

    def _lineage(self, reed: str) -> Sequence[Record]:
        self.read[reed] += 1
        return self._records[reed]
