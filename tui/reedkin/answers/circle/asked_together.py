"""
The habits report, asked of a circle: for each habit what the others' logs say, and what that makes of one's own.

What the others say is the belief before, and her own log moves it (`survival/makers.py`). No answer is called clear
that rests on one file alone: each is reckoned again without each of the files, and where that makes another word of it,
it is told whose file it is.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from statistics import median
from typing import TYPE_CHECKING

from reedkin.answers.circle.estimates import Estimate, estimate_of
from reedkin.answers.circle.gathering import Circle
from reedkin.answers.habits.effects import CLEAR, Effect
from reedkin.answers.habits.hours import Hours, hours_of
from reedkin.answers.habits.report import LEANING, Direction, Evidence, Finding, HabitsReport
from reedkin.domain import as_json
from reedkin.store.circle.shares import HabitShare
from reedkin.study.habits import HABITS, Habit
from reedkin.study.lives import Clock
from reedkin.study.study import Study
from reedkin.study.ticks import Tick, no_tick
from reedkin.survival import StatisticsError
from reedkin.survival.combining import Combined, combine
from reedkin.survival.makers import ForHer, Makers, Others

if TYPE_CHECKING:
    from reedkin.contract.lives import CircleHabitJson, HabitsJson

SEEN_UNLIKE = 0.5
"""The chance from which a maker is said to be unlike the others."""
_NEARLY_CLEAR = 0.90


@dataclass(frozen=True, slots=True)
class MakerTold:
    """What one of the others says of a habit. unlike: the chance that she is unlike the rest."""

    name: str
    value: float
    se: float
    reeds: int
    retired: int
    unlike: float


@dataclass(frozen=True, slots=True)
class Without:
    """What would be believed without one maker's file."""

    name: str
    chance: float
    evidence: Evidence
    direction: Direction


@dataclass(frozen=True, slots=True)
class TogetherFinding:
    """
    What a circle says of one habit, and what it makes of one's own.

    own       her own estimate; None where her log cannot tell, and what is told is then for a maker like the others.
    alone     the finding of her own log; None as above.
    combined  the others together, where two or more are not unlike the rest.
    others    what they say as a belief; told: what her own log makes of that.
    hours     what it comes to in her hours; None where that cannot be told.
    evidence  'clear' from a chance of 0.95 on, and of 0.80 without any one file; 'leaning' from 0.80.
    leans_on  the files without which it would be another word.
    """

    habit: Habit
    clock: Clock
    makers: tuple[MakerTold, ...]
    own: Estimate | None
    alone: Finding | None
    combined: Combined | None
    others: Others
    told: ForHer
    hours: Hours | None
    evidence: Evidence
    leans_on: tuple[Without, ...]

    @property
    def chance(self) -> float:
        return self.told.chance

    @property
    def direction(self) -> Direction:
        return _direction(self.told)

    @property
    def alike(self) -> tuple[MakerTold, ...]:
        """The makers who are not seen to be unlike the others."""
        return tuple(maker for maker in self.makers if maker.unlike < SEEN_UNLIKE)

    def to_json(self) -> CircleHabitJson:
        both = self.combined
        return {
            "habit": self.habit.name,
            "label": self.habit.label,
            "per": self.habit.per,
            "makers": [
                {
                    "name": maker.name, "hazard_ratio": math.exp(maker.value), "standard_error": maker.se,
                    "reeds": maker.reeds, "retired": maker.retired, "unlike": maker.unlike,
                }
                for maker in self.makers
            ],
            "combined": None if both is None else {
                "hazard_ratio": math.exp(both.estimate),
                "ci": [_ratio(limit) for limit in both.ci],
                "tau2": both.tau2,
                "p_alike": both.p,
                "next_maker": [_ratio(limit) for limit in both.prediction],
            },
            "other_way": self.others.other_way,
            "chance_alone": None if self.alone is None else self.alone.chance,
            "chance": self.chance,
            "hazard_ratio": math.exp(self.told.value),
            "range": [_ratio(self.told.lo), _ratio(self.told.hi)],
            "hours": None if self.hours is None or self.clock == "days" else self.hours.to_json(),
            "evidence": self.evidence,
            "direction": self.direction,
            "leans_on": [{"name": one.name, "chance": one.chance} for one in self.leans_on],
        }  # fmt: skip


