"""What was said of the things beside the reeds: lots, tubes, orders, trials, work sessions, targets, settings."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from reedkin.domain.events import Statement, Strike, standing
from reedkin.domain.facts import Value


class Beside:
    """The statements of a log, and the strikes that took some of them back."""

    def __init__(self, records: Iterable[Statement | Strike] = ()) -> None:
        self._records: list[Statement | Strike] = list(records)
        self._said: dict[str, list[Statement]] | None = None
        self._subjects: dict[str, dict[str, dict[str, Value]]] = {}

    def add(self, record: Statement | Strike) -> None:
        """Take a further record into account."""
        self._records.append(record)
        self._said = None

    def records(self) -> list[Statement | Strike]:
        """All records beside the lineages, as written."""
        return list(self._records)

    def said(self, table: str) -> Sequence[Statement]:
        """What was said of the things in a table and stands, in the order in which it was recorded."""
        if self._said is None:
            self._said, self._subjects = {}, {}
            struck = standing(s for s in self._records if isinstance(s, Strike))
            for said in sorted((s for s in self._records if isinstance(s, Statement)), key=lambda s: s.uid):
                if said.uid not in struck:
                    self._said.setdefault(said.table, []).append(said)
        return self._said.get(table, ())

    def subjects(self, table: str) -> dict[str, dict[str, Value]]:
        """What is known of each thing in a table, in the order of first mention; not to be changed."""
        said = self.said(table)
        if table not in self._subjects:
            known = self._subjects[table] = {}
            for one in said:
                known.setdefault(one.subject, {}).update(one.facts)
        return self._subjects[table]
