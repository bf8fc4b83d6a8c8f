"""What do the fair trials say?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from reedkin.answers.question import Asked
from reedkin.answers.trials.comparison import Comparison, compare, compare_all, trial_json
from reedkin.answers.trials.words import comparison_lines, progress, what
from reedkin.bench.trials import Trial
from reedkin.study.ticks import Tick

if TYPE_CHECKING:
    from reedkin.contract.lives import ComparisonJson, TrialsJson


@dataclass(frozen=True, slots=True)
class Trials:
    """Every trial compared, the one started last first."""

    found: tuple[Comparison, ...]

    def to_json(self) -> TrialsJson:
        return {
            "trials": [{**trial_json(c.trial), "assigned": c.assigned, "worn_out": c.worn} for c in self.found],
        }

    def lines(self) -> list[str]:
        if not self.found:
            return ["No trials yet. To start one: reedkin trial start wire before or after eh for 40"]
        return [f"{c.trial.label}: {what(c.trial)}, {progress(c)}" for c in self.found]


@dataclass(frozen=True, slots=True)
class TrialsQuestion:
    """Every trial."""

    def answer(self, asked: Asked, tick: Tick) -> Trials:
        return Trials(tuple(compare_all(asked.bench, tick)))


@dataclass(frozen=True, slots=True)
class OneTrial:
    """A trial compared."""

    comparison: Comparison

    def to_json(self) -> ComparisonJson:
        return self.comparison.to_json()

    def lines(self) -> list[str]:
        return comparison_lines(self.comparison)


@dataclass(frozen=True, slots=True)
class OneTrialQuestion:
    """One trial."""

    trial: Trial

    def answer(self, asked: Asked, tick: Tick) -> OneTrial:
        return OneTrial(compare(self.trial, asked.bench))
