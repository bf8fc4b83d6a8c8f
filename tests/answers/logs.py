"""Logs for the tests: rows in the import form, made into a bench held in memory."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import UTC, datetime, timedelta
from typing import Any

from reedkin.bench.bench import Bench
from reedkin.domain.clock import FixedClock
from reedkin.domain.events import Event, Record, Statement
from reedkin.domain.facts import BEGINNINGS
from reedkin.domain.reeds import Reed, fold

Row = Mapping[str, Any]
NOT_FACTS = {"tag", "kind", "at", "session", "uid", "note"}
BEGUN = datetime(2026, 1, 1, 10, tzinfo=UTC)
NOW = datetime(2026, 12, 1, 12, tzinfo=UTC)


def records(rows: Iterable[Row], sessions: Iterable[Row] = (), first: str = "u") -> list[Record]:
    """The records of rows in the import form, in order of time, and of the simulator's work sessions; their uids begin
    with `first`."""
    made: list[Record] = []
    reed_of: dict[str, str] = {}
    for number, row in enumerate(rows):
        uid, at = f"{first}{number:07d}", datetime.fromisoformat(row["at"])
        facts = {name: (value,) if name == "where" else value for name, value in row.items() if name not in NOT_FACTS}
        if row["kind"] in BEGINNINGS:
            reed_of[row["tag"]] = uid
        reed = reed_of[row["tag"]]
        made.append(Event(uid, reed, row["kind"], row["tag"], at, at, f"e{number}", facts, row.get("session")))
    for number, row in enumerate(sessions):
        at = datetime.fromisoformat(row["start"])
        names = {"start": "started", "end": "ended"}
        facts = {names.get(k, k): v for k, v in row.items() if k != "session" and v is not None}
        made.append(Statement(f"s{number:07d}", "sessions", row["session"], at, at, f"s{number}", facts))
    return made


def bench(rows: Iterable[Row], sessions: Iterable[Row] = ()) -> Bench:
    """A bench that holds these rows."""
    return Bench.of(FixedClock(NOW), records(rows, sessions))


class Log:
    """Writes one reed's events, each so many minutes after the last, and folds them."""

    def __init__(self, tag: str = "1", kind: str = "tied", begun: datetime = BEGUN, **facts: Any) -> None:
        self.tag = tag
        self.at = begun
        self.rows: list[dict[str, Any]] = []
        self.add(kind, 0, **{"instrument": "oboe", **facts})

    def add(self, kind: str, after: float = 60, **facts: Any) -> Log:
        """An event, `after` minutes from the last one."""
        self.at += timedelta(minutes=after)
        self.rows.append({"tag": self.tag, "kind": kind, "at": self.at.isoformat(), **facts})
        return self

    def play(self, minutes: Any, after: float = 1440, **facts: Any) -> Log:
        """A playing taken up `after` minutes from the last event."""
        length = minutes if isinstance(minutes, (int, float)) else 0
        return self.add("played", after + length, minutes=minutes, **facts)

    def retire(self, cause: str | None = "worn", after: float = 5) -> Log:
        return self.add("retired", after, **({} if cause is None else {"cause": cause}))

    def reed(self) -> Reed:
        made = [record for record in records(self.rows, first=f"{self.tag}-") if isinstance(record, Event)]
        return fold(made[0].uid, made)
