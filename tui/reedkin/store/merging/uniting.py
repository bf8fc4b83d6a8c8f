"""Taking in what another log of the same maker holds, with all that it is checked for first."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from reedkin.domain.figures import plural
from reedkin.errors import InputError, LogError
from reedkin.store.log import Log
from reedkin.store.merging.conflicts.conflicts import conflicts
from reedkin.store.merging.conflicts.settling import Conflict
from reedkin.store.merging.conflicts.unsettled import forget_settled, note_merge
from reedkin.store.merging.merging import Document, MergePlan, plan_union


@dataclass(frozen=True, slots=True)
class United:
    """What was taken in, and what of it does not go together with what was there."""

    plan: MergePlan
    conflicts: tuple[Conflict, ...]

    def lines(self) -> list[str]:
        """What was taken in, in words."""
        taken = f"Taken in: {plural(len(self.plan.new), 'record')}, {plural(self.plan.reeds, 'new reed')}."
        both = f"{plural(self.plan.known, 'record was', 'records were')} in both."
        return [taken, both] if self.plan.known else [taken]


def unite(ours: Log, theirs: Log, seen: bool = False) -> United:
    """Write what the other log holds into ours. Raises LogError where it has damage that nobody has `seen`, or a record
    that stands in ours with other content; nothing is written then."""
    _check_theirs(theirs, seen)
    return unite_documents(ours, {table: theirs.documents(table) for table in theirs.tables}, str(theirs.path))


def unite_documents(ours: Log, theirs: Mapping[str, Mapping[str, Document]], name: str) -> United:
    """As `unite`, of the documents of a file called `name`, by table and uid."""
    plan = plan_union(ours, theirs)
    refuse_differing(plan, name)
    note_merge(ours.path, plan)
    ours.unite(plan.new)
    forget_settled(ours.path, ours.bench)
    return United(plan, tuple(conflicts(ours.bench, plan)))


def refuse_same(path: Path, own: Path) -> None:
    """Raises InputError where the other log is the log itself."""
    if own.exists() and path.exists() and path.samefile(own):
        raise InputError(f"{path} is the log itself. Name the other one.")


def _check_theirs(theirs: Log, seen: bool) -> None:
    """Raises LogError where the other log has damage that nobody has seen: what it lost would come too late."""
    for table in theirs.tables:
        theirs.documents(table)  # a damaged document shows when it is read
    if theirs.damaged and not seen:
        raise LogError(
            f"Nothing was taken in: {theirs.path} is damaged. To see how: reedkin --log {theirs.path} check\n"
            f"To take in what can be trusted: reedkin merge {theirs.path} --seen"
        )


def refuse_differing(plan: MergePlan, name: str) -> None:
    """Raises LogError where a record of the other log, which is called `name`, stands in ours with other content."""
    if plan.differing:
        table, uid = plan.differing[0]
        raise LogError(
            f"Nothing was taken in: {plural(len(plan.differing), 'record')} of {name} stand in this log with "
            f"other content, the first {uid} in {table}. One of the two was changed by hand; mend that first."
        )
