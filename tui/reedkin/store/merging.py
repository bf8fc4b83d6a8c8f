"""Two logs that grew apart become one: the union of their documents by uid, the same whichever is merged into which."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from reedkin.bench.bench import Bench
from reedkin.bench.trials import Trial, trials
from reedkin.domain.events import reed_table
from reedkin.domain.reeds import Reed
from reedkin.grammar.ways import same_measure
from reedkin.store.log import Log

Document = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class MergePlan:
    """
    What the other log adds to ours: `new` documents, each with its table and uid, in the order of their uids.
    `known` counts those that both have; `differing` names (table, uid) of those that both have with other content,
    which no program of ours writes.
    """

    new: tuple[tuple[str, str, Document], ...]
    known: int
    differing: tuple[tuple[str, str], ...]

    @property
    def reeds(self) -> int:
        """Reeds that are in the other log only."""
        return sum(table == reed_table(uid) for table, uid, _ in self.new)


@dataclass(frozen=True, slots=True)
class SameTag:
    """Two reeds that bore one tag at the same time, one begun in each log; the earlier first."""

    tag: str
    first: Reed
    second: Reed


def plan_merge(ours: Log, theirs: Log) -> MergePlan:
    """What the other log would add. Reads all of both."""
    new, differing, known = [], [], 0
    for table in theirs.tables:
        here = ours.documents(table)
        for uid, document in theirs.documents(table).items():
            if uid not in here:
                new.append((table, uid, document))
            elif here[uid] == document:
                known += 1
            else:
                differing.append((table, uid))
    new.sort(key=lambda one: (one[1], one[0]))
    return MergePlan(tuple(new), known, tuple(differing))


def same_tags(merged: Bench, ours: frozenset[str], theirs: frozenset[str]) -> Iterator[SameTag]:
    """The reeds that took the same tag on both sides, for the maker to settle. `ours` and `theirs` are the ids of the
    reeds that each log had before. The same whichever log was merged into which."""
    bearers: dict[str, list[Reed]] = {}
    for reed in merged.reeds():
        bearers.setdefault(reed.tag.casefold(), []).append(reed)
    for reeds in bearers.values():
        for place, first in enumerate(reeds):
            for second in reeds[place + 1 :]:
                apart = (first.id in ours) != (second.id in ours) and (first.id in theirs) != (second.id in theirs)
                if apart and _overlap(first, second):
                    yield SameTag(first.tag, first, second)


def _overlap(first: Reed, second: Reed) -> bool:
    """Whether a reed still had its tag when the second was begun."""
    if first.now.keeps_tag:
        return True
    let_go = first.retirement or first.last
    return second.begun < let_go.at


def same_trials(merged: Bench, ours: frozenset[str]) -> Iterator[tuple[Trial, Trial]]:
    """The trials that were started on both sides under one name, or that both run and draw the same for the same reeds;
    the earlier of each two first. `ours` are the uids of the trials that our log had before."""
    every = trials(merged)
    for place, first in enumerate(every):
        for second in every[place + 1 :]:
            if (first.uid in ours) == (second.uid in ours):
                continue
            both = first.running and second.running
            if first.name.casefold() == second.name.casefold() or (both and same_measure(first, second)):
                yield first, second
