"""Amending an event: its entry line is read again as if at its own moment, against the reed as it was then."""

from __future__ import annotations

from dataclasses import dataclass

from reedkin.bench.bench import Bench
from reedkin.domain.reeds import Reed, Step
from reedkin.grammar.actions import ReedAction
from reedkin.grammar.reading import read_again


@dataclass(frozen=True, slots=True)
class Amending:
    """What an amended line would say: the action with its time, or why not. `questions` are its odd values."""

    action: ReedAction | None
    error: str | None = None
    questions: tuple[str, ...] = ()


def read_amended(line: str, reed: Reed, step: Step, bench: Bench) -> Amending:
    """Read `line` as what the event of `step` should have said. It keeps its kind, and its time unless one is given."""
    reading = read_again(line, bench, reed, step)
    if reading.errors:
        return Amending(None, reading.errors[0].message)
    action = reading.actions[0] if len(reading.actions) == 1 else None
    if not isinstance(action, ReedAction) or action.kind != step.kind:
        return Amending(None, f"an amendment says one thing of the same kind ({step.kind}); strike this and enter anew")
    return Amending(action, None, tuple(q.message for q in reading.questions))
