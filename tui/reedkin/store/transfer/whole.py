"""A whole log as rows: every record as it was written, corrections and what was said beside the reeds among them, so
that an export and an import can stand for the log itself.

A row has the usual columns, and besides them `recorded`, `entry`, `of` (what a correction is of), and, of what is
beside the reeds, `table` and `subject`. Whatever of a document the columns cannot give back exactly stands in `more`,
as JSON.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import msgspec

from reedkin.domain.events import REED_TABLE, reed_table
from reedkin.domain.uid import is_uid
from reedkin.errors import InputError
from reedkin.store.reading.records import from_document
from reedkin.store.transfer.cells import cell as cell_of
from reedkin.store.transfer.cells import restored
from reedkin.store.transfer.rows import (
    FACT_COLUMNS,
    REED_COLUMN,
    NumberedRow,
    Row,
    RowFinding,
    as_cells,
    fact_of,
    is_empty,
)

Document = Mapping[str, Any]
_FIELDS = ("tag", "kind", "at", "session", "note", "recorded", "entry", "of", "subject")
_LEFT_OUT = object()


def is_whole(rows: Iterable[NumberedRow | RowFinding]) -> bool:
    """Whether rows are those of a whole log."""
    first = next((row for row in rows if isinstance(row, NumberedRow)), None)
    return first is not None and not (is_empty(first.row.get("recorded")) or is_empty(first.row.get("entry")))


def whole_row(table: str, uid: str, document: Document) -> dict[str, object]:
    """The row of a document."""
    row = {"uid": uid, **_where(table)}
    fields = {name: document[name] for name in _FIELDS if _is_text(document.get(name))}
    rest = {name: value for name, value in document.items() if name not in fields}
    facts = rest.pop("facts", _LEFT_OUT)
    if isinstance(facts, dict):
        columns = {name: value for name, value in facts.items() if _survives(name, value)}
        row |= as_cells({name: tuple(v) if isinstance(v, list) else v for name, v in columns.items()})
        further = {name: value for name, value in facts.items() if name not in columns}
        if further or not columns:
            rest["facts"] = further
    elif facts is not _LEFT_OUT:
        rest["facts"] = facts
    row |= fields
    if rest:
        row["more"] = rest
    return row


def _where(table: str) -> dict[str, object]:
    reed = table.removeprefix(REED_TABLE)
    return {REED_COLUMN: reed} if table.startswith(REED_TABLE) and not is_empty(reed) else {"table": table}


def _is_text(value: object) -> bool:
    return isinstance(value, str) and value == value.strip() != ""


def _survives(name: str, value: object) -> bool:
    """Whether a value can be had back from its cell, in JSON and in CSV."""
    if name not in FACT_COLUMNS or name in _FIELDS:
        return False
    written = ", ".join(map(str, value)) if isinstance(value, list) else value
    if is_empty(written):
        return False
    try:
        back = [fact_of(name, form) for form in (written, _through_csv(written))]
    except InputError:
        return False
    given = tuple(value) if isinstance(value, list) else value
    return all(one == given and isinstance(one, bool) == isinstance(given, bool) for one in back)


def _through_csv(value: object) -> str:
    text = cell_of(value)
    return restored(text[1:-1].replace('""', '"') if text.startswith('"') else text)


def document_of(row: Row) -> tuple[str, str, Document]:
    """The table, the uid and the document of a row of a whole log. Raises InputError for what is none."""
    uid, table = str(row.get("uid") or ""), str(row.get("table") or "")
    if not is_empty(row.get(REED_COLUMN)):
        table = reed_table(str(row[REED_COLUMN]))
    rest = _rest(row.get("more", {}))
    has_facts, further = "facts" in rest, rest.pop("facts", {})
    document: dict[str, Any] = {name: str(row[name]) for name in _FIELDS if not is_empty(row.get(name))}
    columns = [name for name in FACT_COLUMNS if name not in _FIELDS and not is_empty(row.get(name))]
    facts = {name: _as_kept(fact_of(name, row[name])) for name in columns}
    if facts or has_facts:
        document["facts"] = {**facts, **further} if isinstance(further, dict) else further
    document |= rest
    if not is_uid(uid) or not is_uid(str(document.get("entry", ""))):
        raise InputError("its uid, or that of its entry, is none of ours")
    try:
        from_document(table, uid, document)
    except ValueError as problem:
        raise InputError(f"not a record that this version knows ({problem})") from problem
    return table, uid, document


def _rest(more: object) -> dict[str, Any]:
    """What stands in `more`. Raises InputError."""
    try:
        rest = msgspec.json.decode(more) if isinstance(more, str) else more
    except (ValueError, RecursionError) as error:
        raise InputError(f"more is not JSON: {error}") from error
    if not isinstance(rest, dict):
        raise InputError("more is not an object with names and values")
    return dict(rest)


def _as_kept(value: object) -> object:
    return list(value) if isinstance(value, tuple) else value


def documents_of(
    rows: Iterable[NumberedRow | RowFinding],
) -> tuple[dict[str, dict[str, Document]], list[RowFinding]]:
    """The documents of the rows of a whole log, by table and uid, and what is wrong with rows."""
    tables: dict[str, dict[str, Document]] = {}
    faults = []
    for row in rows:
        if isinstance(row, RowFinding):
            faults.append(row)
            continue
        try:
            table, uid, document = document_of(row.row)
        except InputError as error:
            faults.append(RowFinding(row.line, str(error)))
            continue
        if tables.setdefault(table, {}).setdefault(uid, document) != document:
            faults.append(RowFinding(row.line, "its uid stands in an earlier line, with other content"))
    return tables, faults
