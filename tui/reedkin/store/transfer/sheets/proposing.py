"""What the columns of somebody's own spreadsheet may be, from their headings and their cells: a mapping to be looked
at, corrected and accepted before anything is taken in."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches

from reedkin.domain.facts import FACTS
from reedkin.domain.units import unit_named
from reedkin.errors import InputError
from reedkin.store.transfer.mapping import NAMED, TIME, ColumnMap, Target
from reedkin.store.transfer.rows import fact_of, kind_of
from reedkin.store.transfer.sheets.above import ABOVE, gaps
from reedkin.store.transfer.sheets.days import are_times, is_day_of_a_year, is_serial, order_shown, orders_of, plain
from reedkin.store.transfer.sheets.sheet import ColumnHead, Sheet
from reedkin.store.transfer.sheets.vocabulary import (
    HANDED,
    MEANINGS,
    bare_heading,
    cause_named,
    instrument_meant,
    kind_named,
    setting_named,
)

_SCORED = re.compile(r"(?:/|\bof\b|\bto\b|\d\s*[-–]|\bsur\b|\bvon\b)\s*(5|6|10|20|100)\b", re.IGNORECASE)
"""How a heading says of how many a score is: "/20", "of 5", "1-5"."""
_LIKELY = 0.6
"""Such a share of a column's cells has to be what its heading says."""
_EXAMPLES = 3
_LONG = 18
_LIFE_DAYS = ("tied:at", "played:at", "retired:at")
_OF_ONE_DAY = {"cause": "retired:cause", "score": "scored:score"}
_WORDS: Mapping[str, Callable[[str], str | None]] = {
    "kind": kind_named, "cause": cause_named, "setting": setting_named, "instrument": instrument_meant,
}  # fmt: skip
_INCH, _CM = 25.4, 10.0


@dataclass(frozen=True, slots=True)
class OpenQuestion:
    """Something that nobody but the maker can say, and lines of a mapping that say it."""

    question: str
    answers: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Taken:
    """What a column is taken for; `proposed` where nobody said so, `why` where that is not plain."""

    heading: ColumnHead
    target: Target
    proposed: bool
    examples: tuple[str, ...] = ()
    why: str = ""


@dataclass(frozen=True, slots=True)
class Proposal:
    """What each column is taken for, and words of theirs; what is open. `mapping` has all of it, what was given and
    what is proposed; `new` says that something is proposed."""

    columns: tuple[Taken, ...]
    mapping: ColumnMap
    new: bool
    open: tuple[OpenQuestion, ...]
    words: tuple[str, ...] = ()
    """Words that are proposed, as lines of the mapping."""


def propose(sheet: Sheet, given: ColumnMap) -> Proposal:
    """A proposal for a sheet, of which `given` is settled already."""
    return _Proposing(sheet, given).made()


