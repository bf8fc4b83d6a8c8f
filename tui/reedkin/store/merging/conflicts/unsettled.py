"""Which records each of two logs brought to a merge, kept beside the log: without it nobody could tell later what of
them did not go together. As long as anything is unsettled, `check` tells it again."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import suppress
from glob import escape
from pathlib import Path

import msgspec

from reedkin.bench.bench import Bench
from reedkin.store.disk.calls import Disk, clear_unfinished, mode_of
from reedkin.store.disk.logfile import unreadable
from reedkin.store.errors import LogUnreadableError, LogUnwritableError
from reedkin.store.merging.conflicts.conflicts import conflicts
from reedkin.store.merging.conflicts.settling import Conflict
from reedkin.store.merging.merging import MergePlan


class _Merge(msgspec.Struct, frozen=True):
    """What is kept of a merge: the uids that one log alone had, and the tables in which both had such."""

    ours: list[str]
    theirs: list[str]
    grown_twice: list[str]

    @classmethod
    def of(cls, plan: MergePlan) -> _Merge:
        return cls(sorted(plan.ours), [uid for _, uid, _ in plan.new], list(plan.grown_twice))

    def plan(self) -> MergePlan:
        new = tuple(("", uid, dict[str, object]()) for uid in self.theirs)
        return MergePlan(new, 0, (), frozenset(self.ours), tuple(self.grown_twice))


_decoder = msgspec.json.Decoder(list[_Merge])


def _beside(log: Path) -> Path:
    real = Path(os.path.realpath(log))
    return real.with_name(f"{real.name}.merged")


def note_merge(log: Path, plan: MergePlan) -> None:
    """Keep what each log brings to a merge that is about to be done. Raises LogUnwritableError, that nothing be taken
    in of which it could not be told later what did not go together, and LogUnreadableError."""
    if not (plan.new and plan.ours):
        return
    merges = [*_kept(log), _Merge.of(plan)]
    try:
        _keep(log, merges)
    except OSError as error:
        raise LogUnwritableError(
            f"Nothing was taken in: {_beside(log)} cannot be written: {error.strerror or error}. Free some space, or "
            "check who may write there."
        ) from error


def unsettled(log: Path, bench: Bench) -> Iterator[Conflict]:
    """What of earlier merges still does not go together, each once. Raises LogUnreadableError."""
    found: dict[str, Conflict] = {}
    for merge in _kept(log):
        found |= {conflict.message: conflict for conflict in conflicts(bench, merge.plan())}
    yield from found.values()


def forget_settled(log: Path, bench: Bench) -> None:
    """Keep only the merges of which something is unsettled. Raises LogUnreadableError."""
    merges = _kept(log)
    left = [merge for merge in merges if any(conflicts(bench, merge.plan()))]
    if len(left) < len(merges):
        with suppress(OSError):  # what is kept too long is only looked at in vain
            _keep(log, left)


def _kept(log: Path) -> list[_Merge]:
    path = _beside(log)
    try:
        return _decoder.decode(path.read_bytes())
    except FileNotFoundError:
        return []
    except OSError as error:
        raise unreadable(path, error) from error
    except (msgspec.DecodeError, RecursionError) as error:
        raise LogUnreadableError(
            f"{path} is damaged, which keeps what did not go together when logs were merged. The log itself is not. "
            "Remove that file, then do this again."
        ) from error


def _keep(log: Path, merges: list[_Merge]) -> None:
    path = _beside(log)
    clear_unfinished(path.parent, escape(path.name))
    if merges:
        Disk().create(path, [msgspec.json.encode(merges)], replace=True, mode=mode_of(log))
    else:
        path.unlink(missing_ok=True)
