"""What the columns of somebody's own spreadsheet are, from their headings and, where these say nothing, their cells."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from difflib import get_close_matches

from reedkin.domain.facts import FACTS
from reedkin.store.transfer.mapping import NAMED, TIME, Target
from reedkin.store.transfer.sheets.days import are_times, is_serial, orders_of, plain
from reedkin.store.transfer.sheets.sheet import ColumnHead, Sheet
from reedkin.store.transfer.sheets.vocabulary import (
    MEANINGS,
    bare_heading,
    cause_named,
    instrument_meant,
    kind_named,
    setting_named,
)
from reedkin.store.transfer.sheets.written import SCORED, are_stars, number_in, within

LIKELY = 0.6
"""Such a share of a column's cells has to be what its heading says."""
_FEWEST_BESIDE = 2
"""Columns of another table that stands beside the first."""
LONG = 18
"""Characters of the longest cell that may be a word of its own, or a tag."""
_FROM_THE_BUTT = ("tube_mm", "tip_from_mm", "heart_from_mm")
"""Lengths whose headings may as well stand over something else, which then lies out of their limits."""
_LIFE_DAYS = ("tied:at", "played:at", "retired:at", "handed over:at")
WORDS: Mapping[str, Callable[[str], str | None]] = {
    "kind": kind_named, "cause": cause_named, "setting": setting_named, "instrument": instrument_meant,
}  # fmt: skip
"""What the words of such a column mean."""
_ON_A_DAY = {"played:minutes": "minutes", "retired:cause": "cause", f"retired:cause {NAMED}": f"cause {NAMED}",
             "handed over:to": "to",
             "handed over:price": "price"}  # fmt: skip
"""How a line about one day says what a line about a whole life says of one of its kinds."""
REED_ITSELF = re.compile(r"(?:reed|rohr|anche|ancia|cana|riet|no\.?|nr\.?|#)\s*#?\d{1,4}")
"""A heading that is a reed: what stands below it was done to that one."""
_CROSSES = frozenset(("x", "xx", "+", "*", "v", "✓", "✔", "✗", "✘", "1", "yes", "y", "ja", "j", "oui", "si", "true"))


class Meanings:
    """What each column is; those that are `settled` need not be found out. After `all`, `why` has what is not plain."""

    def __init__(self, sheet: Sheet, columns: Sequence[Sequence[str]], settled: Mapping[int, Target]) -> None:
        self._sheet, self._columns, self._settled = sheet, columns, settled
        self.why: dict[int, str] = {}

    def all(self) -> list[str]:
        """What each column is, as "kind:column" or our column; empty where it is left out."""
        found = [""] * len(self._columns)
        beside = self._other_table()
        used: dict[str, int] = {one.named.partition(" ")[0]: place for place, one in self._settled.items()}
        for exact in (True, False):
            for place, heading in enumerate(self._sheet.headings):
                if place in self._settled or found[place] or not self._columns[place] or place >= beside:
                    continue
                fits = (one for one in candidates(heading, exact) if _fits(one, self._columns[place], exact))
                meaning = next((one for one in fits if one not in used or one == "note"), "")
                if meaning:
                    found[place] = meaning
                    used.setdefault(meaning, place)
        self._by_cells(found, used, beside)
        return self._of_lives(found)

    def _other_table(self) -> int:
        """The place at which another table stands beside the first: behind a column with nothing in it, at least two
        columns whose lines are fewer, or more, from the first on. Past the last column where none does."""
        for gap in range(1, len(self._columns) - _FEWEST_BESIDE):
            if self._columns[gap] or self._sheet.headings[gap].name != f"column {gap + 1}":
                continue
            left, right = (
                [any(cells[place] for place in places) for _, cells in self._sheet.lines]
                for places in (range(gap), range(gap + 1, len(self._columns)))
            )
            ends = [sum(side) for side in (left, right)]
            if ends[0] != ends[1] and all(side == sorted(side, reverse=True) for side in (left, right)) and all(ends):
                return gap + 1
        return len(self._columns)

    def _by_cells(self, found: list[str], used: dict[str, int], beside: int) -> None:
        """Columns whose headings say nothing that is known: by what they hold, else into the note. What stands
        `beside` is of another table."""
        for place, cells in enumerate(self._columns):
            if found[place] or place in self._settled:
                continue
            if not cells:
                self.why[place] = "nothing in it"
            elif share(cells, lambda cell: cell.startswith("=")) >= LIKELY:
                self.why[place] = "formulas; save the sheet with its values"
            elif place >= beside:
                self.why[place] = "another table beside"
            elif (twin := self._twin(place)) is not None:
                self.why[place] = f"the same as {self._sheet.headings[twin].name}"
            elif "at" not in used and not any(day in used for day in _LIFE_DAYS) and orders_of(cells):
                found[place], used["at"] = "at", place
            elif "instrument" not in used and _fits("instrument", cells):
                found[place], used["instrument"] = "instrument", place
            elif is_crossed(self._sheet.headings[place], cells):
                found[place] = f"retired:cause {NAMED}"
            else:
                found[place] = "note"
                self.why[place] = "kept in the note"

    def _twin(self, place: int) -> int | None:
        """An earlier column with the same cells."""
        mine = [cells[place] for _, cells in self._sheet.lines]
        same = (p for p in range(place) if [cells[p] for _, cells in self._sheet.lines] == mine)
        return next(same, None)

    def _of_lives(self, found: list[str]) -> list[str]:
        """Settle what depends on whether a line is about a whole life, or about one day."""
        every = {*found, *(one.named.partition(" ")[0] for one in self._settled.values())}
        life = bool(every & set(_LIFE_DAYS)) and "kind" not in every and not ("at" in every and "tied:at" in every)
        if life and "at" in found and "tied:at" not in every:
            found[found.index("at")] = "tied:at"
        if not life:
            return [_ON_A_DAY.get(one, one) for one in found]
        for place, one in enumerate(found):
            if one in ("minutes", TIME):
                found[place] = "note"
                self.why[place] = "kept in the note"
        return ["retired:cause" if one == "cause" else one for one in found]