class _Proposing:
    def __init__(self, sheet: Sheet, given: ColumnMap) -> None:
        self._sheet, self._given = sheet, given
        self._columns = [sheet.column(place) for place in range(len(sheet.headings))]
        self._open: list[OpenQuestion] = []
        self._why: dict[int, str] = {}
        self._orders = {order for cells in self._columns if (order := order_shown(cells)) is not None}
        """The orders of day and month that columns show: one person has one, so the other columns have it too."""
        self._settled = {
            place: given.columns[heading.key]
            for place, heading in enumerate(sheet.headings)
            if heading.key in given.columns
        }

    def made(self) -> Proposal:
        meanings = self._meanings()
        taken = []
        for place, heading in enumerate(self._sheet.headings):
            cells = self._columns[place]
            examples = tuple(_short(cell) for cell in dict.fromkeys(cells))[:_EXAMPLES]
            if place in self._settled:
                taken.append(Taken(heading, self._settled[place], False, examples))
                continue
            target = self._target(place, meanings[place])
            taken.append(Taken(heading, target, True, examples, self._why.get(place, "")))
        columns = {one.heading.key: one.target for one in taken if one.heading.key and one.proposed}
        words = self._words(taken)
        words |= self._kind_of_all(taken)
        self._needs_tag(taken)
        self._stands_above(taken)
        mapping = self._given.over(ColumnMap(columns, words))
        proposed = ColumnMap({}, words).lines()
        new = bool(words) or any(one.proposed and self._columns[place] for place, one in enumerate(taken))
        return Proposal(tuple(taken), mapping, new, tuple(self._open), tuple(proposed))

    # What the headings mean

    def _meanings(self) -> list[str]:
        """What each column is, as "kind:column" or our column; empty where it is left out."""
        found = [""] * len(self._columns)
        used: dict[str, int] = {one.named.partition(" ")[0]: place for place, one in self._settled.items()}
        for exact in (True, False):
            for place, heading in enumerate(self._sheet.headings):
                if place in self._settled or found[place] or not self._columns[place]:
                    continue
                fits = (one for one in _candidates(heading, exact) if self._fits(one, place, exact))
                meaning = next((one for one in fits if one not in used or one == "note"), "")
                if meaning:
                    found[place] = meaning
                    used.setdefault(meaning, place)
        self._by_cells(found, used)
        return self._of_lives(found)

    def _fits(self, meaning: str, place: int, exact: bool = False) -> bool:
        """Whether most cells are what a meaning says. Where a heading says `exact` that a column has kinds of events,
        its words are asked about one by one."""
        cells, column = self._columns[place], meaning.rpartition(":")[2]
        if column == "at":
            return bool(orders_of(cells))
        if column == TIME:
            return are_times(cells)
        if orders_of(cells) and column != "note" and not all(map(is_serial, cells)):
            return False
        if column in _WORDS:
            words = column == "kind" and exact and all(len(cell) <= _LONG for cell in cells)
            known = _share(cells, lambda cell: _WORDS[column](cell) is not None)
            return column == "cause" or words or known >= _LIKELY
        if column == "tag":
            return _share(cells, lambda cell: len(cell) <= _LONG) >= _LIKELY
        fact = FACTS.get(column)
        if fact is None or fact.type not in ("number", "whole"):
            return not (column == "tube" and self._fits("tube_mm", place))
        numbers = [number for cell in cells if (number := _number(column, cell)) is not None]
        stars = column == "score" and all(set(cell) <= set("*★☆ ") for cell in cells)
        if column == "tube_mm" and not all(_between(fact.low, number, fact.high) for number in numbers):
            return False
        return stars or len(numbers) >= _LIKELY * len(cells)

    def _by_cells(self, found: list[str], used: dict[str, int]) -> None:
        """Columns whose headings say nothing that is known: by what they hold, else into the note."""
        for place, cells in enumerate(self._columns):
            if found[place] or place in self._settled:
                continue
            if not cells:
                self._why[place] = "nothing in it"
            elif (twin := self._twin(place)) is not None:
                self._why[place] = f"the same as {self._sheet.headings[twin].name}"
            elif "at" not in used and not any(day in used for day in _LIFE_DAYS) and orders_of(cells):
                found[place], used["at"] = "at", place
            elif "instrument" not in used and self._fits("instrument", place):
                found[place], used["instrument"] = "instrument", place
            elif _is_crossed(self._sheet.headings[place], cells):
                found[place] = f"retired:cause {NAMED}"
            else:
                found[place] = "note"
                self._why[place] = "kept in the note"

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
                self._why[place] = "kept in the note"
        return [_OF_ONE_DAY.get(one, one) if one != "score" else "score" for one in found]

    # How the cells are written

    def _target(self, place: int, meaning: str) -> Target:
        kind, _, column = meaning.rpartition(":")
        if column == f"cause {NAMED}":
            return Target("cause", NAMED, kind)
        if not column:
            return Target("")
        heading, cells = self._sheet.headings[place], self._columns[place]
        if column == "at":
            return Target(column, self._order(heading, cells, meaning), kind)
        if column == "note":
            plain_note = "note" in MEANINGS.get(bare_heading(heading.name), ())
            return Target(column, "" if plain_note else NAMED)
        return Target(column, self._unit(column, heading, cells), kind)

    def _order(self, heading: ColumnHead, cells: Sequence[str], meaning: str) -> str:
        orders = orders_of(cells)
        if len(orders) > 1 and len(self._orders) == 1:
            orders = [order for order in orders if order in self._orders] or orders
        if len(orders) > 1:
            example = next(cell for cell in cells if len(orders_of([cell])) > 1)
            self._open.append(OpenQuestion(
                f"{heading.name}: {example} may have the day first or the month first; both fit all lines",
                tuple(f"{heading.key}={meaning} {order}" for order in orders),
            ))  # fmt: skip
            return ""
        return orders[0] if orders else ""

    def _unit(self, column: str, heading: ColumnHead, cells: Sequence[str]) -> str:
        """The unit of a column, where it is not the one that the fact is kept in; or of how many a score is."""
        fact = FACTS.get(column)
        if fact is None or fact.type not in ("number", "whole"):
            return ""
        if column == "score" or (fact.high == 10 and not fact.unit):
            return _best_score(heading, cells)
        named = unit_named(heading.unit) if heading.unit else None
        if named is None and fact.measure == "min" and "hours" in MEANINGS and _in_hours(heading):
            named = "h"
        if named is not None:
            return "" if named == fact.measure else heading.unit or named
        numbers = [number for cell in cells if (number := _number(column, cell)) is not None and cell[-1:].isdigit()]
        if fact.unit == "mm" and numbers and not any(_between(fact.low, one, fact.high) for one in numbers):
            for unit, size in (("in", _INCH), ("cm", _CM)):
                if all(_between(fact.low, one * size, fact.high) for one in numbers):
                    return unit
        return ""

    # Words

    def _words(self, taken: Sequence[Taken]) -> dict[tuple[str, str], str]:
        words: dict[tuple[str, str], str] = {}
        for place, one in enumerate(taken):
            column = one.target.column
            if column not in _WORDS or one.target.written == NAMED:
                continue
            for cell, count in Counter(" ".join(c.lower().split()) for c in self._columns[place]).items():
                if (column, cell) in self._given.words or _is_ours(column, cell):
                    continue
                meant = _WORDS[column](cell)
                if meant is None and column == "setting":
                    meant = ""
                if meant is None or (meant in HANDED.values() and one.target.kind != "retired"):
                    self._open.append(_unknown(column, cell, count))
                else:
                    words[column, cell] = meant
        return words

    def _kind_of_all(self, taken: Sequence[Taken]) -> dict[tuple[str, str], str]:
        """The kind of all lines, where no column says it and a line is about one event."""
        targets = {(one.target.kind, one.target.column) for one in taken}
        columns = {column for kind, column in targets if not kind}
        if "at" not in columns or "kind" in columns or ("kind", "") in self._given.words:
            return {}
        if (words := self._may_be_kinds(taken)) is not None:
            self._open.append(OpenQuestion(
                f"no column says what was done, which {words.name} may say", (f"{words.key}=kind", "kind:=played"),
            ))  # fmt: skip
            return {}
        if columns & {"minutes", "setting"}:
            return {("kind", ""): "played"}
        if "score" in columns:
            return {("kind", ""): "scored"}
        if any(kind for kind, _ in targets):
            return {}
        self._open.append(OpenQuestion("no column says what was done", ("kind:=tied", "kind:=played", "YOURS=kind")))
        return {}

    def _may_be_kinds(self, taken: Sequence[Taken]) -> ColumnHead | None:
        """A column of words unknown here that may say what was done: each line has one, they come again, and some lines
        tell no minutes, as no playing could."""
        minutes = next((place for place, one in enumerate(taken) if one.target.column == "minutes"), None)
        if minutes is None or len(self._columns[minutes]) == len(self._sheet.lines):
            return None
        for place, one in enumerate(taken):
            cells = self._columns[place]
            words = len(set(cells)) > 1 and all(
                len(cell) <= _LONG and cell.replace(" ", "").isalpha() for cell in cells
            )
            if one.proposed and one.target.written == NAMED and words and len(cells) == len(self._sheet.lines):
                return one.heading
        return None

    def _stands_above(self, taken: Sequence[Taken]) -> None:
        """Ask whether lines that name no reed, or no day, are of the one above them: a slip has one such line."""
        for place, one in enumerate(taken):
            column = one.target.column
            if one.target.kind or column not in ("tag", "at") or (column, "") in self._given.words:
                continue
            empty = gaps(self._sheet.lines, place)
            if len(empty) > 1 or (empty and ABOVE in self._given.words.values()):
                named = ", ".join(map(str, empty[:_EXAMPLES]))
                which = f"lines {named}" if len(empty) > 1 else f"line {named}"
                more = f" and {len(empty) - _EXAMPLES} more" if len(empty) > _EXAMPLES else ""
                question = f"{one.heading.name} is empty in {which}{more}, where what stands above may be meant"
                self._open.append(OpenQuestion(question, (f"{column}:={ABOVE}",)))

    def _needs_tag(self, taken: Sequence[Taken]) -> None:
        columns = {one.target.column for one in taken}
        days = [one.heading.name for one in taken if is_day_of_a_year(one.heading.name)]
        reeds = [one.heading.name for one in taken if _REED_ITSELF.fullmatch(plain(one.heading.name))]
        if len(reeds) > 1:
            self._open.append(OpenQuestion(
                f"columns are reeds ({', '.join(reeds[:_EXAMPLES])}), and here a line is: write a line for each reed "
                f"and day instead, with the minutes; or leave them out", (f"{reeds[0].lower()}=",),
            ))  # fmt: skip
        if len(days) > 1:
            self._open.append(OpenQuestion(
                f"columns are days ({', '.join(days[:_EXAMPLES])}), and here a line is: write a line for each reed and "
                f"day instead, with the minutes; or leave them out", (f"{days[0].lower()}=",),
            ))  # fmt: skip
        if "tag" not in columns and ("tag", "") not in self._given.words:
            self._open.append(OpenQuestion("no column says which reed it is", ("YOURS=tag",)))
        if "at" not in columns:
            self._refuse_days_of_no_year()
            self._open.append(OpenQuestion("no column says on which day it was", ("YOURS=at day-first",)))

    def _refuse_days_of_no_year(self) -> None:
        for heading, cells in zip(self._sheet.headings, self._columns, strict=True):
            if _share(cells, lambda cell: is_day_of_a_year(cell) and _plain(cell) is None) >= _LIKELY:
                raise InputError(
                    f"{heading.name} has days without a year, such as {_short(cells[0])}. Write the year behind each."
                )


