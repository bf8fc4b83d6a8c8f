"""The lines of a spreadsheet as rows of events: one line may be about one event, about several of a day, or about a
reed's whole life; and a reed that it never begins joins with its first line."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from reedkin.bench.bench import Bench
from reedkin.domain.facts import KINDS, MAKING, begins
from reedkin.domain.figures import duration, plural
from reedkin.domain.known import as_number
from reedkin.domain.words import SCORES, TERMS
from reedkin.errors import InputError
from reedkin.grammar.words.tags import expand as expand_tags
from reedkin.store.transfer.mapping import NAMED, TIME, ColumnMap, Target, timed
from reedkin.store.transfer.rows import COLUMNS, NumberedRow, RowFinding, fact_of, is_empty, kind_of, moment_of
from reedkin.store.transfer.sheets.above import ABOVE, carried
from reedkin.store.transfer.sheets.sheet import Sheet
from reedkin.store.transfer.sheets.totals import held_by, shares
from reedkin.store.transfer.sheets.vocabulary import cause_named, setting_named

_OF_A_LIFE = ("wired", "tubed", "crowed", "measured", "scored")
"""Kinds that take what a line about a whole life says besides, in the order in which such things are done."""
_OF_A_ROW = ("tag", "kind", "at", "session", "uid", "note", "reed")
_AND = re.compile(r"\s*(?:[&+;]|\b(?:and|und|et|y|e)\b)\s*", re.IGNORECASE)
"""What stands between two reeds, besides a comma."""
_SEVERAL = re.compile(r"\d\s*[-–,]\s*\d")
_BARE_TAG = re.compile(r"(?:#|[^\W\d_]{2,}\.?\s*(?:no\.?|nr\.?)?\s*)?(\d+[^\W\d_]?)(?:\.0)?\.?", re.IGNORECASE)

_LATER = timedelta(minutes=10)
"""After a reed was tied, where a line gives no day of what was done then."""

_TOTAL = "total"
"""What marks a playing as one of those that a reed's hours in all are written as."""

Cells = dict[str, object]


@dataclass(slots=True)
class Expanded:
    """The rows that a spreadsheet comes to, and what was done with what did not fit, in words. `lacking` are the lines
    of events that lack what their kind needs, by the kind and what that is."""

    rows: list[NumberedRow | RowFinding] = field(default_factory=list)
    told: list[str] = field(default_factory=list)
    lacking: dict[tuple[str, str], list[int]] = field(default_factory=dict)


def expand(sheet: Sheet, mapping: ColumnMap, bench: Bench) -> Expanded:
    """The rows that the lines of a sheet come to by a mapping that says what each of its columns is."""
    return _Expanding(sheet, mapping, bench).all()


