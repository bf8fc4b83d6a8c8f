"""Two logs that grew apart become one: the union of their documents by uid, the same whichever is merged into which."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from reedkin.domain.events import reed_table
from reedkin.store.log import Log

Document = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class MergePlan:
    """
    What the other log adds to ours: `new` documents, each with its table and uid, in the order of their uids.
    `known` counts those that both have; `differing` names (table, uid) of those that both have with other content,
    which no program of ours writes. `ours` are the uids of what the other log lacks, and `grown_twice` the tables in
    which each has what the other lacks.
    """

    new: tuple[tuple[str, str, Document], ...]
    known: int
    differing: tuple[tuple[str, str], ...]
    ours: frozenset[str] = frozenset()
    grown_twice: tuple[str, ...] = ()

    @property
    def reeds(self) -> int:
        """Reeds that are in the other log only."""
        return sum(table == reed_table(uid) for table, uid, _ in self.new)


def plan_union(ours: Log, theirs: Mapping[str, Mapping[str, Document]]) -> MergePlan:
    """What another log's documents, by table and uid, would add. Reads all of both."""
    new, differing, known, lacked, grown = [], [], 0, set[str](), []
    for table in dict.fromkeys((*ours.tables, *theirs)):
        here, there = ours.documents(table), theirs.get(table, {})
        further = [(table, uid, document) for uid, document in there.items() if uid not in here]
        alone = here.keys() - there.keys()
        new += further
        lacked |= alone
        differing += [(table, uid) for uid, document in there.items() if uid in here and here[uid] != document]
        known += sum(uid in here and here[uid] == document for uid, document in there.items())
        if further and alone:
            grown.append(table)
    new.sort(key=lambda one: (one[1], one[0]))
    return MergePlan(tuple(new), known, tuple(differing), frozenset(lacked), tuple(grown))