_ON_A_DAY = {"played:minutes": "minutes", "retired:cause": "cause", f"retired:cause {NAMED}": f"cause {NAMED}",
             "handed over:to": "to",
             "handed over:price": "price"}  # fmt: skip


_REED_ITSELF = re.compile(r"(?:reed|rohr|anche|ancia|cana|riet|no\.?|nr\.?|#)\s*#?\d{1,4}")
"""A heading that is a reed: what stands below it was done to that one."""


def _candidates(heading: ColumnHead, exact: bool) -> Iterator[str]:
    """What a heading may stand for, the likelier first: as a whole, or by words in it."""
    if _REED_ITSELF.fullmatch(plain(heading.name)):
        return
    bare = bare_heading(heading.name)
    if _SCORED.search(heading.name):
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


def _is_crossed(heading: ColumnHead, cells: Sequence[str]) -> bool:
    """Whether a column is a cause of a reed's end, with a cross for each reed that ended so."""
    return cause_named(heading.name) is not None and all(plain(cell) in _CROSSES for cell in cells)


_CROSSES = frozenset(("x", "xx", "+", "*", "v", "✓", "✔", "✗", "✘", "1", "yes", "y", "ja", "j", "oui", "si", "true"))


def _in_hours(heading: ColumnHead) -> bool:
    return "played:minutes" in MEANINGS.get(bare_heading(heading.name), ()) or any(
        word in ("hours", "hrs", "stunden", "heures", "ore", "horas") for word in bare_heading(heading.name).split()
    )


