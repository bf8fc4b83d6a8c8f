"""A log as CSV or JSON Lines: its standing events in the order of time, or all its records as they were written."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

import msgspec

from reedkin.bench.bench import Bench
from reedkin.domain.reeds import Reed
from reedkin.store.transfer.cells import cell
from reedkin.store.transfer.rows import COLUMNS, WHOLE_COLUMNS, Row, row_of
from reedkin.store.transfer.whole import Document, whole_row

CSV, JSONL = FORMATS = ("csv", "jsonl")


def rows(reeds: Iterable[Reed], bench: Bench) -> Iterator[Row]:
    """Every standing event of the reeds as it stands, the earliest first."""
    steps = [(step.at, step.event.uid, reed, step) for reed in reeds for step in reed.standing]
    for _, _, reed, step in sorted(steps, key=lambda found: found[:2]):
        yield row_of(reed, step, bench.sessions.of(step.session))


def _csv_lines(rows: Iterable[Row], columns: Sequence[str]) -> Iterator[str]:
    yield ",".join(columns) + "\r\n"
    for row in rows:
        yield ",".join([cell(row.get(name)) for name in columns]) + "\r\n"


def _json_lines(rows: Iterable[Row], columns: Sequence[str]) -> Iterator[str]:
    for row in rows:
        yield msgspec.json.encode({name: row[name] for name in columns if name in row}).decode() + "\n"


_LINES: Mapping[str, Callable[[Iterable[Row], Sequence[str]], Iterator[str]]] = {CSV: _csv_lines, JSONL: _json_lines}


def export_lines(reeds: Iterable[Reed], bench: Bench, form: str) -> Iterator[str]:
    """The lines of an export in one of `FORMATS`, each with its end. All reeds are `bench.reeds()`."""
    return _LINES[form](rows(reeds, bench), COLUMNS)


def whole_lines(documents: Iterable[tuple[str, str, Document]], form: str) -> Iterator[str]:
    """The lines of an export of a whole log, from all its documents, each with its table and uid."""
    every = (whole_row(*one) for one in documents)
    if form == CSV:
        every = ({**row, "more": _as_text(row.get("more"))} for row in every)
    return _LINES[form](every, (*COLUMNS, *WHOLE_COLUMNS))


def _as_text(more: object) -> str | None:
    return None if more is None else msgspec.json.encode(more).decode()


def reeds_as_text(reeds: Iterable[Reed], bench: Bench, form: str) -> str:
    """An export as one text."""
    return "".join(export_lines(reeds, bench, form))
