"""How the cells of a column are written: in what unit its numbers are, and of how many its scores are."""

from __future__ import annotations

import re
from collections.abc import Sequence

from reedkin.domain.facts import FACTS
from reedkin.domain.units import unit_named
from reedkin.errors import InputError
from reedkin.store.transfer.rows import fact_of
from reedkin.store.transfer.sheets.sheet import ColumnHead
from reedkin.store.transfer.sheets.vocabulary import MEANINGS, bare_heading

SCORED = re.compile(r"(?:/|\bof\b|\bto\b|\d\s*[-–]|\bsur\b|\bvon\b)\s*(5|6|10|20|100)\b", re.IGNORECASE)
"""How a heading says of how many a score is: "/20", "of 5", "1-5"."""
_INCH, _CM = 25.4, 10.0
_TEN, _TWENTY = 10, 20


def unit_of(column: str, heading: ColumnHead, cells: Sequence[str]) -> str:
    """The unit of a column, where it is not the one that the fact is kept in; or of how many a score is."""
    fact = FACTS.get(column)
    if fact is None or fact.type not in ("number", "whole"):
        return ""
    if column == "score" or (fact.high == 10 and not fact.unit):
        return _best_score(heading, cells)
    named = unit_named(heading.unit) if heading.unit else None
    if named is None and fact.measure == "min" and _in_hours(heading):
        named = "h"
    if named is not None:
        return "" if named == fact.measure else heading.unit or named
    numbers = [number for cell in cells if (number := number_in(column, cell)) is not None and cell[-1:].isdigit()]
    if fact.unit == "mm" and numbers and not any(within(fact.low, one, fact.high) for one in numbers):
        for unit, size in (("in", _INCH), ("cm", _CM)):
            if all(within(fact.low, one * size, fact.high) for one in numbers):
                return unit
    return ""


def _in_hours(heading: ColumnHead) -> bool:
    return "played:minutes" in MEANINGS.get(bare_heading(heading.name), ()) or any(
        word in ("hours", "hrs", "stunden", "heures", "ore", "horas") for word in bare_heading(heading.name).split()
    )


def _best_score(heading: ColumnHead, cells: Sequence[str]) -> str:
    """Of how many a score is, where it is not of ten."""
    if (scored := SCORED.search(heading.name)) is not None:
        return f"of {scored[1]}" if scored[1] != "10" else ""
    if cells and are_stars(cells):
        return "of 5"
    return "of 100" if _above_ten(cells) and not may_be_of_twenty(heading, cells) else ""


def _above_ten(cells: Sequence[str]) -> bool:
    """Whether most scores are above ten; where few are, these are slips."""
    numbers = [number for cell in cells if (number := bare_number(cell)) is not None]
    return sum(number > _TEN for number in numbers) * 2 > len(numbers)


def may_be_of_twenty(heading: ColumnHead, cells: Sequence[str]) -> bool:
    """Whether scores are mostly above ten and none above twenty, and nothing says of how many they are: as well of 20
    as of 100."""
    numbers = [number for cell in cells if (number := bare_number(cell)) is not None]
    return SCORED.search(heading.name) is None and _above_ten(cells) and max(numbers, default=0) <= _TWENTY


def are_stars(cells: Sequence[str]) -> bool:
    """Whether these are scores written as stars."""
    return all(set(cell) <= set("*★☆ ") for cell in cells)


def bare_number(cell: str) -> float | None:
    """The number that a cell is and nothing else."""
    try:
        return float(cell.replace(",", "."))
    except ValueError:
        return None


def number_in(column: str, cell: str) -> float | None:
    """The number that a cell says of a fact, in the fact's own unit."""
    try:
        value = fact_of(column, cell.partition("/")[0] if column == "score" else cell)
    except InputError:
        return None
    return float(value) if isinstance(value, (int, float)) else None


def within(low: float | None, value: float, high: float | None) -> bool:
    """Whether a value lies between limits, of which None is no limit."""
    return (low is None or low <= value) and (high is None or value <= high)
