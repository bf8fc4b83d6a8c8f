"""The cells of a spreadsheet as somebody keeps one: title lines above, headings in one line or two, units among them,
sums below; in UTF-8, or in Latin-1 as older programs write it."""

from __future__ import annotations

import csv
import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import chain
from statistics import multimode

from reedkin.domain.characters import plain_cell
from reedkin.domain.units import unit_named
from reedkin.errors import InputError
from reedkin.store.reading.lines import MAX_LINE
from reedkin.store.transfer.cells import restored
from reedkin.store.transfer.sheets.above import without_dittos
from reedkin.store.transfer.sheets.days import is_day, plain

MOST_COLUMNS = 1000
"""Nobody keeps more of a reed; a file with more is no spreadsheet of reeds."""
_DELIMITERS = ",;\t|"
_LOOKED_AT = 30
_LONGEST_VALUE, _LONGEST_HEADING = 40, 200
_MOST_HEADING_LINES = 3
"""What stands over several columns, their names, their units."""
_LONGEST_UNIT = 4
"""Letters of a unit that stands among names: "hours" is a name."""
_NUMBER = re.compile(r"[<>~≈]?\s*[+-]?\d+(?:[.,/]\d+)*\s*(?:[^\W\d_]{1,4}|\"|%|°C?)?\.?")
_UNIT = re.compile(r"(.*?)\s*(?:[(\[{]\s*(?:in\s+)?([^)\]}]*?)\s*[)\]}]|[,/]\s*([^\s,/]+))\s*")
_SUMS = ("total", "totals", "sum", "sums", "average", "mean", "median", "summe", "gesamt", "mittel", "mittelwert",
         "durchschnitt", "total general", "moyenne", "somme", "totale", "media", "suma", "promedio", "count",
         "anzahl")  # fmt: skip
_END = "\0"
"""A line put behind the last, which stands by itself unless something was left open before it."""
_PACKED, _OLD_BINARY = b"PK\x03\x04", b"\xd0\xcf\x11\xe0"


@dataclass(frozen=True, slots=True)
class ColumnHead:
    """What stands above a column: its name as it is written, and the unit it gives."""

    name: str
    unit: str = ""

    @property
    def key(self) -> str:
        """The name as a mapping has it."""
        return " ".join(self.name.lower().split())


@dataclass(frozen=True, slots=True)
class Sheet:
    """Headings, and the lines below them, each with its number and as many cells as there are headings. `passed` are
    the lines of sums and repeated headings."""

    headings: tuple[ColumnHead, ...]
    lines: tuple[tuple[int, tuple[str, ...]], ...]
    passed: tuple[int, ...] = ()
    latin: bool = False

    def column(self, place: int) -> list[str]:
        """The cells of a column that say something."""
        return [cells[place] for _, cells in self.lines if cells[place]]


def refuse_workbook(begins: bytes) -> None:
    """Raises InputError for a workbook that is no text."""
    if begins.startswith((_PACKED, _OLD_BINARY)):
        raise InputError(
            "This is a workbook (xlsx, ods or xls), which holds more than a table. In the spreadsheet program open the "
            "sheet with the reeds, choose File, Save as, the type “CSV” (UTF-8 where it asks), and import that file."
        )


def is_latin(lines: Iterable[bytes]) -> bool:
    """Whether lines are not UTF-8 and no other of them is: then they are Latin-1, as older programs write it. A file
    that is UTF-8 elsewhere is damaged."""
    bad = False
    for line in lines:
        if not line.isascii():
            try:
                line.decode()
            except UnicodeDecodeError:
                bad = True
            else:
                return False
    return bad


def latin_text(line: bytes) -> str:
    """A line in Latin-1, or in the Windows code page that is called so."""
    try:
        return line.decode("cp1252")
    except UnicodeDecodeError:
        return line.decode("latin-1")


def read_sheet(lines: Sequence[bytes]) -> Sheet:
    """The spreadsheet that lines hold. Raises InputError for what is none."""
    latin = is_latin(lines)
    text = [latin_text(line) if latin else line.decode("utf-8", "replace") for line in lines]
    rows = _cells(text)
    top, headings, first = _headings(rows)
    if len(headings) > MOST_COLUMNS:
        raise InputError(
            f"The file has {len(headings)} columns, which no spreadsheet of reeds has. Leave out the others."
        )
    above = {tuple(plain(cell) for cell in cells) for _, cells in top}
    begins = {next(filter(None, cells), "") for cells in above}
    body, passed = [], []
    for line, cells in rows[first:]:
        if not any(cells):
            continue
        first_said = plain(next(filter(None, cells))[:_LONGEST_HEADING])
        if first_said.rstrip(":") in _SUMS or (first_said in begins and tuple(map(plain, cells)) in above):
            passed.append(line)
            continue
        if any(cells[len(headings) :]):
            raise InputError(f"Line {line} has more cells than there are headings above. Give each column a heading.")
        body.append((line, tuple([*cells, *[""] * len(headings)][: len(headings)])))
    return Sheet(tuple(headings), without_dittos(body), tuple(passed), latin)