def _best_score(heading: ColumnHead, cells: Sequence[str]) -> str:
    """Of how many a score is, where it is not of ten."""
    if (scored := _SCORED.search(heading.name)) is not None:
        return f"of {scored[1]}" if scored[1] != "10" else ""
    if cells and all(set(cell) <= set("*★☆ ") for cell in cells):
        return "of 5"
    return "of 100" if any((number := _plain(cell)) is not None and number > 10 for cell in cells) else ""


def _plain(cell: str) -> float | None:
    try:
        return float(cell.replace(",", "."))
    except ValueError:
        return None


def _number(column: str, cell: str) -> float | None:
    try:
        value = fact_of(column, cell.partition("/")[0] if column == "score" else cell)
    except InputError:
        return None
    return float(value) if isinstance(value, (int, float)) else None


def _between(low: float | None, value: float, high: float | None) -> bool:
    return (low is None or low <= value) and (high is None or value <= high)


def _share(cells: Sequence[str], holds: Callable[[str], bool]) -> float:
    return sum(map(holds, cells)) / len(cells) if cells else 0.0


def _is_ours(column: str, cell: str) -> bool:
    try:
        if column == "kind":
            kind_of(cell)
        else:
            fact_of(column, cell)
    except InputError:
        return False
    return True


def _unknown(column: str, cell: str, count: int) -> OpenQuestion:
    lines = "a line" if count == 1 else f"{count} lines"
    usual = {"kind": ("noted", "scraped"), "cause": ("worn", "never came good"), "instrument": ("oboe", "english horn")}
    answers = tuple(f"{column}:{cell}={word}" for word in usual[column])
    return OpenQuestion(
        f"“{cell}” ({lines}) is no {FACTS[column].words if column in FACTS else 'kind'} known here", answers
    )


def _short(cell: str) -> str:
    return cell if len(cell) <= _LONG else f"{cell[: _LONG - 1]}…"
