"""Work sessions: each sitting at the bench, as it was said to begin and to end."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import NamedTuple

from reedkin.bench.beside import Beside

SESSIONS = "sessions"
"""The table of the work sessions."""


class WorkSession(NamedTuple):
    """One sitting at the bench. Temperature in degrees Celsius, relative humidity in %."""

    uid: str
    started: datetime
    ended: datetime | None = None
    room_c: float | None = None
    humidity_pct: float | None = None
    knife_fresh: bool | None = None


class WorkSessions:
    """The sittings that a log tells of."""

    def __init__(self, beside: Beside) -> None:
        self._beside = beside

    def of(self, uid: str | None) -> WorkSession | None:
        """The work session with this uid."""
        facts = self._beside.subjects(SESSIONS).get(uid or "")
        if facts is None or uid is None or "started" not in facts:
            return None
        ended = facts.get("ended")
        return WorkSession(
            uid,
            datetime.fromisoformat(str(facts["started"])),
            datetime.fromisoformat(str(ended)) if ended else None,
            facts.get("room_c"),  # type: ignore[arg-type]
            facts.get("humidity_pct"),  # type: ignore[arg-type]
            facts.get("knife_fresh"),  # type: ignore[arg-type]
        )

    def open(self) -> WorkSession | None:
        """The work session that has been started and not ended; the latest, if several were left open."""
        session = next(self.latest_first(), None)
        return session if session is not None and session.ended is None else None

    def latest_first(self) -> Iterator[WorkSession]:
        """The work sessions from the one that was written down last on."""
        told = map(self.of, reversed(self._beside.subjects(SESSIONS)))
        return (session for session in told if session is not None)
