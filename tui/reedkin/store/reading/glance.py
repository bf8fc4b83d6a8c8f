"""What the bench asks of all reeds at once, gathered as their lines are put on the shelf, so that a long log opens
fast."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import accumulate, islice
from operator import lt

from reedkin.bench.headings import Heading
from reedkin.domain.events import Event
from reedkin.domain.facts import BEGINNINGS
from reedkin.domain.uid import is_uid
from reedkin.store.reading.faults import Flaw
from reedkin.store.reading.lines import Gist, gists_of, read_document
from reedkin.store.reading.records import AMENDED, STRUCK, decoded_line, record_of, usual_records

_RETIRED, _HANDED, _RETURNED, _PLAYED = "retired", "handed over", "returned", "played"
_FEW = frozenset({_RETIRED, _HANDED, _RETURNED, STRUCK, AMENDED})
"""Kinds that hardly any line is of, so that those which are can be looked at one by one."""


class Glance:
    """
    What the lines of a log say, as far as all of them have to be looked at for it.

    latest    the latest entry that each table has a record of. It need not be that of its last line, where logs were
              merged or a clock was set back.
    greatest  the identifier that sorts after all others, of records and entries; empty if there is none.
    odd       the tables that have, or had, a line that is out of the ordinary: what they say is known from their
              documents alone.
    unsure    the tables in which an identifier may stand twice.
    played    the tables of the reeds that may have been played.
    """

    def __init__(self) -> None:
        self.latest: dict[str, str] = {}
        self.greatest = ""
        self.odd: set[str] = set()
        self.unsure: set[str] = set()
        self.played: set[str] = set()
        self._said: dict[str, list[tuple[str, bytes]]] = {_RETIRED: [], _HANDED: [], _RETURNED: []}
        """The lines of few kinds, each with its table."""
        self._corrected: set[tuple[str, str]] = set()
        """The records that an amendment or a strike is of, each with its table."""
        self._last_id = self._last_entry = ""
        """The greatest of all so far, whatever they look like."""

    # Gathering

    def all_new(self, gists: Sequence[Gist]) -> bool:
        """Whether further lines have identifiers that each sort after all before: then none can stand twice."""
        ids = [gist.id for gist in gists]
        return self._last_id < ids[0] and all(map(lt, ids, islice(ids, 1, None)))

    def take(self, gists: Sequence[Gist], rests: Sequence[bytes]) -> None:
        """Take in further lines, in the order of the file."""
        tables, docs = [gist.table for gist in gists], [gist.doc for gist in gists]
        kinds, entries = [doc.kind for doc in docs], [doc.entry for doc in docs]
        if not self.all_new(gists):
            greatest = accumulate((gist.id for gist in gists), max, initial=self._last_id)
            self.unsure.update(gist.table for gist, last in zip(gists, greatest, strict=False) if gist.id <= last)
        if self._last_entry <= entries[0] and entries == sorted(entries):
            self.latest.update(zip(tables, entries, strict=True))
        else:
            for table, entry in zip(tables, entries, strict=True):
                self._note_entry(table, entry)
        self._note_names([gist.id for gist in gists], entries)
        self.played |= {table for table, kind in zip(tables, kinds, strict=True) if kind == _PLAYED}
        for place in [place for place, kind in enumerate(kinds) if kind in _FEW]:
            table, kind = tables[place], kinds[place]
            if kind in (STRUCK, AMENDED):
                self._corrected.add((table, docs[place].of))
            else:
                self._said[kind].append((table, rests[place]))

    def take_singly(self, lines: Sequence[tuple[str, bytes]]) -> None:
        """The same of lines, each with its table, among which some may be out of the ordinary."""
        rests = [rest for _, rest in lines]
        if (gists := gists_of([b"{" + rest for rest in rests])) is not None:
            self.take(gists, rests)
        elif len(lines) > 1:
            for line in lines:
                self.take_singly([line])
        else:
            self._take_odd(*lines[0])

    def _take_odd(self, table: str, rest: bytes) -> None:
        self.odd.add(table)
        found = read_document(rest)
        if not isinstance(found, Flaw):
            head, document = found
            entry = document.get("entry")
            entry = entry if isinstance(entry, str) else ""
            self._note_entry(table, entry)
            self._note_names([head.id], [entry])

    def _note_entry(self, table: str, entry: str) -> None:
        self.latest[table] = max(self.latest.get(table, ""), entry)

    def _note_names(self, ids: Sequence[str], entries: Sequence[str]) -> None:
        last_id, last_entry = max(ids), max(entries)
        for last, names in ((last_id, ids), (last_entry, entries)):
            self.greatest = max(self.greatest, last if is_uid(last) else greatest_uid(names))
        self._last_id, self._last_entry = max(self._last_id, last_id), max(self._last_entry, last_entry)

    # What was gathered

    def headings(self, firsts: Mapping[str, bytes]) -> dict[str, Heading]:
        """What is known of reeds by the first line of their tables (each by its table); nothing of one where that does
        not suffice, and the lineage has to be folded."""
        over, away, handed = self._surely(_RETIRED), self._surely(_HANDED), self.handed
        away = away - over - {table for table, _ in self._said[_RETURNED]}
        found = {}
        for table, begun in zip(firsts, _events(firsts.items()), strict=True):
            if begun is None or begun.uid != begun.reed or begun.kind not in BEGINNINGS:
                continue
            if (table, begun.uid) not in self._corrected:
                found[table] = Heading(
                    begun.reed, begun.tag, begun.at, begun.facts, table in over, table in away,
                    handed=table in handed, played=table in self.played,
                )  # fmt: skip
        return found

    @property
    def handed(self) -> set[str]:
        """The tables of the reeds that may have been handed over."""
        return {table for table, _ in self._said[_HANDED]}

    def _surely(self, kind: str) -> set[str]:
        """The tables in which an event of a kind stands as it was written."""
        said = self._said[kind]
        found = zip(said, _events(said), strict=True)
        return {table for (table, _), event in found if event and (table, event.uid) not in self._corrected}


def greatest_uid(names: Iterable[str]) -> str:
    """The greatest of these that has the shape of an identifier made here; empty if none has."""
    return max(filter(is_uid, names), default="")


def _events(lines: Iterable[tuple[str, bytes]]) -> list[Event | None]:
    """The events that some lines keep, each given with its table; None where one keeps none."""
    lines = list(lines)
    usual = usual_records([rest for _, rest in lines])
    return [one if isinstance(one, Event) else _event(*line) for one, line in zip(usual, lines, strict=True)]


def _event(table: str, rest: bytes) -> Event | None:
    try:
        line = decoded_line(b"{" + rest)
        record = record_of(table, line.id, line.doc)
    except (ValueError, RecursionError):
        return None
    return record if isinstance(record, Event) else None
