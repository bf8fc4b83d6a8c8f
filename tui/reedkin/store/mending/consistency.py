"""What can be said against the records of a log that no lineage shows by itself: corrections that lead nowhere, one
identifier in two places, tables that this version does not know."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from reedkin.bench.audit import Remark
from reedkin.bench.bearers import TAGS_TABLE
from reedkin.domain.events import REED_TABLE, Amendment, Record, Strike
from reedkin.domain.facts import BESIDE
from reedkin.domain.figures import date_words
from reedkin.store.log import Log
from reedkin.store.reading.records import AMENDED, STRUCK


def consistency(log: Log) -> Iterator[Remark]:
    """All such remarks. Reads the whole log."""
    home: dict[str, str] = {}
    for table in log.tables:
        known = table.startswith(REED_TABLE) or table in (*BESIDE, TAGS_TABLE)
        if not known:
            yield _fault(log, table, f"Table {table} is not one that this version knows; it is kept and not shown")
        documents = log.documents(table)
        for uid in documents:
            if home.setdefault(uid, table) != table:
                yield _fault(log, table, f"{uid} is also a record of {_name(log, home[uid])}", uid)
        if not known or any(document.get("kind") in (AMENDED, STRUCK) for document in documents.values()):
            yield from _corrections(log, table, {record.uid: record for record in log.records(table)})


def _corrections(log: Log, table: str, records: Mapping[str, Record]) -> Iterator[Remark]:
    strikes = {uid: record for uid, record in records.items() if isinstance(record, Strike)}
    circling = _circling({uid: strike.of for uid, strike in strikes.items()})
    for uid, record in records.items():
        if isinstance(record, Strike):
            if record.of not in records and not table.startswith(REED_TABLE):  # those of reeds show in their lineages
                yield _fault(log, table, f"A strike of {date_words(record.recorded)} is of nothing in the log", uid)
            elif uid in circling:
                yield _fault(log, table, f"A strike of {date_words(record.recorded)} leads back to itself", uid)
        elif isinstance(record, Amendment) and isinstance(records.get(record.of), (Amendment, Strike)):
            yield _fault(log, table, f"An amendment of {date_words(record.recorded)} is of no event", uid)


def _circling(of: Mapping[str, str]) -> set[str]:
    """The strikes that lead back to themselves, given what each is of. Each is gone through once."""
    circling: set[str] = set()
    walk: dict[str, int] = {}
    """In which walk each was first met."""
    for number, start in enumerate(of):
        at = start
        while at in of and at not in walk:
            walk[at] = number
            at = of[at]
        if walk.get(at) == number:  # this walk met itself, and only now
            while at not in circling:
                circling.add(at)
                at = of[at]
    return circling


def _fault(log: Log, table: str, message: str, uid: str | None = None) -> Remark:
    reed = table.removeprefix(REED_TABLE)
    known = table.startswith(REED_TABLE) and reed in log.bench
    label = log.bench.reed(reed).label if known else None
    return Remark("impossible", message if known else f"{message} ({table})", label, uid)


def _name(log: Log, table: str) -> str:
    reed = table.removeprefix(REED_TABLE)
    return f"reed {log.bench.reed(reed).label}" if reed in log.bench else f"the table {table}"
