"""What the maker writes down: event rows in the import form, and her work sessions, in order of time."""

from __future__ import annotations

from random import Random
from typing import Any

from demo_logs.maker.reed import SimReed
from demo_logs.maker.town import DAY, iso
from demo_logs.maker.trade import NOTES

Row = dict[str, Any]

NOTE_SHARE = 0.05


class Diary:
    """Rows and sessions as they come. `now` only moves forward, so that no two events share a minute."""

    def __init__(self, words: Random, gaps: float) -> None:
        self.rows: list[Row] = []
        self.sessions: list[Row] = []
        self.now = 0
        self._session: Row | None = None
        self._words = words
        self._gaps = gaps

    @property
    def day(self) -> int:
        return self.now // DAY

    @property
    def minute(self) -> int:
        """Minutes of the day that are gone."""
        return self.now % DAY

    def wait_until(self, time: int) -> None:
        self.now = max(self.now, time)

    def write(self, reed: SimReed, kind: str, after: int, remarks: str = "", **facts: Any) -> None:
        """Write one event, `after` minutes (at least 1) from the last. A fact that is None or '' was not noted.

        Now and then she adds a note, from the pool `remarks` of NOTES, by default that of the cause or the kind.
        """
        self.now += max(1, after)
        row: Row = {"tag": reed.tag, "kind": kind, "at": iso(self.now)}
        if self._session is not None:
            row["session"] = self._session["session"]
        for name, value in facts.items():
            if value is not None and value != "":
                row[name] = value
        if "note" not in row and self._words.random() < NOTE_SHARE:
            pool = NOTES.get(remarks or facts.get("cause") or kind)
            if pool:
                row["note"] = self._words.choice(pool)
        self.rows.append(row)

    def remark(self, reed: SimReed) -> None:
        """Write a remark about a reed and nothing else."""
        self.write(reed, "noted", 4, note=self._words.choice(NOTES["noted"]))

    def unless_forgotten(self, value: Any, share: float = 1.0) -> Any:
        """The value, or now and then None: a fact that she did not note. `share` scales how often."""
        return None if self._words.random() < self._gaps * share else value

    def open_session(self, room: float, humidity: int, fresh: bool) -> None:
        self.now += 1
        self._session = {
            "session": f"s{len(self.sessions) + 1}",
            "start": iso(self.now),
            "end": None,
            "room_c": self.unless_forgotten(room),
            "humidity_pct": self.unless_forgotten(humidity),
            "knife_fresh": fresh,
        }
        self.sessions.append(self._session)

    def close_session(self, forgotten: bool) -> None:
        """End the session; `forgotten`: she went to bed and never ended it."""
        assert self._session is not None
        self.now += 3
        if not forgotten:
            self._session["end"] = iso(self.now)
        self._session = None
