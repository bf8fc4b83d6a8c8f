"""A maker's own columns and words turned into ours: `length=overall_mm in`, `kind:gebunden=tied`.

Each line of a mapping is one of

- ``theirs=ours``            their column is our column
- ``theirs=ours in``         and is given in that unit where a cell names none
- ``theirs=at %d/%m/%Y``     and holds dates written so (the marks of `datetime.strptime`)
- ``theirs=``                their column is left out
- ``ours:word=value``        that word in our column means this value
- ``ours:=value``            our column has this value wherever it is empty or missing
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime
from difflib import get_close_matches

from reedkin.domain.units import unit_named
from reedkin.errors import InputError
from reedkin.store.transfer.rows import COLUMNS, Row


@dataclass(frozen=True, slots=True)
class Target:
    """What a column of theirs is: ours (empty: left out), and how it is written: a unit, a form of date, or as ours."""

    column: str
    written: str = ""


@dataclass(frozen=True, slots=True)
class ColumnMap:
    """Their columns, and words of theirs by our column; all of theirs in lower case."""

    columns: Mapping[str, Target] = field(default_factory=dict)
    words: Mapping[tuple[str, str], str] = field(default_factory=dict)

    def target(self, heading: str) -> Target:
        """What the column with this heading is."""
        name = heading.strip().lower()
        return self.columns.get(name) or Target(name)

    @property
    def filled(self) -> frozenset[str]:
        """Our columns that have a value wherever the file has none."""
        return frozenset(column for column, word in self.words if not word)

    def row(self, cells: Iterable[tuple[Target, object]]) -> dict[str, object]:
        """The row that the cells of a line make; empty cells and columns left out are not in it."""
        row: dict[str, object] = {}
        for target, cell in cells:
            if target.column and cell is not None and cell != "":
                row[target.column] = self._value(target, cell)
        for column in self.filled:
            row.setdefault(column, self.words[column, ""])
        return row

    def of_row(self, row: Row) -> dict[str, object]:
        """As `row`, for a line that names its columns itself."""
        return self.row((self.target(heading), cell) for heading, cell in row.items())

    def _value(self, target: Target, cell: object) -> object:
        if not self.words and not target.written:
            return cell
        word = self.words.get((target.column, str(cell).strip().lower()))
        if word is not None:
            return word
        return _as_written(str(cell), target.written) if target.written else cell


def _as_written(cell: str, written: str) -> str:
    if "%" in written:
        with suppress(ValueError):  # another form of date is left for the import to judge, with its line
            return datetime.strptime(cell.strip(), written).isoformat()
        return cell
    return f"{cell} {written}" if cell.strip()[-1:].isdigit() else cell


def parse_mapping(lines: Iterable[str]) -> ColumnMap:
    """The mapping that lines describe; empty ones and those that begin with # are passed over. Raises InputError."""
    columns: dict[str, Target] = {}
    words: dict[tuple[str, str], str] = {}
    for line in lines:
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        theirs, equals, ours = (part.strip() for part in line.rpartition("="))
        if not equals or not theirs:
            raise InputError(f"{line.strip()} is no mapping; write old=new, such as length=overall_mm")
        column, colon, word = theirs.partition(":")
        if colon and column.strip().lower() in COLUMNS:
            words[column.strip().lower(), word.strip().lower()] = ours
        else:
            columns[theirs.lower()] = _target(ours)
    return ColumnMap(columns, words)


def _target(text: str) -> Target:
    name, _, written = text.partition(" ")
    name, written = name.lower(), written.strip()
    if name and name not in COLUMNS:
        raise InputError(f"{name} is not a column here; {_advice(name)}")
    if written and "%" not in written and unit_named(written) is None:
        raise InputError(f"{written} is neither a unit known here nor a form of date such as %d/%m/%Y")
    return Target(name, written)


def _advice(name: str) -> str:
    near = get_close_matches(name, COLUMNS, 1)
    return f"did you mean {near[0]}?" if near else f"columns are {', '.join(COLUMNS)}"


def unknown_column(name: str) -> str:
    """What to say of a column that is not ours."""
    near = get_close_matches(name, COLUMNS, 1)
    meant = f"did you mean {near[0]}? " if near else ""
    return f"the column {name} is not known here; {meant}map it with --map '{name}=…', or leave it out: '{name}='"