def _cells(text: Sequence[str]) -> list[tuple[int, list[str]]]:
    csv.field_size_limit(MAX_LINE)
    reader = csv.reader(chain(text, (_END,)), delimiter=_delimiter(text))
    rows, begins, ended = [], 1, False
    try:
        for cells in reader:
            ended = cells == [_END]
            stripped = _trimmed([plain_cell(restored(cell).strip()) for cell in cells])
            if len(stripped) > MOST_COLUMNS:
                raise InputError(f"Line {begins} has {len(stripped)} columns: no spreadsheet of reeds has so many.")
            rows.append((begins, stripped))
            begins = reader.line_num + 1
    except csv.Error as error:
        raise InputError(f"Line {begins} is not CSV: {error}.") from error
    if not ended:
        raise InputError(
            f"In line {rows[-1][0]} begins a quotation that ends nowhere. Write a quotation mark where it is to end."
        )
    return rows[:-1]


def _delimiter(text: Sequence[str]) -> str:
    """What parts the cells: the sign that most lines have equally often."""
    lines = [line for line in text if line.strip()][:_LOOKED_AT]

    def fit(sign: str) -> tuple[int, int]:
        counts = Counter(count for line in lines if (count := line.count(sign)))
        return max(((lines, count) for count, lines in counts.items()), default=(0, 0))

    return max(_DELIMITERS, key=fit)


def _headings(rows: Sequence[tuple[int, list[str]]]) -> tuple[list[tuple[int, list[str]]], list[ColumnHead], int]:
    """The lines that the headings stand in, the headings, and the place of the first line below them."""
    filled = [place for place, (_, cells) in enumerate(rows) if any(cells)]
    if not filled:
        return [], [], 0
    widths = [sum(map(bool, rows[place][1])) for place in filled[:_LOOKED_AT]]
    usual = max(multimode(widths))
    start = next(place for place, width in zip(filled, widths, strict=False) if width > 1 or width == usual)
    top, first = [rows[start]], start + 1
    while len(top) < _MOST_HEADING_LINES and _is_heading(rows, first):
        top.append(rows[first])
        first += 1
    if len(top) == 1 and _is_data(rows[start][1]):
        raise InputError(
            "The first line has values where headings should stand. Write above each column what it holds."
        )
    headings = [_heading(cell) for cell in _trimmed(top[0][1])]
    for _, cells in top[1:]:
        headings = _joined([heading.name for heading in headings], cells)
    return top, _apart(headings), first


def _is_heading(rows: Sequence[tuple[int, list[str]]], place: int) -> bool:
    """Whether a line under headings is a further one: it has no value, and those below it have."""
    if place >= len(rows) or not any(rows[place][1]) or any(map(_is_value, rows[place][1])):
        return False
    return any(_is_value(cell) for _, cells in rows[place + 1 : place + 6] for cell in cells)


def _apart(headings: Sequence[ColumnHead]) -> list[ColumnHead]:
    """Headings with a name each: where one is empty or there twice, it has its place."""
    seen: set[str] = set()
    named = []
    for place, heading in enumerate(headings, 1):
        if not heading.name:
            heading = ColumnHead(f"column {place}", heading.unit)
        elif heading.key in seen:
            heading = ColumnHead(f"{heading.name} ({place})", heading.unit)
        seen.add(heading.key)
        named.append(heading)
    return named


def _trimmed(cells: Sequence[str]) -> list[str]:
    """Without the empty cells at the end."""
    last = max((place for place, cell in enumerate(cells) if cell), default=-1)
    return list(cells[: last + 1])


def _is_value(cell: str) -> bool:
    return 0 < len(cell) <= _LONGEST_VALUE and (_NUMBER.fullmatch(cell) is not None or is_day(cell))


def _is_data(cells: Sequence[str]) -> bool:
    return sum(map(_is_value, cells)) * 2 >= sum(map(bool, cells))


def _joined(above: Sequence[str], below: Sequence[str]) -> list[ColumnHead]:
    """Headings in two lines: the lower names each column, or gives its unit; the upper stands over several."""
    width = max(len(_trimmed(above)), len(_trimmed(below)))
    above, below = [[*cells, *[""] * width][:width] for cells in (above, below)]
    spread, last = [], ""
    for upper, lower in zip(above, below, strict=True):
        last = upper or (last if lower else "")
        spread.append(last)
    units = [_unit_in(lower) for lower in below]
    if any(lower and not unit for lower, unit in zip(below, units, strict=True)):  # names: hours are what is counted
        units = [
            "" if len(lower.strip("()[]{} .")) > _LONGEST_UNIT else unit
            for lower, unit in zip(below, units, strict=True)
        ]
    counts = Counter(plain(lower) for lower, unit in zip(below, units, strict=True) if lower and not unit)
    headings = []
    for upper, lower, unit in zip(spread, below, units, strict=True):
        if unit or not lower:
            headings.append(ColumnHead(upper, unit))
        else:
            headings.append(_heading(lower if counts[plain(lower)] == 1 else f"{upper} {lower}".strip()))
    return headings


def _unit_in(cell: str) -> str:
    """The unit that a cell of its own gives: "mm", "(min)", "in"."""
    word = cell.strip("()[]{} .")
    return (unit_named(word) and word) or ""


def _heading(cell: str) -> ColumnHead:
    """A heading, and the unit in it: "Length (mm)", "gouge [mm]", "time, min"."""
    match = _UNIT.fullmatch(cell) if len(cell) <= _LONGEST_HEADING else None
    if match is None or not match[1]:
        return ColumnHead(cell)
    unit = (match[2] or match[3] or "").strip(" .")
    return ColumnHead(cell, unit) if unit_named(unit) is not None else ColumnHead(cell)
