"""Every conflict of two logs that were merged."""

from __future__ import annotations

from collections.abc import Iterator

from reedkin.bench.bench import Bench
from reedkin.domain.events import REED_TABLE
from reedkin.store.merging.conflicts.beside_reeds import in_sayings
from reedkin.store.merging.conflicts.in_lineages import in_lineage
from reedkin.store.merging.conflicts.settling import Conflict, Sides
from reedkin.store.merging.conflicts.shared import shared_tags, shared_trials, shared_tubes
from reedkin.store.merging.merging import MergePlan


def conflicts(merged: Bench, plan: MergePlan) -> Iterator[Conflict]:
    """What the two logs of a plan say that does not go together, once it was carried out. The same whichever log was
    merged into which, but for what is called here and there."""
    sides = Sides(merged, plan.ours, frozenset(uid for _, uid, _ in plan.new))
    if not sides.theirs:
        return
    yield from shared_tags(sides)
    for table in plan.grown_twice:
        reed = table.removeprefix(REED_TABLE)
        if table.startswith(REED_TABLE) and reed in merged:
            yield from in_lineage(reed, sides)
    yield from in_sayings(sides)
    yield from shared_tubes(sides)
    yield from shared_trials(sides)
