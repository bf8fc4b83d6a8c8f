"""The lineages of a log, each read and folded into its reed only when it is asked for."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace

from reedkin.bench.bearers import Bearers
from reedkin.bench.headings import Headings
from reedkin.domain.events import Event, Record
from reedkin.domain.reeds import Reed, extended, fold


class Lineages:
    """Reeds by id. `source` gives the records that a lineage had when the log was opened."""

    def __init__(self, source: Callable[[str], Iterable[Record]], headings: Headings, bearers: Bearers) -> None:
        self.source = source
        self._headings, self._bearers = headings, bearers
        self._added: dict[str, list[Record]] = {}
        self._folded: dict[str, Reed] = {}

    def records(self, reed: str) -> list[Record]:
        """All records of a reed's lineage, as they were written."""
        return list({r.uid: r for r in (*self.source(reed), *self.added(reed))}.values())

    def added(self, reed: str) -> list[Record]:
        """The records that came in since the log was opened."""
        return self._added.get(reed, [])

    def reed(self, reed: str) -> Reed:
        """The reed with this id. Raises KeyError if there is none."""
        if reed not in self._folded:
            self._folded[reed] = self._fold(reed, self.records(reed))
        return self._folded[reed]

    def in_passing(self, reed: str) -> tuple[Reed, list[Record]]:
        """A reed and its records, for whoever looks at one after another: neither is kept, so that a long log takes no
        more memory than its longest lineage."""
        records = self.records(reed)
        return self._folded.get(reed) or self._fold(reed, records), records

    def _fold(self, reed: str, records: Iterable[Record]) -> Reed:
        return replace(fold(reed, records, *self._bearers.place(reed)), tag=self._headings[reed].tag)

    def all(self) -> list[Reed]:
        """Every reed that was, oldest first. Reads the whole log."""
        return [self.reed(reed) for reed in self._headings.reeds()]

    # Taking in

    def add(self, reed: str, record: Record) -> None:
        """Take a further record into account: into a reed that was folded already by itself if it can be, else the
        reed is folded anew when it is next asked for."""
        self._added.setdefault(reed, []).append(record)
        known = self._folded.pop(reed, None)
        longer = extended(known, record) if known is not None and isinstance(record, Event) else None
        if longer is not None:
            self._folded[reed] = longer

    def forget(self, reeds: Iterable[str]) -> None:
        """Have these reeds folded anew when they are next asked for."""
        for reed in reeds:
            self._folded.pop(reed, None)

    # For another thread

    def held(self) -> tuple[dict[str, list[Record]], dict[str, Reed]]:
        """What came in and what was folded, for the lineages of a snapshot."""
        return {reed: list(records) for reed, records in self._added.items()}, self.folded()

    def hold(self, added: dict[str, list[Record]], folded: dict[str, Reed]) -> None:
        """Take what other lineages `held`, and keep it."""
        self._added, self._folded = added, folded

    def folded(self) -> dict[str, Reed]:
        """The reeds that were folded so far."""
        return dict(self._folded)

    def take_over(self, folded: Mapping[str, Reed]) -> None:
        """Keep reeds that were folded elsewhere of the same records."""
        self._folded = {**folded, **self._folded}