@dataclass(frozen=True, slots=True)
class Together:
    """The habits report of a log, and of its circle; `findings` of the habits that others tell of, the surest first."""

    report: HabitsReport
    circle: Circle
    findings: tuple[TogetherFinding, ...]

    def to_json(self) -> HabitsJson:
        return {
            **self.report.to_json(),
            "circle": {
                "makers": [member.name for member in self.circle.members],
                "left_out": list(self.circle.left_out),
                "habits": [finding.to_json() for finding in self.findings],
            },
        }


def asked_together(study: Study, report: HabitsReport, circle: Circle, tick: Tick = no_tick) -> Together:
    """Ask a circle what the `report` of a log was asked."""
    alone = {finding.habit: finding for finding in report.findings}
    findings = []
    for place, habit in enumerate(HABITS):
        tick(place / len(HABITS))
        given = [
            (member.name, one)
            for member in circle.members
            for one in member.share.habits
            if (one.habit, one.clock) == (habit.name, report.clock)
        ]
        # Words of her own, such as a lot, are nobody else's.
        if given and habit.measure != "category":
            findings.append(_together(study, habit, report, alone.get(habit), given))
    findings.sort(key=lambda finding: -finding.chance)
    return Together(report, circle, tuple(findings))


def _together(
    study: Study, habit: Habit, report: HabitsReport, alone: Finding | None, given: Sequence[tuple[str, HabitShare]]
) -> TogetherFinding:
    own = None if alone is None else estimate_of(alone)
    spreads = [one.spread for _, one in given] + ([own.effect.sd] if own is not None else [])
    values, errors = [one.log_hazard_ratio for _, one in given], [one.standard_error for _, one in given]
    makers = Makers(values, errors, median(spreads), report.belief)
    others = makers.others()
    told, word, leans_on = judged(makers, [name for name, _ in given], None if own is None else (own.value, own.se))
    effect = _moved(own, told)
    return TogetherFinding(
        habit,
        report.clock,
        tuple(
            MakerTold(name, one.log_hazard_ratio, one.standard_error, one.reeds, one.retired, unlike)
            for (name, one), unlike in zip(given, others.unlike, strict=True)
        ),
        own,
        alone,
        _combined(values, makers, others),
        others,
        told,
        None if effect is None else hours_of(study, habit, effect, report.clock),
        word,
        leans_on,
    )


def _after(others: Others, own: tuple[float, float] | None) -> ForHer:
    return others.alone() if own is None else others.after(*own)


def _combined(values: Sequence[float], makers: Makers, others: Others) -> Combined | None:
    """Those who are not unlike the others, taken together."""
    alike = [place for place, unlike in enumerate(others.unlike) if unlike < SEEN_UNLIKE]
    if len(alike) < 2:
        return None
    try:
        return combine([values[place] for place in alike], makers.variances[alike].tolist())
    except StatisticsError:  # one that does not settle: what they say as a belief is told without it
        return None


def judged(
    makers: Makers, names: Sequence[str], own: tuple[float, float] | None
) -> tuple[ForHer, Evidence, tuple[Without, ...]]:
    """
    What is to be believed for one who has an estimate and its standard error of her `own`, or none; how sure that is;
    and the files, by name, without which it would be another answer.
    """
    told = _after(makers.others(), own)
    every = []
    for place, name in enumerate(names):
        less = _after(makers.others(without=place), own)
        every.append(Without(name, less.chance, _evidence(less.chance), _direction(less)))
    word, way = _evidence(told.chance), _direction(told)
    if word == "clear" and any(one.chance < LEANING or one.direction != way for one in every):
        word = "leaning"
    return told, word, tuple(one for one in every if _turns(one, told.chance, way))


def _turns(less: Without, chance: float, way: Direction) -> bool:
    """Whether an answer is another one without a file: as good as clear with it and unclear without, or the other way
    round, or turned about."""
    if less.direction != way and min(less.chance, chance) >= LEANING:
        return True
    return min(less.chance, chance) < LEANING and max(less.chance, chance) >= _NEARLY_CLEAR


def _direction(told: ForHer) -> Direction:
    return "shorter" if told.value > 0 else "longer"


def _evidence(chance: float) -> Evidence:
    return "clear" if chance >= CLEAR else "leaning" if chance >= LEANING else "unclear"


def _moved(own: Estimate | None, told: ForHer) -> Effect | None:
    """Her own effect as the circle has moved it."""
    if own is None:
        return None
    return replace(own.effect, hazard_ratio=math.exp(told.value), lo=math.exp(told.lo), hi=math.exp(told.hi))


def _ratio(log: float) -> float | None:
    return as_json.finite(math.exp(log)) if log < 700 else None
