"""The standing events of a log as CSV or JSON Lines, in the order of time."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping

import msgspec

from reedkin.bench.bench import Bench
from reedkin.domain.reeds import Reed
from reedkin.store.transfer.cells import cell
from reedkin.store.transfer.rows import COLUMNS, Row, row_of

CSV, JSONL = FORMATS = ("csv", "jsonl")


def rows(reeds: Iterable[Reed], bench: Bench) -> Iterator[Row]:
    """Every standing event of the reeds as it stands, the earliest first."""
    steps = [(step.at, step.event.uid, reed, step) for reed in reeds for step in reed.standing]
    for _, _, reed, step in sorted(steps, key=lambda found: found[:2]):
        yield row_of(reed, step, bench.sessions.of(step.session))


def _csv_lines(rows: Iterable[Row]) -> Iterator[str]:
    yield ",".join(COLUMNS) + "\r\n"
    for row in rows:
        yield ",".join([cell(row.get(name)) for name in COLUMNS]) + "\r\n"


def _json_lines(rows: Iterable[Row]) -> Iterator[str]:
    for row in rows:
        yield msgspec.json.encode(row).decode() + "\n"


_LINES: Mapping[str, Callable[[Iterable[Row]], Iterator[str]]] = {CSV: _csv_lines, JSONL: _json_lines}


def export_lines(reeds: Iterable[Reed], bench: Bench, form: str) -> Iterator[str]:
    """The lines of an export in one of `FORMATS`, each with its end. All reeds are `bench.reeds()`."""
    return _LINES[form](rows(reeds, bench))


def reeds_as_text(reeds: Iterable[Reed], bench: Bench, form: str) -> str:
    """An export as one text."""
    return "".join(export_lines(reeds, bench, form))