def _fits(meaning: str, cells: Sequence[str], exact: bool = False) -> bool:
    """Whether most cells are what a meaning says. Where a heading says `exact` that a column has kinds of events,
    its words are asked about one by one."""
    column = meaning.rpartition(":")[2]
    if column == "at":
        return bool(orders_of(cells))
    if column == TIME:
        return are_times(cells)
    if orders_of(cells) and column != "note" and not all(map(is_serial, cells)):
        return False
    if column in WORDS:
        words = column == "kind" and exact and all(len(cell) <= LONG for cell in cells)
        known = share(cells, lambda cell: WORDS[column](cell) is not None)
        return column == "cause" or words or known >= LIKELY
    if column == "tag":
        return share(cells, lambda cell: len(cell) <= LONG) >= LIKELY
    fact = FACTS.get(column)
    if fact is None or fact.type not in ("number", "whole"):
        return not (column == "tube" and _fits("tube_mm", cells))
    numbers = [number for cell in cells if (number := number_in(column, cell)) is not None]
    stars = column == "score" and are_stars(cells)
    if column in _FROM_THE_BUTT and not all(within(fact.low, number, fact.high) for number in numbers):
        return False
    return stars or len(numbers) >= LIKELY * len(cells)


def candidates(heading: ColumnHead, exact: bool) -> Iterator[str]:
    """What a heading may stand for, the likelier first: as a whole, or by words in it."""
    if REED_ITSELF.fullmatch(plain(heading.name)):
        return
    bare = bare_heading(heading.name)
    if SCORED.search(heading.name):
        yield "score"
    if heading.key in MEANINGS:
        yield from MEANINGS[heading.key]
    yield from MEANINGS.get(bare, ())
    if exact:
        return
    words = bare.split()
    for length in range(len(words) - 1, 0, -1):
        for start in range(len(words) - length + 1):
            yield from MEANINGS.get(" ".join(words[start : start + length]), ())
    for near in get_close_matches(bare, MEANINGS, 1, 0.85) if len(bare) > 3 else ():
        yield from MEANINGS[near]


def is_crossed(heading: ColumnHead, cells: Sequence[str]) -> bool:
    """Whether a column is a cause of a reed's end, with a cross for each reed that ended so."""
    return cause_named(heading.name) is not None and all(plain(cell) in _CROSSES for cell in cells)


def share(cells: Sequence[str], holds: Callable[[str], bool]) -> float:
    """The share of the cells of which this holds."""
    return sum(map(holds, cells)) / len(cells) if cells else 0.0
