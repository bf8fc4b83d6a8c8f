"""What the columns of somebody's own spreadsheet may be, from their headings and their cells: a mapping to be looked
at, corrected and accepted before anything is taken in."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from reedkin.domain.facts import FACTS, KINDS, MAKING
from reedkin.domain.words import SCORES
from reedkin.errors import InputError
from reedkin.store.transfer.mapping import NAMED, ColumnMap, Target
from reedkin.store.transfer.rows import fact_of, kind_of
from reedkin.store.transfer.sheets.above import ABOVE, gaps
from reedkin.store.transfer.sheets.days import is_day_of_a_year, order_shown, orders_of, plain
from reedkin.store.transfer.sheets.meanings import LIKELY, LONG, REED_ITSELF, WORDS, Meanings, share
from reedkin.store.transfer.sheets.sheet import ColumnHead, Sheet
from reedkin.store.transfer.sheets.vocabulary import HANDED, MEANINGS, bare_heading
from reedkin.store.transfer.sheets.written import bare_number, may_be_of_twenty, unit_of

_EXAMPLES = 3
_OF_MEASURES = ("measured", "crowed", "clipped", "wired", "tubed")
"""Kinds of events that lines with such facts are mostly of."""
_FEWEST = 2
_NO_TABLE = (
    "; cells stand apart by commas, semicolons or tabs, below headings: what is written in sentences is no table, and "
    "its lines can be given to reedkin add"
)
_SCORED = ("score", *SCORES)


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
        self._orders = {order for cells in self._columns if (order := order_shown(cells)) is not None}
        """The orders of day and month that columns show: one person has one, so the other columns have it too."""
        self._settled = {
            place: given.columns[heading.key]
            for place, heading in enumerate(sheet.headings)
            if heading.key in given.columns
        }

    def made(self) -> Proposal:
        guessed = Meanings(self._sheet, self._columns, self._settled)
        meanings = guessed.all()
        taken = []
        for place, heading in enumerate(self._sheet.headings):
            cells = self._columns[place]
            examples = tuple(_short(cell) for cell in dict.fromkeys(cells))[:_EXAMPLES]
            if place in self._settled:
                taken.append(Taken(heading, self._settled[place], False, examples))
                continue
            target = self._target(place, meanings[place])
            taken.append(Taken(heading, target, True, examples, guessed.why.get(place, "")))
        columns = {one.heading.key: one.target for one in taken if one.heading.key and one.proposed}
        words = self._words(taken)
        words |= self._kind_of_all(taken)
        self._names_reed_and_day(taken)
        self._stands_above(taken)
        mapping = self._given.over(ColumnMap(columns, words))
        proposed = ColumnMap({}, words).lines()
        new = bool(words) or any(one.proposed and self._columns[place] for place, one in enumerate(taken))
        return Proposal(tuple(taken), mapping, new, tuple(self._open), tuple(proposed))

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
        if column in _SCORED and may_be_of_twenty(heading, cells):
            self._open.append(OpenQuestion(
                f"{heading.name}: scores above 10, such as {_short(max(cells, key=len))}, may be of 20 or of 100",
                tuple(f"{heading.key}={column} of {most}" for most in (20, 100)),
            ))  # fmt: skip
        return Target(column, unit_of(column, heading, cells), kind)

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

    # Words

    def _words(self, taken: Sequence[Taken]) -> dict[tuple[str, str], str]:
        words: dict[tuple[str, str], str] = {}
        for place, one in enumerate(taken):
            column = one.target.column
            if column not in WORDS or one.target.written == NAMED:
                continue
            for cell, count in Counter(" ".join(c.lower().split()) for c in self._columns[place]).items():
                if (column, cell) in self._given.words or _is_ours(column, cell):
                    continue
                meant = WORDS[column](cell)
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
        if "hours_before" in columns:
            return {("kind", ""): "joined"}
        if (hours := self._hours_in_all(taken)) is not None:
            self._open.append(OpenQuestion(
                f"{hours.name} may be all that a reed was played, or one playing on that day",
                (f"{hours.key}=hours_before", "kind:=played"),
            ))  # fmt: skip
            return {}
        if columns & {"minutes", "setting"}:
            return {("kind", ""): "played"}
        if "score" in columns:
            return {("kind", ""): "scored"}
        if any(kind for kind, _ in targets):
            return {}
        taking = [kind for kind in _OF_MEASURES if columns & {*KINDS[kind].facts} - {*MAKING, "score"}]
        usual = taking or ["tied", "played"]
        answers = tuple(f"kind:={kind}" for kind in usual)
        self._open.append(OpenQuestion("no column says what was done", (*answers, "YOURS=kind")))
        return {}

    def _hours_in_all(self, taken: Sequence[Taken]) -> ColumnHead | None:
        """A column of hours that may be those of a whole life: each reed has one line."""
        places = {one.target.column: place for place, one in enumerate(taken) if not one.target.kind}
        place = places.get("minutes")
        if place is None or "tag" not in places or not taken[place].proposed:
            return None
        reeds = self._columns[places["tag"]]
        return taken[place].heading if taken[place].target.written == "h" and len(set(reeds)) == len(reeds) else None

    def _may_be_kinds(self, taken: Sequence[Taken]) -> ColumnHead | None:
        """A column of words unknown here that may say what was done: each line has one, they come again, and some lines
        tell no minutes, as no playing could."""
        minutes = next((place for place, one in enumerate(taken) if one.target.column == "minutes"), None)
        if minutes is None or len(self._columns[minutes]) == len(self._sheet.lines):
            return None
        for place, one in enumerate(taken):
            cells = self._columns[place]
            words = len(set(cells)) > 1 and all(len(cell) <= LONG and cell.replace(" ", "").isalpha() for cell in cells)
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

    def _names_reed_and_day(self, taken: Sequence[Taken]) -> None:
        """Ask where no column says which reed or which day it was: some sheets have a column for each of them."""
        columns = {one.target.column for one in taken}
        days = [one.heading.name for one in taken if is_day_of_a_year(one.heading.name)]
        reeds = [one.heading.name for one in taken if REED_ITSELF.fullmatch(plain(one.heading.name))]
        for what, columns_of in (("reeds", reeds), ("days", days)):
            if len(columns_of) > 1:
                self._open.append(OpenQuestion(
                    f"columns are {what} ({', '.join(columns_of[:_EXAMPLES])}), and here a line is: write a line for "
                    "each reed and day instead, with the minutes; or leave them out", (f"{columns_of[0].lower()}=",),
                ))  # fmt: skip
        if "tag" not in columns and ("tag", "") not in self._given.words:
            table = "" if "at" in columns or len(self._columns) > _FEWEST else _NO_TABLE
            self._open.append(OpenQuestion(f"no column says which reed it is{table}", ("YOURS=tag",)))
        if "at" not in columns:
            self._refuse_days_of_no_year()
            self._open.append(OpenQuestion("no column says on which day it was", ("YOURS=at day-first",)))

    def _refuse_days_of_no_year(self) -> None:
        for heading, cells in zip(self._sheet.headings, self._columns, strict=True):
            if share(cells, lambda cell: is_day_of_a_year(cell) and bare_number(cell) is None) >= LIKELY:
                raise InputError(
                    f"{heading.name} has days without a year, such as {_short(cells[0])}. Write the year behind each."
                )


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
    return cell if len(cell) <= LONG else f"{cell[: LONG - 1]}…"
