"""A maker's own columns and words turned into ours: `length=overall_mm in`, `kind:gebunden=tied`.

Each line of a mapping is one of

- ``theirs=ours``            their column is our column
- ``theirs=ours in``         and is given in that unit where a cell names none
- ``theirs=at day-first``    and holds days written so; also month-first, year-first
- ``theirs=at %d/%m/%Y``     the same by the marks of `datetime.strptime`
- ``theirs=at time``        their column has the time of the day that another one has
- ``theirs=score of 5``      and holds scores of 0 to 5
- ``theirs=cause named``     and is a cause of a reed's end, crossed where one ended so
- ``theirs=note named``      and is kept in the note, with its heading before it
- ``theirs=retired:at``      their column is ours of an event of that kind, where a line is about several
- ``theirs=``                their column is left out
- ``ours:word=value``        that word in our column means this value
- ``ours:=value``            our column has this value wherever it is empty or missing, of events that have it
- ``tag:=above``, ``at:=above``   where a spreadsheet leaves them empty, the reed or day above is meant
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime
from difflib import get_close_matches

from reedkin.domain.facts import KINDS
from reedkin.domain.units import number, unit_named
from reedkin.errors import InputError
from reedkin.store.transfer.rows import COLUMNS, FACT_COLUMNS, Row, kind_of
from reedkin.store.transfer.sheets.days import ORDERS, moment_as_written, time_as_written

NAMED = "named"
"""Says of a column that goes into the note that its heading stands before it; of a cause, that it is the heading."""
TIME = "at time"
"""The time of day, where a column of its own has it."""
_OF = re.compile(r"of (\d+(?:\.\d+)?)")


@dataclass(frozen=True, slots=True)
class Target:
    """What a column of theirs is: ours (empty: left out), of an event of which kind where a line is about several, and
    how it is written: a unit, a form of date, or as ours."""

    column: str
    written: str = ""
    kind: str = ""

    @property
    def named(self) -> str:
        """As a line of a mapping has it."""
        kind = f"{self.kind}:" if self.kind else ""
        return f"{kind}{self.column} {self.written}".strip()


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
                row[target.column] = self.value(target, cell)
        if TIME in row:
            row |= timed(row)
            del row[TIME]
        if self.filled:
            facts = _facts_of(row.get("kind"))
            for column in self.filled:
                if facts is None or column not in FACT_COLUMNS or column in facts:
                    row.setdefault(column, self.words[column, ""])
        return row

    def of_row(self, row: Row) -> dict[str, object]:
        """As `row`, for a line that names its columns itself."""
        return self.row((self.target(heading), cell) for heading, cell in row.items())

    def value(self, target: Target, cell: object) -> object:
        """The value that a cell of a column has as ours."""
        if not self.words and not target.written:
            return cell
        word = self.words.get((target.column, str(cell).strip().lower()))
        if word is not None:
            return word
        return _as_written(str(cell), target.written) if target.written else cell

    def over(self, other: ColumnMap) -> ColumnMap:
        """This mapping, and the other for what this one does not speak of."""
        return ColumnMap({**other.columns, **self.columns}, {**other.words, **self.words})

    def lines(self) -> list[str]:
        """The lines that describe it."""
        columns = [f"{theirs}={target.named}" for theirs, target in self.columns.items()]
        return [*columns, *(f"{column}:{word}={value}" for (column, word), value in self.words.items())]


def timed(cells: Mapping[str, object]) -> dict[str, object]:
    """The day of a line with the time that stands in another of its columns; where either cannot be read, or the day
    has a time already, that time as a note."""
    day, cell = str(cells.get("at", "")), str(cells[TIME])
    moment = moment_as_written(day, "day-first") or moment_as_written(day, "year-first")
    hour = time_as_written(cell)
    if moment is None or hour is None or (moment.hour, moment.minute) not in ((0, 0), (12, 0)):
        said = f"{cells['note']}; " if cells.get("note") else ""
        return {"note": f"{said}time {cell}"}
    return {"at": datetime.combine(moment, hour, moment.tzinfo).isoformat()}


def _facts_of(kind: object) -> Iterable[str] | None:
    """The facts that an event of this kind can have; None for a word that is no kind, which is judged with its line."""
    try:
        return KINDS[kind_of(kind)[0]].facts
    except InputError:
        return None


def _as_written(cell: str, written: str) -> str:
    cell = cell.strip()
    if "%" in written:
        with suppress(ValueError):  # another form of date is left for the import to judge, with its line
            return datetime.strptime(cell, written).isoformat()
        return cell
    if written in ORDERS:
        moment = moment_as_written(cell, written)
        return moment.isoformat() if moment is not None else cell
    if of := _OF.fullmatch(written):
        return _of_ten(cell, float(of[1]))
    bare = cell[-1:].isdigit() and not any(letter.isalpha() for letter in cell)  # 8h30 has its units
    return f"{cell} {written}" if written != NAMED and bare else cell


def _of_ten(cell: str, most: float) -> str:
    """A score that is given of another highest one, as one of 0 to 10."""
    stars = cell.count("*") + cell.count("★")
    try:
        score = float(stars) if stars and not cell.strip("*★☆ ") else number(cell.partition("/")[0])
    except InputError:
        return cell
    return f"{round(score * 10 / most, 2):g}"


def parse_mapping(lines: Iterable[str]) -> ColumnMap:
    """The mapping that lines describe; empty ones and remarks behind a # are passed over. Raises InputError."""
    columns: dict[str, Target] = {}
    words: dict[tuple[str, str], str] = {}
    for line in lines:
        if not line.strip() or line.lstrip().startswith("# ") or line.strip() == "#":  # but "#=tag" is of a column
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
    kind, colon, rest = text.partition(":")
    if not colon or "%" in kind:  # a form of date may have a colon
        kind, rest = "", text
    elif kind.strip().lower() not in KINDS:
        raise InputError(f"{kind} is not a kind of event; kinds are {', '.join(KINDS)}")
    name, _, written = rest.strip().partition(" ")
    name, written = name.lower(), written.strip()
    if name and name not in COLUMNS:
        raise InputError(f"{name} is not a column here; {_advice(name)}")
    if f"{name} {written}" == TIME:
        return Target(TIME, "", kind.strip().lower())
    if written and not _can_be_written(name, written):
        raise InputError(f"{written} is neither a unit known here nor a form of date such as day-first or %d/%m/%Y")
    return Target(name, written, kind.strip().lower())


def _can_be_written(name: str, written: str) -> bool:
    if name == "note" or written == NAMED:
        return name in ("note", "cause") and written == NAMED
    return "%" in written or written in ORDERS or bool(_OF.fullmatch(written)) or unit_named(written) is not None


def _advice(name: str) -> str:
    near = get_close_matches(name, COLUMNS, 1)
    return f"did you mean {near[0]}?" if near else f"columns are {', '.join(COLUMNS)}"


def unknown_column(name: str) -> str:
    """What to say of a column that is not ours."""
    near = get_close_matches(name, COLUMNS, 1)
    meant = f"did you mean {near[0]}? " if near else ""
    return f"the column {name} is not known here; {meant}map it with --map '{name}=…', or leave it out: '{name}='"