class _Expanding:
    def __init__(self, sheet: Sheet, mapping: ColumnMap, bench: Bench) -> None:
        self._sheet, self._mapping, self._bench = sheet, mapping, bench
        self._targets = [mapping.target(heading.key) for heading in sheet.headings]
        self._by_life = not any(target.column in ("at", "kind") and not target.kind for target in self._targets) and (
            not any(column == "kind" for column in mapping.filled)
        )
        self._columns = frozenset(target.column for target in self._targets if target.column)
        self._misplaced: Counter[tuple[str, str]] = Counter()
        self._noted: Counter[tuple[str, str]] = Counter()
        self._several = 0
        filled = mapping.words
        self._above = {column for column in mapping.filled if filled[column, ""] == ABOVE}
        self._making: dict[int, Cells] = {}
        """What each line says of how its reed was made."""
        self._out = Expanded()

    def all(self) -> Expanded:
        out = self._out
        above = {place for place, one in enumerate(self._targets) if not one.kind and one.column in self._above}
        for line, cells in carried(self._sheet.lines, above):
            events = self._events(line, cells)
            if not any(not is_empty(event.get("tag")) or not is_empty(event.get("at")) for event in events):
                out.told.append(f"line {line} names neither a reed nor a day, and was passed over")
                continue
            for own in (one for event in events for one in self._of_each(event)):
                self._needs(line, own)
                row = {name: cell for name, cell in own.items() if name in COLUMNS and not is_empty(cell)}
                out.rows.append(NumberedRow(line, row, self._columns, latest=_TOTAL in own))
        if not self._by_life:
            self._join_the_unbegun()
        self._tell()
        return out

    def _of_each(self, event: Cells) -> Iterator[Cells]:
        """The event of each reed where a line names several: "1-6", "12, 14"."""
        tag = _AND.sub(",", " ".join(str(event.get("tag", "")).split()))
        try:
            tags = expand_tags("".join(tag.replace("–", "-").split())) if _SEVERAL.search(tag) else []
        except InputError:
            tags = []  # told with its line
        if len(tags) < 2:
            yield event
            return
        self._several += 1
        yield from ({**event, "tag": one} for one in tags)

    # One line

    def _events(self, line: int, cells: Sequence[str]) -> list[Cells]:
        common, of_kind, notes = self._apart(cells)
        self._making[line] = {name: common[name] for name in MAKING if name in common}
        common["note"] = "; ".join(notes)
        if TIME in common:
            common |= timed(common)
            del common[TIME]
        if self._by_life:
            return list(self._life(common, of_kind))
        for column in self._mapping.filled - self._above:
            if is_empty(common.get(column)):
                common[column] = self._mapping.words[column, ""]
        return list(self._day(common, of_kind))

    def _apart(self, cells: Sequence[str]) -> tuple[Cells, dict[str, Cells], list[str]]:
        """What a line says by our columns, by kind and columns, and for the note."""
        common: Cells = {}
        of_kind: dict[str, Cells] = {}
        notes = []
        for target, heading, cell in zip(self._targets, self._sheet.headings, cells, strict=True):
            if not target.column or not cell:
                continue
            if target.column == "note":
                notes.append(f"{heading.name}: {cell}" if target.written == NAMED else cell)
                continue
            named = target.column == "cause" and target.written == NAMED
            value = cause_named(heading.name) if named else self._value(target, cell)
            if target.column == "kind" and value in ("played", "play") and (setting := setting_named(cell)) is not None:
                common.setdefault("setting", setting)  # "gig" says both
            (of_kind.setdefault(target.kind, {}) if target.kind else common)[target.column] = value
        return common, of_kind, notes

    def _value(self, target: Target, cell: str) -> object:
        value = self._mapping.value(target, cell)
        if target.column == "tag" and (match := _BARE_TAG.fullmatch(" ".join(str(value).split()))):
            return match[1]
        return value

    # A line about one day

    def _day(self, common: Cells, of_kind: Mapping[str, Cells]) -> Iterator[Cells]:
        base = _of_line(common)
        kinds = [kind for kind, facts in of_kind.items() if any(not is_empty(cell) for cell in facts.values())]
        if "kind" in common and not (kinds and is_empty(common.get("kind"))):
            yield from self._fitted(common)
        elif not kinds:
            own = {"note": common.get("note", "")}
            yield from list(self._each_of_its_kind(common, own)) or [{**base, **own, "kind": "noted"}]
        elif "kind" not in common:
            own = {"note": common.get("note", "")}
            yield from self._fitted({**base, **own, "kind": kinds[0], **of_kind[kinds[0]]})
            yield from self._each_of_its_kind(common, {})
            kinds = kinds[1:]
        for kind in kinds:
            yield from self._fitted({**base, "kind": kind, **of_kind[kind]})

    def _each_of_its_kind(self, common: Cells, own: Cells) -> Iterator[Cells]:
        """What a line says besides of its day, which no column gives a kind: each fact in an event of one that takes
        it. The first of these has `own` as well."""
        left = {name: cell for name, cell in common.items() if name in _FACTS and name not in MAKING}
        left = {name: cell for name, cell in left.items() if not is_empty(cell)}
        for kind in ("clipped", *_OF_A_LIFE):
            facts = {name: left.pop(name) for name in KINDS[kind].facts if name in left}
            if facts:
                yield {**_of_line(common), **own, "kind": kind, **facts}
                own = {}
        if left:
            self._noted.update((name, "noted") for name in left)
            said = "; ".join(filter(None, (str(own.get("note", "")), *(f"{n} {c}" for n, c in left.items()))))
            yield {**_of_line(common), "kind": "noted", "note": said}

    def _fitted(self, event: Cells) -> Iterator[Cells]:
        """An event with the facts that belong to its kind. A score stands for itself; how the reed was made belongs to
        its beginning; what else does not belong goes into the note."""
        try:
            kind, _ = kind_of(event["kind"])
        except InputError:
            yield event  # told with its line
            return
        belongs = {*KINDS[kind].facts, *_OF_A_ROW}
        kept = {name: cell for name, cell in event.items() if name in belongs or name not in _FACTS}
        others = {name: cell for name, cell in event.items() if name not in kept and not is_empty(cell)}
        scores = {name: others.pop(name) for name in ("score", *SCORES) if name in others}
        for name in list(others):
            if others[name] == self._mapping.words.get((name, "")):
                del others[name]  # put in wherever it is missing
            elif name in MAKING:
                self._misplaced[name, kind] += 1
                del others[name]
        if others:
            self._noted.update((name, kind) for name in others)
            said = "; ".join(f"{name} {cell}" for name, cell in others.items())
            kept["note"] = f"{kept['note']}; {said}" if not is_empty(kept.get("note")) else said
        yield kept
        if scores:
            yield {**_of_line(event), "kind": "scored", **scores}

    # A line about a reed's whole life

    def _life(self, common: Cells, of_kind: dict[str, Cells]) -> Iterator[Cells]:
        filled = {column: self._mapping.words[column, ""] for column in self._mapping.filled}
        tag = {"tag": common["tag"]} if "tag" in common else {}
        days = {kind: day for kind, facts in of_kind.items() if (day := self._moment(facts.get("at"))) is not None}
        first, last = min(days.values(), default=None), max(days.values(), default=None)
        if first is None or last is None:
            yield {**tag, **common}  # without a day, which is told with its line
            return
        tied, played, ended = days.get("tied"), days.get("played", days.get("joined")), days.get("retired")
        making = {name: common.get(name, filled.get(name)) for name in (*MAKING, "hours_before")}
        begun = {**tag, "kind": "tied" if tied else "joined", "at": (tied or first).isoformat(), **making}
        begun |= {name: cell for name, cell in of_kind.get("tied", {}).items() if name != "at"}
        yield {**begun, "note": common.get("note", "")}
        yield from self._besides(tag, common, tied or first, played or ended or first)
        for kind in of_kind.keys() - {"tied", "joined", "played", "retired", "handed over"}:
            facts = {name: cell for name, cell in of_kind[kind].items() if name != "at"}
            if facts or kind in days:
                yield {**tag, "kind": kind, "at": days.get(kind, (tied or first) + _LATER).isoformat(), **facts}
        playings = list(self._playings(tag, of_kind.get("played", {}), tied or first, played, ended))
        yield from playings
        last = max([last, *(datetime.fromisoformat(str(one["at"])) for one in playings)])
        end = dict(of_kind.get("retired", {}))
        cause = end.get("cause", filled.get("cause") if ended else None)
        handed = {**of_kind.get("handed over", {})}
        if cause in TERMS:
            handed.setdefault("terms", cause)
            cause = None
        elif not is_empty(handed.get("price")):
            handed.setdefault("terms", "sold")
        gone = days.get("handed over", ended or last)
        handed.pop("at", None)
        if "handed over" in days or any(not is_empty(cell) for cell in handed.values()):
            yield {**tag, "kind": "handed over", "at": _evening(gone).isoformat(), **handed}
        if cause is not None or (ended and "terms" not in handed):
            note = {} if ended else {"note": "the day is not known"}
            yield {**tag, "kind": "retired", "at": _evening(ended or last).isoformat(), "cause": cause, **note}

    def _besides(self, tag: Cells, common: Cells, made: datetime, used: datetime) -> Iterator[Cells]:
        """What a line says of a reed besides how it was made: each in an event of the kind that takes it."""
        left = {name: cell for name, cell in common.items() if name in _FACTS and name not in MAKING}
        for kind in _OF_A_LIFE:
            facts = {name: left.pop(name) for name in KINDS[kind].facts if name in left}
            if facts:
                at = used if kind == "scored" else made + timedelta(minutes=1 + _OF_A_LIFE.index(kind))
                yield {**tag, "kind": kind, "at": at.isoformat(), **facts}
        if left:
            yield {
                **tag,
                "kind": "noted",
                "at": made.isoformat(),
                "note": "; ".join(f"{n} {c}" for n, c in left.items()),
            }

    def _playings(
        self, tag: Cells, facts: Cells, made: datetime, played: datetime | None, ended: datetime | None
    ) -> Iterator[Cells]:
        """The hours that a reed was played in all, as playings from the first day to the last; of a first day without
        hours, a note."""
        others = {name: cell for name, cell in facts.items() if name not in ("at", "minutes")}
        if is_empty(facts.get("minutes")):
            if played is not None:
                yield {**tag, "kind": "noted", "at": played.isoformat(), "note": "played for the first time"}
            return
        start = played or ended or made
        try:
            minutes = as_number(fact_of("minutes", facts["minutes"])) or 0.0
        except InputError:
            yield {**tag, "kind": "played", "at": start.isoformat(), **facts}  # told with its line
            return
        if minutes <= 0:
            return
        note = f"{duration(minutes)} in all; on which days is not known"

        def of_part(part: int) -> datetime:
            # Each stands where it stood when there were fewer hours, so that more of them only add.
            day = start + timedelta(days=part)
            return (min(day, max(ended, start)) if ended is not None else day) + timedelta(minutes=part)

        held = held_by(self._bench, str(tag.get("tag", "")), of_part)
        for part, share in enumerate(shares(round(minutes), held)):
            row = {**tag, "kind": "played", "at": of_part(part).isoformat(), "minutes": share, _TOTAL: True}
            yield {**row, **others, "note": note} if part == 0 else row

    def _moment(self, cell: object) -> datetime | None:
        if is_empty(cell):
            return None
        try:
            return moment_of(cell, self._bench.clock).replace(tzinfo=None)
        except InputError:
            return None

    # What is lacking

    def _needs(self, line: int, event: Cells) -> None:
        try:
            kind, preset = kind_of(event.get("kind", ""))
        except InputError:
            return
        facts = {name: 0 for name, cell in {**event, **preset}.items() if name in _FACTS and not is_empty(cell)}
        if missing := KINDS[kind].missing(facts, str(event.get("note") or "")):
            self._out.lacking.setdefault((kind, missing), []).append(line)

    def _join_the_unbegun(self) -> None:
        """Reeds that neither the sheet nor the log begins join with their first line, made as their lines say."""
        rows = [row for row in self._out.rows if isinstance(row, NumberedRow)]
        begun = {_tag(row) for row in rows if begins(_kind(row))}
        first: dict[str, tuple[datetime, NumberedRow]] = {}
        said: dict[str, Cells] = {}
        for row in rows:
            tag = _tag(row)
            if not tag or tag in begun:
                continue
            at = self._moment(row.row.get("at"))
            if at is not None and (tag not in first or at < first[tag][0]):
                first[tag] = (at, row)
            said[tag] = {**self._making[row.line], **said.get(tag, {})}
        joined = []
        for tag, (at, row) in first.items():
            if self._is_borne(tag, at):
                continue
            filled = {c: self._mapping.words[c, ""] for c in self._mapping.filled if c in MAKING}
            event = {"tag": row.row["tag"], "kind": "joined", "at": at.isoformat(), **filled, **said.get(tag, {})}
            self._needs(row.line, event)
            joined.append(NumberedRow(row.line, event, frozenset(("tag", "kind", "at", *MAKING)) & self._columns))
        if joined:
            self._out.told.append(f"{plural(len(joined), 'reed')} not begun in it: each joins with its first line")
        self._out.rows[:0] = joined

    def _is_borne(self, tag: str, at: datetime) -> bool:
        """Whether a reed of the log bears a tag at a moment, and did not join by this very sheet."""
        moment = self._bench.clock.local(at)
        known = [self._bench.reed(reed) for reed in self._bench.tags.bearers(tag)]
        if any(reed.joined and reed.begun.replace(tzinfo=None) == at for reed in known):
            return False
        return any(reed.begun > moment or reed.was(moment).keeps_tag for reed in known)

    def _tell(self) -> None:
        for (name, kind), count in sorted(self._misplaced.items()):
            self._out.told.append(
                f"{name} is left out of {plural(count, 'line')} of “{kind}”, where it does not belong"
            )
        for (name, kind), count in sorted(self._noted.items()):
            self._out.told.append(f"{name} goes into the note of {plural(count, 'line')} of “{kind}”")
        if self._several:
            events = plural(self._several, "event is", "events are")
            self._out.told.append(f"{events} of several reeds: each reed gets it as it stands, minutes too")
        if self._sheet.passed:
            self._out.told.append(f"{plural(len(self._sheet.passed), 'line')} of sums or headings passed over")
        if self._sheet.latin:
            self._out.told.append("read as Latin-1, since it is not UTF-8")


_FACTS = frozenset(name for kind in KINDS.values() for name in kind.facts)


def _evening(moment: datetime) -> datetime:
    """The end of a day, where no time is given: what ends a reed comes after what was done with it."""
    return moment.replace(hour=18) if (moment.hour, moment.minute) == (12, 0) else moment


def _of_line(cells: Cells) -> Cells:
    """What all events of a line have in common."""
    return {name: cell for name, cell in cells.items() if name in ("tag", "at", "session")}


def _tag(row: NumberedRow) -> str:
    return str(row.row.get("tag", "")).casefold()


def _kind(row: NumberedRow) -> str:
    try:
        return kind_of(row.row.get("kind", ""))[0]
    except InputError:
        return ""
