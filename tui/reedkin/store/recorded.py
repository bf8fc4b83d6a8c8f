"""What the documents of a log say, as records: those of a table that is asked for, and all that a bench begins with."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from reedkin.bench.bearers import TAGS_TABLE
from reedkin.bench.bench import Bench
from reedkin.bench.headings import Heading
from reedkin.domain.events import REED_TABLE, Event, Record, Statement, Strike, reed_table
from reedkin.domain.facts import BESIDE
from reedkin.domain.reeds import fold
from reedkin.store.reading.records import from_document, record_of, usual_lines, usual_records
from reedkin.store.storage import AppendOnlyStorage

_BESIDE = (*BESIDE, TAGS_TABLE)


class Recorded:
    """Of the log that a storage holds; `misfits` grow as tables are read."""

    def __init__(self, storage: AppendOnlyStorage) -> None:
        self._storage = storage
        self._misfits: dict[str, None] = {}

    @property
    def misfits(self) -> list[str]:
        """Sound documents that are no records, in words: another program wrote them, or a newer version."""
        return list(self._misfits)

    def records(self, table: str) -> list[Record]:
        """The records of a table in the order of the file."""
        if not table.startswith(REED_TABLE):
            said = usual_records(self._storage.lines(table))
            usual = [one for one in said if one is not None]
            if len({one.uid for one in usual}) == len(said):
                return [*usual]
        lines = usual_lines(self._storage.text(table))
        if lines is not None:
            try:
                return [record_of(table, line.id, line.doc) for line in lines]
            except ValueError:
                pass  # told below, record by record
        found = []
        for uid, document in self._storage.documents(table).items():
            try:
                found.append(from_document(table, uid, document))
            except ValueError as problem:
                self._misfits[f"{table}: {uid} is not a record that this version knows ({problem})"] = None
        return found

    def lineage(self, reed: str) -> list[Record]:
        """The records of a reed."""
        return self.records(reed_table(reed))

    def beside(self) -> list[Statement | Strike]:
        """What was said of things beside the reeds."""
        return [r for table in _BESIDE for r in self.records(table) if isinstance(r, (Statement, Strike))]

    def headings(self) -> Iterator[Heading]:
        """What is known of each reed, mostly without reading its lineage."""
        storage, glance = self._storage, self._storage.glance
        odd = {*glance.odd, *(table for table in glance.unsure if usual_lines(storage.text(table)) is None)}
        for table in odd:
            storage.documents(table)  # which shows the damage that there is in them
        reeds = [table for table in storage.names() if table.startswith(REED_TABLE)]
        known = glance.headings({table: storage.first(table) for table in reeds if table not in odd})
        yield from known.values()
        handed, played = glance.handed | odd, glance.played | odd
        for table in reeds:
            if table not in known and (folded := self._folded(table.removeprefix(REED_TABLE))) is not None:
                yield replace(folded, handed=table in handed, played=table in played)

    def _folded(self, reed: str) -> Heading | None:
        """What is known of a reed from its whole lineage, where its first line does not suffice."""
        try:
            whole = fold(reed, self.lineage(reed))
        except ValueError:
            self._misfits[f"{reed_table(reed)}: the event that began this reed is missing"] = None
            return None
        begun = whole.steps[0]
        return Heading(reed, whole.tag, begun.at, begun.facts, void=whole.void, written=begun.event.facts)

    def further(self, lines: Mapping[str, Sequence[bytes]], bench: Bench) -> dict[str, list[Record]] | None:
        """The records of `lines` that came in, by table, as they go on from a bench; None where one of them is no
        record, is of a reed that lacks its beginning or of a table that is not known, or stands in the log already."""
        further: dict[str, list[Record]] = {}
        for table, new in lines.items():
            documents = list(self._storage.documents(table).items())  # takes out what is none of its own
            if self._storage.lines(table)[-len(new) :] != list(new):
                return None
            try:
                records = [from_document(table, uid, document) for uid, document in documents[-len(new) :]]
            except ValueError:
                return None
            reed = table.removeprefix(REED_TABLE)
            begun = reed in bench or any(isinstance(r, Event) and r.uid == reed for r in records)
            if not (begun if table.startswith(REED_TABLE) else table in _BESIDE):
                return None
            further[table] = records
        return further
