"""The habits report: what in the making and the use of reeds goes with longer or shorter lives.

It says what goes together and never what causes what.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Literal

from reedkin.answers.habits.effects import Effect, Untold, effect_of
from reedkin.study.habits import HABITS, Habit
from reedkin.study.lives import Clock
from reedkin.study.study import Study
from reedkin.study.ticks import Tick, no_tick, part
from reedkin.survival import benjamini_hochberg, events_needed

Evidence = Literal["clear", "leaning", "unclear"]
Direction = Literal["shorter", "longer"]

LEVEL = 0.05
FEW_RETIRED = 20
"""With fewer retirements the report says that it is early days."""


@dataclass(frozen=True, slots=True)
class Finding:
    """
    What the log says of one habit. `per` is what `effect.hazard_ratio` compares; `q` is p adjusted for all habits
    tried.

    evidence   'clear' if q is below 0.05: of all habits called clear, about one in twenty is so by luck. 'leaning' if
               only p is: one habit in twenty without any effect leans by luck. Otherwise 'unclear'.
    direction  of the lives of reeds with more of the habit.
    more_retirements_needed  for a chance of four in five that it becomes clear if the effect is as it seems now; None
               if it is clear, or seems to have no effect at all. Reckoned at the level that a habit needs if it is the
               only clear one among all tried.
    """

    habit: Habit
    per: str
    effect: Effect
    q: float
    evidence: Evidence
    direction: Direction
    more_retirements_needed: int | None

    def to_json(self) -> dict[str, Any]:
        effect = self.effect
        return {
            "habit": self.habit.name,
            "label": label_of(self.habit, effect),
            "per": self.per,
            "kind": self.habit.kind,
            "n": effect.n,
            "retired": effect.retired,
            "hazard_ratio": _finite(effect.hazard_ratio),
            "ci": [_finite(effect.lo), _finite(effect.hi)],
            "p": effect.p,
            "q": self.q,
            "evidence": self.evidence,
            "direction": self.direction,
            "more_retirements_needed": self.more_retirements_needed,
        }


@dataclass(frozen=True, slots=True)
class Untried:
    """A habit of which the log cannot tell, and why."""

    habit: Habit
    why: str


@dataclass(frozen=True, slots=True)
class HabitsReport:
    """`findings` are ordered by evidence; `reeds` served, and `retired` of them were retired for wear."""

    clock: Clock
    reeds: int
    retired: int
    findings: tuple[Finding, ...]
    untried: tuple[Untried, ...]

    @property
    def early_days(self) -> str | None:
        """What to say when there are too few retirements to tell much; None if there are enough."""
        if self.retired >= FEW_RETIRED:
            return None
        doubling = events_needed(2.0, share=0.5)
        were = "reed has" if self.retired == 1 else "reeds have"
        return (
            f"Early days: {self.retired or 'no'} {were} been retired for wear so far. A habit that makes lives end "
            f"twice as fast takes about {doubling} to show. Until then the log tells how long your reeds last, what to "
            "play today, and how evenly you make them."
        )

    @property
    def leaning_by_luck(self) -> float:
        """How many of the habits tried would lean or better by luck alone, if none had any effect."""
        return LEVEL * len(self.findings)

    def to_json(self) -> dict[str, Any]:
        """The report as `habits --json` gives it; null for a limit that the data do not set."""
        return {
            "clock": self.clock,
            "reeds": self.reeds,
            "retired": self.retired,
            "habits": [finding.to_json() for finding in self.findings],
        }


def habits_report(
    study: Study, clock: Clock = "hours", habits: tuple[Habit, ...] = HABITS, tick: Tick = no_tick
) -> HabitsReport:
    """Ask the log about each of the habits."""
    rows = study.rows(clock, whole=True)
    effects: list[tuple[Habit, Effect]] = []
    untried: list[Untried] = []
    for place, habit in enumerate(habits):
        own = part(tick, place / len(habits), (place + 1) / len(habits))
        own(0.0)
        try:
            effects.append((habit, effect_of(study, habit, clock, own)))
        except Untold as why:
            untried.append(Untried(habit, str(why)))
    adjusted = benjamini_hochberg([effect.p for _, effect in effects]) if effects else ()
    findings = [
        _finding(habit, effect, float(q), len(effects)) for (habit, effect), q in zip(effects, adjusted, strict=True)
    ]
    findings.sort(key=lambda finding: (finding.q, finding.effect.p))
    reeds = len(set(rows.life.tolist()))
    return HabitsReport(clock, reeds, int(rows.event.sum()), tuple(findings), tuple(untried))


def _finding(habit: Habit, effect: Effect, q: float, tried: int) -> Finding:
    evidence: Evidence = "clear" if q < LEVEL else "leaning" if effect.p < LEVEL else "unclear"
    return Finding(
        habit,
        per_of(habit, effect),
        effect,
        q,
        evidence,
        "shorter" if effect.hazard_ratio > 1 else "longer",
        None if evidence == "clear" else effect.more_needed(LEVEL / tried),
    )


def label_of(habit: Habit, effect: Effect) -> str:
    """The title of a habit's row, with the word that differs most."""
    return habit.label if effect.word is None else f"{habit.label} {effect.word}"


def per_of(habit: Habit, effect: Effect) -> str:
    """What is compared."""
    if effect.word is None:
        return habit.per
    return f"{habit.label.lower()} {effect.word} rather than {habit.low}"


def sentence(per: str, effect: Effect) -> str:
    """An effect in words: 'each extra millimetre tied: lives end 1.4 times as fast, between 1.1 and 1.9'."""
    ratio, lo, hi = (times(value) for value in (effect.hazard_ratio, effect.lo, effect.hi))
    return f"{per}: lives end {ratio} times as fast, between {lo} and {hi}"


def times(ratio: float) -> str:
    """A ratio for people: two digits that tell."""
    if not math.isfinite(ratio) or ratio >= 100:
        return "over 100"
    if ratio < 0.01:
        return "under 0.01"
    if ratio >= 10:
        return f"{ratio:.0f}"
    return f"{ratio:.1f}" if ratio >= 1.1 else f"{ratio:.2f}"


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None
