"""Entries of a log found again: the latest that stands, and those that somebody names by an identifier or its end."""

from __future__ import annotations

from reedkin.bench.trials import is_look
from reedkin.domain.events import Event, Record, Statement, Strike, standing
from reedkin.store.recorded import Recorded
from reedkin.store.storage import AppendOnlyStorage


class Entries:
    """Of the log that a storage holds."""

    def __init__(self, storage: AppendOnlyStorage, recorded: Recorded) -> None:
        self._storage, self._recorded = storage, recorded

    def last(self) -> list[Record]:
        """The records of the latest entry that stands, however many reeds it was about; empty if there is none. A
        correction is an entry too, but not what took an entry back."""
        entries: dict[str, list[Record]] = {}
        latest = ""
        ranked = sorted(((entry, table) for table, entry in self._storage.glance.latest.items()), reverse=True)
        for entry, table in ranked:
            if entry < latest:
                break
            records = self._recorded.records(table)
            struck = standing(r for r in records if isinstance(r, Strike))
            for record in records:
                if not (
                    (isinstance(record, Strike) and not record.correction) or record.uid in struck or is_look(record)
                ):
                    entries.setdefault(record.entry, []).append(record)
                    latest = max(latest, record.entry)
        return entries[latest] if entries else []

    def named(self, ending: str) -> list[Record]:
        """The events and statements whose uid is this, or ends so."""
        held = (r for table in self._holding(ending) for r in self._recorded.records(table))
        return [r for r in held if isinstance(r, (Event, Statement)) and r.uid.endswith(ending)]

    def of(self, entry: str) -> list[Event]:
        """The events of all reeds that were recorded in an entry, as they were written, in order."""
        held = (record for table in self._holding(entry) for record in self._recorded.records(table))
        return sorted((r for r in held if isinstance(r, Event) and r.entry == entry), key=lambda r: r.uid)

    def _holding(self, uid: str) -> list[str]:
        """The tables that can have a record with a uid, or the end of one, by the bytes of their lines."""
        wanted = uid.encode()
        return [table for table in self._storage.names() if wanted in self._storage.text(table)]
