"""Which habits go with longer or shorter lives, in the logs of a circle and one's own?"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from reedkin.answers.circle.asked_together import Together
    from reedkin.answers.question import Asked
    from reedkin.contract.lives import HabitsJson
    from reedkin.study.lives import Clock
    from reedkin.study.ticks import Tick


@dataclass(frozen=True, slots=True)
class CircleAnswer:
    """What a log and its circle say."""

    together: Together

    def to_json(self) -> HabitsJson:
        return self.together.to_json()

    def lines(self) -> list[str]:
        from reedkin.answers.circle.words import together_lines

        return together_lines(self.together)


@dataclass(frozen=True, slots=True)
class CircleQuestion:
    """The same as the habits question, asked of these files too. `seen` is what tells that one of them changed. Where
    it is `strict`, a file that cannot be used ends it."""

    clock: Clock
    files: tuple[Path, ...]
    seen: tuple[int, ...] = ()
    strict: bool = False

    def answer(self, asked: Asked, tick: Tick) -> CircleAnswer:
        from reedkin.answers.circle.asked_together import asked_together
        from reedkin.answers.circle.gathering import gathered
        from reedkin.answers.circle.marks import marks_of
        from reedkin.answers.habits.report import belief_of, habits_report
        from reedkin.study.ticks import part

        study = asked.study
        circle = gathered(self.files, marks_of(study.lives), self.strict)
        report = habits_report(study, self.clock, tick=part(tick, 0.0, 0.8), belief=belief_of(asked.bench), every=True)
        return CircleAnswer(asked_together(study, report, circle, part(tick, 0.8, 1.0)))


def as_of(files: list[Path]) -> tuple[int, ...]:
    """What changes when one of these files does."""
    return tuple(path.stat().st_mtime_ns if path.exists() else 0 for path in files)
