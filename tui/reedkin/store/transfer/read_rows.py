"""Reading a file of events: CSV (comma, semicolon or tab), in UTF-8 or Latin-1, or JSON Lines."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import chain
from typing import BinaryIO, Protocol

import msgspec

from reedkin.errors import InputError
from reedkin.store.reading.lines import BOM, FORMAT, MAX_LINE
from reedkin.store.transfer.cells import restored
from reedkin.store.transfer.mapping import ColumnMap, Target, unknown_column
from reedkin.store.transfer.rows import KNOWN_COLUMNS, REQUIRED, NumberedRow, RowFinding
from reedkin.store.transfer.sheets.sheet import MOST_COLUMNS, is_latin, latin_text, refuse_workbook

_UTF_16 = (b"\xff\xfe", b"\xfe\xff")
_DELIMITERS = ",;\t"
_LOOKED_AT = 40
"""Bytes."""
MAX_FILE = 1 << 30
"""Bytes of a file that is taken into memory."""
MAX_LINES = 5_000_000
"""Its lines: short ones take far more memory than their bytes. Forty years of a busy maker are a tenth of that."""


class _CsvLines(Protocol):
    """What `csv.reader` gives: rows, and the lines read so far."""

    @property
    def line_num(self) -> int: ...

    def __next__(self) -> list[str]: ...


Rows = Iterator[NumberedRow | RowFinding]
"""The rows of a file in its order, with the faults of its form between them."""


def lines_of(file: BinaryIO, progress: Callable[[int], None] | None = None) -> list[bytes]:
    """The lines of a file; `progress` is told the bytes of each. Raises InputError for what can hold no events."""
    lines: list[bytes] = []
    size = 0
    while line := file.readline(MAX_LINE + 1):
        size += len(line)
        if len(line) > MAX_LINE:
            raise _too_large(f"a line of more than {MAX_LINE} bytes")
        if size > MAX_FILE:
            raise _too_large(f"more than {MAX_FILE} bytes")
        if len(lines) == MAX_LINES:
            raise _too_large(f"more than {MAX_LINES} lines")
        if not lines:
            refuse_workbook(line)
            if form := _utf_16(line):
                return _of_utf_16(line + file.read(MAX_FILE), form)
            line = line.removeprefix(BOM)
        lines.append(line)
        if progress is not None:
            progress(len(line))
    # Some programs still end lines with nothing but a carriage return.
    return lines[0].splitlines(keepends=True) if len(lines) == 1 else lines


def _too_large(what: str) -> InputError:
    return InputError(f"The file has {what}. Is it a file of events?")


def _utf_16(begins: bytes) -> str:
    """The form of UTF-16 that a file begins in; empty where it is none. Without a mark every other byte of plain
    letters is nothing."""
    if begins.startswith(_UTF_16):
        return "utf-16"
    plain = begins[: len(begins) // 2 * 2][:_LOOKED_AT]
    if len(plain) > 2 and not any(plain[1::2]) and all(plain[::2]):
        return "utf-16-le"
    return "utf-16-be" if len(plain) > 2 and not any(plain[::2]) and all(plain[1::2]) else ""


def _of_utf_16(content: bytes, form: str) -> list[bytes]:
    """The lines of a file in UTF-16, as spreadsheet programs write "Unicode text". Raises InputError."""
    try:
        return [line.encode() for line in io.StringIO(content.decode(form), newline="")]
    except UnicodeError as error:
        raise InputError(f"The file begins as UTF-16 does and is damaged: {error}. Save it as UTF-8.") from error


def is_of_ours(lines: Sequence[bytes]) -> bool:
    """Whether lines are JSON Lines, or a table with the headings of an export; else they are a spreadsheet."""
    first = next((line for line in lines if line.strip()), b"")
    if first.lstrip()[:1] in (b"{", b"[") or not first:
        return True
    heading = first.decode("utf-8", "replace")
    names = {name.strip().strip('"').lower() for name in heading.split(max(_DELIMITERS, key=heading.count))}
    return names.issuperset(REQUIRED)


def rows_of(lines: Sequence[bytes], mapping: ColumnMap) -> Rows:
    """The rows in the lines of a file, with columns and words turned into ours by `mapping`. Raises InputError if it is
    none of ours."""
    start = next((line.lstrip()[:1] for line in lines if line.strip()), b"")
    if start == b"[":
        raise InputError("The file is one JSON list. Write one object a line (JSON Lines), then import it.")
    return _json_rows(lines, mapping) if start == b"{" else _csv_rows(lines, mapping)


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


def _csv_rows(lines: Sequence[bytes], mapping: ColumnMap) -> Rows:
    bad: list[int] = []
    text = map(latin_text, lines) if is_latin(lines) else _decoded(lines, bad)
    skipped, heading = next(((n, line) for n, line in enumerate(text) if line.strip()), (0, None))
    if heading is None:
        return  # a file without events, such as the export of an empty log
    delimiter = max(_DELIMITERS, key=heading.count)
    csv.field_size_limit(MAX_LINE)
    reader = csv.reader(chain((heading,), text), delimiter=delimiter, strict=True)
    try:
        headings = next(reader)
        if len(headings) > MOST_COLUMNS:
            raise InputError(f"The file has {len(headings)} columns: no file of events has so many.")
        targets = [mapping.target(name) for name in headings]
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
    names = Counter(target.column for target in targets if target.column)
    for name in REQUIRED:
        if name not in names and name not in mapping.filled:
            yield f"there is no column {name}; name it so in the first line, or map yours with --map 'yours={name}'"
    yield from (f"the column {name} is there {count} times" for name, count in names.items() if count > 1)
