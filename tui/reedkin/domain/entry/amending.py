"""Amending an event: its entry line is read again as if at its own moment, against the reed as it was then."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime

from reedkin.domain.bench import Bench
from reedkin.domain.entry.reading import Reading, ReedAction, read
from reedkin.domain.events import Amendment
from reedkin.domain.facts import BEGINNINGS
from reedkin.domain.reeds import Reed, Step
from reedkin.domain.uid import UidMaker


@dataclass(frozen=True, slots=True)
class Amending:
    """What an amended line would say: the action with its time, or why not. `questions` are its odd values."""

    action: ReedAction | None
    error: str | None = None
    questions: tuple[str, ...] = ()


def read_amended(line: str, reed: Reed, step: Step, bench: Bench) -> Amending:
    """Read `line` as what the event of `step` should have said. It keeps its kind, and its time unless one is given."""
    before = [
        replace(s.event, facts=s.facts, at=s.at, note=s.note)
        for s in reed.standing
        if s.event.uid != step.event.uid and (s.at, s.event.uid) < (step.at, step.event.uid)
    ]
    then = Bench.of(bench.clock, [*before, *bench.statements()])
    if step.kind in BEGINNINGS:
        reading = read(f"#{reed.tag} {line}", then)
    else:
        reading = read(line, then, then.reed(reed.id) if reed.id in then else reed)
    return _judged(reading, step)


def _judged(reading: Reading, step: Step) -> Amending:
    if reading.errors:
        return Amending(None, reading.errors[0].message)
    actions = [a for a in reading.actions if isinstance(a, ReedAction)]
    if len(actions) != 1 or len(reading.actions) != 1 or actions[0].kind != step.kind:
        return Amending(None, f"an amendment says one thing of the same kind ({step.kind}); strike this and enter anew")
    action = actions[0] if reading.at is not None else replace(actions[0], at=step.at)
    return Amending(action, None, tuple(q.message for q in reading.questions))


def to_amendment(action: ReedAction, reed: Reed, step: Step, uids: UidMaker, now: datetime) -> Amendment:
    """The record that amends the event of `step` to what `action` says."""
    return Amendment(uids.new(), reed.id, step.event.uid, action.at, now, uids.new(), action.facts, action.note)
