"""The work sessions that the rows of an import speak of."""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from reedkin.bench.bench import Bench
from reedkin.bench.sessions import SESSIONS
from reedkin.domain.events import Statement
from reedkin.domain.facts import FACTS, Value
from reedkin.domain.figures import moment_words
from reedkin.domain.uid import free_uid, is_uid, uid_of_content
from reedkin.errors import InputError
from reedkin.store.transfer.rows import SESSION_CONDITIONS, Row, RowFinding, fact_of, is_empty, moment_of, text_of

_LONGEST = timedelta(hours=24)


@dataclass(slots=True)
class _Session:
    """What the rows of one session say of it. `first` and `last` are the times of its events; `described` says that it
    was described by itself."""

    line: int
    described: bool = False
    first: datetime | None = None
    last: datetime | None = None
    started: datetime | None = None
    ended: datetime | None = None
    conditions: dict[str, Value] = field(default_factory=dict)

    @property
    def start(self) -> datetime:
        start = self.started or self.first
        assert start is not None
        return start

    def facts(self) -> dict[str, Value]:
        ended = self.ended if self.ended or self.started else self.last
        facts: dict[str, Value] = {"started": self.start.isoformat()}
        return facts | ({"ended": ended.isoformat()} if ended else {}) | self.conditions


class Sessions:
    """Gathers the sessions of an import, by the name that the rows give them."""

    def __init__(self, bench: Bench) -> None:
        self._bench = bench
        self._sessions: dict[str, _Session] = {}
        self.faults: list[RowFinding] = []

    def of_row(self, line: int, row: Row, at: datetime) -> str | None:
        """Take in what a row says of its session; returns the session's name, None if the row has none. Rows with a
        room's conditions and no session are of one session a day."""
        try:
            name = None if is_empty(row.get("session")) else text_of(row["session"], "session")
        except InputError as error:
            self.faults.append(RowFinding(line, str(error)))
            return None
        if name is None:
            if all(is_empty(row.get(condition)) for condition in SESSION_CONDITIONS):
                return None
            name = f"{at:%Y-%m-%d}"
        session = self._sessions.setdefault(name, _Session(line))
        session.first, session.last = min(session.first or at, at), max(session.last or at, at)
        self._take(session, line, row)
        return name

    def add(self, line: int, row: Row) -> None:
        """Take in a session that is described by itself, with its name under `session`, `session_start` and so on."""
        session = self._sessions.setdefault(text_of(row["session"], "session"), _Session(line, described=True))
        self._take(session, line, row)
        session.first = session.first or session.started

    def _take(self, session: _Session, line: int, row: Row) -> None:
        try:
            if session.started is None and not is_empty(start := row.get("session_start")):
                session.started = moment_of(start, self._bench.clock, "session_start")
            if session.ended is None and not is_empty(end := row.get("session_end")):
                session.ended = moment_of(end, self._bench.clock, "session_end")
            for name in SESSION_CONDITIONS:
                if name not in session.conditions and not is_empty(cell := row.get(name)):
                    value = fact_of(name, cell)
                    if why := FACTS[name].impossible(value):
                        raise InputError(why)
                    session.conditions[name] = value
        except InputError as error:
            self.faults.append(RowFinding(line, str(error)))

    def uids(self) -> dict[str, str]:
        """The uid of each session: its name where that is one, else one made of its start and its name."""
        return {name: _uid(name, session) for name, session in self._sessions.items()}

    def statements(self, used: Container[str | None], entry: str | None, recorded: datetime) -> list[Statement]:
        """What the log does not know yet of the sessions that are named in `used` or described by themselves, a
        statement each; without `entry` each is its own entry, recorded at the session's start."""
        known = self._bench.beside.subjects(SESSIONS)
        written = {record.uid for record in self._bench.beside.records()}  # what was taken back among them
        said = []
        for name, session in self._sessions.items():
            uid, start = _uid(name, session), session.start
            if uid not in known and (session.described or name in used):
                when, of_entry = (start, uid) if entry is None else (recorded, entry)
                of = free_uid(uid, written)
                said.append(Statement(of, SESSIONS, uid, start, when, of_entry, session.facts()))
        return said

    def corrected(self) -> Iterator[tuple[RowFinding, str, dict[str, Value]]]:
        """What the rows say of sessions of the log, and nobody did before: told, the session's uid, the facts."""
        known = self._bench.beside.subjects(SESSIONS)
        for name, session in self._sessions.items():
            uid = _uid(name, session) if session.first or session.started else ""
            if uid not in known:
                continue
            said = [one.facts for one in self._bench.beside.said(SESSIONS) if one.subject == uid]
            facts = {
                fact: value for fact, value in session.conditions.items() if all(one.get(fact) != value for one in said)
            }
            if facts:
                changes = "; ".join(
                    f"{FACTS[f].words} {_shown(f, known[uid])} → {FACTS[f].show(v)}" for f, v in facts.items()
                )
                yield RowFinding(session.line, f"work session of {moment_words(session.start)}: {changes}"), uid, facts

    def questions(self) -> Iterator[RowFinding]:
        """What is odd about the sessions."""
        for name, session in self._sessions.items():
            last = max(filter(None, (session.ended, session.last)), default=session.start)
            if last - session.start > _LONGEST:
                yield RowFinding(session.line, f"the session {name} lasts more than a day")
            if session.ended is not None and session.ended < session.start:
                yield RowFinding(session.line, f"the session {name} ends before it starts")


def _shown(fact: str, known: Mapping[str, Value]) -> str:
    return FACTS[fact].show(known[fact]) if fact in known else "none"


def _uid(name: str, session: _Session) -> str:
    if is_uid(name):
        return name
    return uid_of_content(max(0, round(session.start.timestamp() * 1000)), f"session {name}")
