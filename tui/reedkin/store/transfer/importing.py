"""From rows to records: everything judged, and all the faults of a file at once."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from reedkin.bench.bench import Bench
from reedkin.bench.sessions import SESSIONS
from reedkin.domain.clock import Clock
from reedkin.domain.events import Amendment, Event, Record, Statement
from reedkin.domain.facts import Value, begins
from reedkin.domain.reeds import Step
from reedkin.domain.uid import UidMaker
from reedkin.errors import InputError
from reedkin.store.transfer.drafts import Draft, draft_of, give_uids
from reedkin.store.transfer.lineages import Answer, Placement, place
from reedkin.store.transfer.rows import NumberedRow, Row, RowFinding
from reedkin.store.transfer.sessions import Sessions


@dataclass(frozen=True, slots=True)
class ImportPlan:
    """What an import would record. With faults there is nothing to record: it is all or nothing."""

    records: tuple[Record, ...]
    faults: tuple[RowFinding, ...] = ()
    questions: tuple[RowFinding, ...] = ()
    changed: tuple[RowFinding, ...] = ()
    """Rows that say something else of an event that the log holds. While nobody has said what is to become of them
    there is nothing to record."""
    gone: tuple[Step, ...] = ()
    """Events that the same file gave before, on days that it still speaks of, and gives no more; they stay."""
    repeated: int = 0
    """Rows that the log, or an earlier line, holds already; they are passed over."""
    struck: int = 0
    """Rows of events that were struck in the log, and stay so."""
    left: int = 0
    """Rows that say something else, and were passed over as asked."""

    @property
    def events(self) -> int:
        return sum(isinstance(record, Event) for record in self.records)

    @property
    def corrected(self) -> int:
        """Events and work sessions of the log that would say something else."""
        return sum(isinstance(record, Amendment) or _is_restated(record) for record in self.records)

    @property
    def reeds(self) -> int:
        """Reeds that it would begin."""
        return sum(isinstance(record, Event) and record.uid == record.reed for record in self.records)

    @property
    def sessions(self) -> int:
        """Work sessions that the log does not know."""
        return sum(isinstance(record, Statement) and not _is_restated(record) for record in self.records)


def _is_restated(record: Record) -> bool:
    """Whether a record says something anew of a work session that the log knows."""
    return isinstance(record, Statement) and "started" not in record.facts


def plan_import(
    rows: Iterable[NumberedRow | RowFinding],
    bench: Bench,
    uids: UidMaker,
    clock: Clock,
    answer: Answer | None = None,
) -> ImportPlan:
    """
    What the rows of a file would add to a log, as one entry and in the order of time. Rows that have no uid get one
    of their content, so that the same file imported twice adds nothing the second time. `answer` says what is to become
    of those that say something else of an event of the log.
    """
    return _plan(rows, Sessions(bench), bench, clock, uids.new(), uids, answer)


def rows_to_records(
    rows: Iterable[Row],
    clock: Clock,
    sessions: Iterable[Row] = (),
    bench: Bench | None = None,
    entry: str | None = None,
) -> list[Record]:
    """
    The records of rows in memory, in the order of time. `sessions` describes work sessions that the rows name:
    session, start, end, and the conditions. Without `entry` each record is an entry of its own, recorded when it
    happened, as if it had been typed at the bench; the same rows then give the same records. Raises InputError with
    every fault.
    """
    bench = Bench(clock) if bench is None else bench
    known = Sessions(bench)
    for number, session in enumerate(sessions, 1):
        known.add(number, {**session, "session_start": session.get("start"), "session_end": session.get("end")})
    plan = _plan((NumberedRow(number, row) for number, row in enumerate(rows, 1)), known, bench, clock, entry)
    if plan.faults:
        raise InputError("\n".join(f"row {fault.line}: {fault.message}" for fault in plan.faults))
    return list(plan.records)


def _plan(
    rows: Iterable[NumberedRow | RowFinding],
    sessions: Sessions,
    bench: Bench,
    clock: Clock,
    entry: str | None,
    uids: UidMaker | None = None,
    answer: Answer | None = None,
) -> ImportPlan:
    drafts, faults, spoiled = _drafts(rows, sessions, clock)
    give_uids(drafts)
    placement = place(drafts, bench, frozenset(spoiled), answer)
    faults += [*sessions.faults, *placement.faults]
    questions = [*placement.questions, *sessions.questions()]
    restated = list(sessions.corrected())
    if answer is None:
        placement.changed += [told for told, _, _ in restated]
    elif answer != "replace":
        placement.left += len(restated)
    recording = not faults and not placement.changed
    records = _records(placement, sessions, entry, clock.now(), uids or UidMaker()) if recording else []
    if recording and answer == "replace":
        records += _restated(restated, uids or UidMaker(), entry, clock.now())
    return ImportPlan(
        tuple(records), _by_line(faults), _by_line(questions), _by_line(placement.changed), tuple(placement.gone),
        placement.repeated, placement.struck, placement.left,
    )  # fmt: skip


def _drafts(
    rows: Iterable[NumberedRow | RowFinding], sessions: Sessions, clock: Clock
) -> tuple[list[Draft], list[RowFinding], set[str]]:
    """The rows that can be read, what is wrong with the others, and the tags of reeds whose beginning is not read."""
    drafts, faults, spoiled = [], [], set()
    for row in rows:
        if isinstance(row, RowFinding):
            faults.append(row)
            continue
        draft = draft_of(row, clock)
        if draft.faults:
            faults += [RowFinding(row.line, message) for message in draft.faults]
            if begins(draft.kind):
                spoiled.add(draft.tag.casefold())
            continue
        draft.session = sessions.of_row(row.line, row.row, draft.at)
        drafts.append(draft)
    return drafts, faults, spoiled


def _records(
    placement: Placement, sessions: Sessions, entry: str | None, now: datetime, uids: UidMaker
) -> list[Record]:
    names = sessions.uids()
    used = {draft.session for draft, _, _ in placement.placed if draft.corrects is None}
    records: list[Event | Amendment | Statement] = [*sessions.statements(used, entry, now)]
    for draft, reed, tag in placement.placed:
        recorded, of_entry = (draft.at, draft.uid) if entry is None else (now, entry)
        if draft.corrects is not None:
            of = draft.corrects.event.uid
            records.append(Amendment(uids.new(), reed, of, draft.at, recorded, of_entry, draft.facts, draft.note))
            continue
        session = names[draft.session] if draft.session is not None else None
        records.append(
            Event(draft.uid, reed, draft.kind, tag, draft.at, recorded, of_entry, draft.facts, session, draft.note)
        )
    records.sort(key=lambda record: (record.at, record.uid))
    return [*records]


def _restated(
    found: Iterable[tuple[RowFinding, str, dict[str, Value]]], uids: UidMaker, entry: str | None, now: datetime
) -> list[Record]:
    """What is said anew of work sessions of the log."""
    records: list[Record] = []
    for _, session, facts in found:
        uid = uids.new()
        records.append(Statement(uid, SESSIONS, session, now, now, entry or uid, facts))
    return records


def _by_line(findings: Iterable[RowFinding]) -> tuple[RowFinding, ...]:
    return tuple(sorted(dict.fromkeys(findings), key=lambda finding: finding.line))
