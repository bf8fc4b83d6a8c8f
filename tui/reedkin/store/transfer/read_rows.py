"""Reading a file of events: CSV (comma, semicolon or tab) or JSON Lines, in UTF-8, a row at a time."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterable, Iterator
from itertools import chain
from pathlib import Path
from typing import BinaryIO, Protocol

import msgspec

from reedkin.errors import InputError
from reedkin.store.lines import FORMAT, MAX_LINE
from reedkin.store.transfer.cells import restored
from reedkin.store.transfer.mapping import ColumnMap, Target, unknown_column
from reedkin.store.transfer.rows import KNOWN_COLUMNS, REQUIRED, NumberedRow, RowFinding

_BOM = b"\xef\xbb\xbf"
_OTHER_ENCODINGS = (b"\xff\xfe", b"\xfe\xff")
_DELIMITERS = ",;\t"


class _CsvLines(Protocol):
    """What `csv.reader` gives: rows, and the lines read so far."""

    @property
    def line_num(self) -> int: ...

    def __next__(self) -> list[str]: ...


Rows = Iterator[NumberedRow | RowFinding]
"""The rows of a file in its order, with the faults of its form between them."""


def read_file(path: Path, mapping: ColumnMap | None = None, progress: Callable[[int], None] | None = None) -> Rows:
    """
    The rows of a file, whose columns and words are turned into ours by `mapping`. `progress` is told the bytes of
    each line. Raises InputError if the file cannot be read or is none of ours.
    """
    try:
        with path.open("rb") as file:
            yield from read_rows(file, mapping or ColumnMap(), progress)
    except OSError as error:
        raise InputError(f"{path} cannot be read: {error.strerror or error}. Check its name.") from error


def read_rows(file: BinaryIO, mapping: ColumnMap, progress: Callable[[int], None] | None = None) -> Rows:
    """As `read_file`, from a file that is open."""
    lines = _lines(file, progress)
    begun = next(lines, b"")
    if begun.startswith(_OTHER_ENCODINGS):
        raise InputError("The file is in UTF-16. Save it as UTF-8, then import it.")
    lines = chain((begun.removeprefix(_BOM),), lines)
    # The first line that is not empty tells what the file is; the lines before it still count.
    before: list[bytes] = []
    for first in lines:
        before.append(first)
        if first.strip():
            break
    start = before[-1].lstrip()[:1] if before else b""
    if start == b"[":
        raise InputError("The file is one JSON list. Write one object a line (JSON Lines), then import it.")
    whole = chain(before, lines)
    return _json_rows(whole, mapping) if start == b"{" else _csv_rows(whole, mapping)


def _lines(file: BinaryIO, progress: Callable[[int], None] | None) -> Iterator[bytes]:
    while line := file.readline(MAX_LINE + 1):
        if len(line) > MAX_LINE:
            raise InputError(f"The file has a line of more than {MAX_LINE} bytes. Is it a file of events?")
        if progress is not None:
            progress(len(line))
        yield line


# JSON Lines


def _json_rows(lines: Iterable[bytes], mapping: ColumnMap) -> Rows:
    unknown: set[str] = set()
    for number, line in enumerate(lines, 1):
        if not line.strip():
            continue
        try:
            fields = msgspec.json.decode(line)
        except (ValueError, RecursionError) as error:
            yield RowFinding(number, f"not JSON: {error}")
            continue
        if not isinstance(fields, dict):
            yield RowFinding(number, "not an object with names and values")
        elif fields.get("format") == FORMAT:
            raise InputError("This file is a log, not a file of events. To unite it with yours: reedkin merge FILE")
        else:
            row = mapping.of_row(fields)
            new = [name for name in row if name not in KNOWN_COLUMNS and name not in unknown]
            unknown.update(new)  # said once
            yield from (RowFinding(number, unknown_column(name)) for name in new)
            yield NumberedRow(number, {name: cell for name, cell in row.items() if name in KNOWN_COLUMNS})


# CSV


def _csv_rows(lines: Iterable[bytes], mapping: ColumnMap) -> Rows:
    bad: list[int] = []
    text = _decoded(lines, bad)
    skipped, heading = next(((n, line) for n, line in enumerate(text) if line.strip()), (0, None))
    if heading is None:
        return  # a file without events, such as the export of an empty log
    delimiter = max(_DELIMITERS, key=heading.count)
    csv.field_size_limit(MAX_LINE)
    reader = csv.reader(chain((heading,), text), delimiter=delimiter, strict=True)
    try:
        targets = [mapping.target(name) for name in next(reader)]
    except csv.Error as error:
        raise InputError(f"The first line of the file is not CSV: {error}.") from error
    if faults := list(_heading_faults(targets, mapping)):
        yield from (RowFinding(skipped + 1, message) for message in faults)
        return
    yield from _body(reader, targets, mapping, skipped, bad)


def _body(reader: _CsvLines, targets: list[Target], mapping: ColumnMap, skipped: int, bad: list[int]) -> Rows:
    columns = frozenset(target.column for target in targets if target.column in KNOWN_COLUMNS)
    unknown = {target.column for target in targets if target.column and target.column not in KNOWN_COLUMNS}
    begins = skipped + reader.line_num + 1
    while True:
        try:
            cells = next(reader)
        except StopIteration:
            break
        except csv.Error as error:
            yield RowFinding(begins, f"not CSV: {error}")
            begins = skipped + reader.line_num + 1
            continue
        line, begins = begins, skipped + reader.line_num + 1
        yield from (RowFinding(number, "not UTF-8 text; save the file as UTF-8") for number in bad)
        bad.clear()
        if not any(cell.strip() for cell in cells):
            continue
        if len(cells) > len(targets):
            yield RowFinding(line, f"{len(cells)} cells, where the first line has {len(targets)}")
            continue
        row = mapping.row(zip(targets, map(restored, cells), strict=False))
        for name in unknown & row.keys():
            unknown.discard(name)  # said once
            yield RowFinding(line, unknown_column(name))
        yield NumberedRow(line, {name: cell for name, cell in row.items() if name in KNOWN_COLUMNS}, columns)


def _decoded(lines: Iterable[bytes], bad: list[int]) -> Iterator[str]:
    for number, line in enumerate(lines, 1):
        try:
            yield line.decode("utf-8")
        except UnicodeDecodeError:
            bad.append(number)
            yield line.decode("utf-8", "replace")


def _heading_faults(targets: list[Target], mapping: ColumnMap) -> Iterator[str]:
    names = [target.column for target in targets if target.column]
    for name in REQUIRED:
        if name not in names and name not in mapping.filled:
            yield f"there is no column {name}; name it so in the first line, or map yours with --map 'yours={name}'"
    for name in dict.fromkeys(names):
        if names.count(name) > 1:
            yield f"the column {name} is there {names.count(name)} times"
