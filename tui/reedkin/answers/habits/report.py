"""The habits report: what in the making and the use of reeds goes with longer or shorter lives.

It says what goes together and never what causes what.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal

from reedkin.answers.habits.effects import CLEAR, Effect, Untold, effect_of, within_lots
from reedkin.answers.habits.hours import TENTH, Hours, hours_of
from reedkin.answers.habits.one_evening import goes_by_one_evening
from reedkin.answers.habits.times import at_one_time
from reedkin.answers.habits.twins import twin_of
from reedkin.bench.bench import Bench
from reedkin.domain import as_json
from reedkin.domain.figures import plural
from reedkin.domain.known import number
from reedkin.study.habits import FORECASTS, HABITS, Habit
from reedkin.study.lives import Clock
from reedkin.study.pace import Pace
from reedkin.study.study import Study
from reedkin.study.ticks import Tick, no_tick, part
from reedkin.survival import USUAL_BELIEF, Belief, benjamini_hochberg, evidence, information_needed

if TYPE_CHECKING:
    from reedkin.contract.lives import HabitJson, HabitsJson

Evidence = Literal["clear", "leaning", "unclear"]
Direction = Literal["shorter", "longer"]

LEANING = 0.80
"""The chance from which a habit is said to lean."""
LEVEL = 0.05
FEW_RETIRED = 20
"""With fewer retirements the report says that it is early days."""
_TWICE = 2.0
TWO_KINDS = 2.0
"""Two kinds that are equally many lie two standard deviations apart: so a belief is told and set."""
_KEPT = 0.5
"""A habit holds within lots if so much of its effect is left there. Lots make fewer comparisons, and to ask of them
the same chance again would miss one true habit in five. Where it is all the lots' doing, half is left in about 4 of
100."""
LONGEST_WEEKS = 156
"""A trial that takes longer is nobody's."""
_LARGEST_TRIAL = 1000
"""Nor is one that takes more retirements."""


@dataclass(frozen=True, slots=True)
class Finding:
    """
    What the log says of one habit. `per` is what `effect.hazard_ratio` compares.

    q            p adjusted for all habits tried. It decides nothing here, since it holds for one look alone.
    chance       that the habit matters in the direction named. Where less than half of it is left when reeds of one lot
                 are compared, the chance that these leave: the rest is the lots' doing. Nor is it larger than what is
                 left beside the time at which reeds were begun.
    within_lots  the effect when only reeds of one lot are compared; None for habits in use, where too few lots are
                 noted, or where reeds of one lot hardly differ in the habit: then `by_lot` is true.
    by_lot       whether the habit goes by the lot, so that the log cannot tell the two apart.
    at_one_time  the effect beside the time; None where there are too few retirements, or where alone no more is to be
                 believed of it than before.
    hours        what it comes to in hours, if it matters (`Effect.believed`); None where that has no end.
    evidence     'clear' from a chance of 0.95 on, 'leaning' from 0.80, otherwise 'unclear'.
    direction    of the lives of reeds with more of the habit.
    more_retirements_needed  for a chance of four in five that it becomes clear, if the effect is as it seems now; None
                 if it is clear, or seems to have no effect at all.
    goes_away    whether it would at least lean by itself, and does no more within lots.
    goes_with_time  the same of the time: whether it would at least lean, and does no more beside it.
    twin         of one that is clear or leans: another that her reeds have in step with it, so that the log cannot tell
                 the two apart.
    one_evening  whether only the reeds of one evening set it apart, so that it may be that evening.
    """

    habit: Habit
    clock: Clock
    per: str
    effect: Effect
    q: float
    chance: float
    within_lots: Effect | None
    by_lot: bool
    hours: Hours | None
    evidence: Evidence
    direction: Direction
    more_retirements_needed: int | None
    goes_away: bool = False
    at_one_time: Effect | None = None
    goes_with_time: bool = False
    twin: Habit | None = None
    one_evening: bool = False

    def to_json(self) -> HabitJson:
        effect, within = self.effect, self.within_lots
        return {
            "habit": self.habit.name,
            "label": label_of(self.habit, effect),
            "per": self.per,
            "kind": self.habit.kind,
            "n": effect.n,
            "retired": effect.retired,
            "hazard_ratio": as_json.finite(effect.hazard_ratio),
            "ci": [as_json.finite(effect.lo), as_json.finite(effect.hi)],
            "p": effect.p,
            "q": self.q,
            "chance": self.chance,
            "hours": None if self.hours is None or self.clock == "days" else self.hours.to_json(),
            "within_lots": None if within is None else as_json.finite(within.hazard_ratio),
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
class Worth:
    """
    The fair trial most worth starting: of a habit that can be chosen and is not clear yet, or by one evening alone, by
    the chance that it matters and by the blanks a season that it would save, if it does.

    low, high    its two ways: the maker's own lower and upper quarter, or, where these lie too near together to tell
                 within LONGEST_WEEKS, her own lowest and highest tenth; or the two kinds.
    longer       by how many hours lives differ, if it is as it seems. blanks: what that comes to in a season.
    retirements  it takes in all, for four trials of five to settle it, if it is as it seems. reeds: to tie for them;
                 weeks: at the maker's pace. None where the log is too young to tell.
    """

    finding: Finding
    low: float | str
    high: float | str
    longer: float
    blanks: float | None
    retirements: int
    reeds: int | None
    weeks: float | None

    @property
    def too_long(self) -> bool:
        """Whether nobody would see it through."""
        return self.weeks is not None and self.weeks > LONGEST_WEEKS


@dataclass(frozen=True, slots=True)
class HabitsReport:
    """`findings` are ordered by evidence; `reeds` served, and `retired` of them were retired for wear. `forecasts` are
    of scores, which foretell a life and are no habits. `worth`: the fair trial that would settle most, if any would."""

    clock: Clock
    reeds: int
    retired: int
    findings: tuple[Finding, ...]
    untried: tuple[Untried, ...]
    belief: Belief = USUAL_BELIEF
    forecasts: tuple[Finding, ...] = ()
    worth: Worth | None = None

    @property
    def early_days(self) -> str | None:
        """What to say when there are too few retirements to tell much; None if there are enough."""
        if self.retired >= FEW_RETIRED:
            return None
        needed = information_needed(math.log(_TWICE) / TWO_KINDS, CLEAR, belief=self.belief)
        takes = "more than you will ever make" if needed is None else f"about {math.ceil(needed)}"
        begin = "" if self.retired else " Note what you play, such as p 45 8, and retire what is worn, such as r worn."
        return (
            f"Early days: {plural(self.retired, 'reed') if self.retired else 'no reed'} worn out so far. A habit of "
            f"half your reeds that wears them out twice as fast takes {takes} to show; a stronger one fewer. "
            f"Until then the log tells how long reeds last, what to play, and how even your making is.{begin}"
        )

    def to_json(self) -> HabitsJson:
        """The report as `habits --json` gives it; null for a limit that the data do not set."""
        return {
            "clock": self.clock,
            "reeds": self.reeds,
            "retired": self.retired,
            "belief": {"one_in": self.belief.one_in, "size": self.belief.size},
            "habits": [finding.to_json() for finding in self.findings],
            "forecasts": [finding.to_json() for finding in self.forecasts],
        }


def belief_of(bench: Bench) -> Belief:
    """The maker's own belief before the log is asked, or the usual one where she has set none."""
    settings = bench.settings.facts
    one_in, times = number(settings, "belief_one_in"), number(settings, "belief_times")
    return Belief(
        USUAL_BELIEF.one_in if one_in is None else one_in,
        USUAL_BELIEF.size if times is None else math.log(times) / TWO_KINDS,
    )


def habits_report(
    study: Study,
    clock: Clock = "hours",
    habits: tuple[Habit, ...] = HABITS,
    tick: Tick = no_tick,
    belief: Belief = USUAL_BELIEF,
    every: bool = False,
) -> HabitsReport:
    """Ask the log about each of the habits. `belief`: what is believed before; `every`: look at all habits beside the
    time, as a circle needs them, not only where more is to be believed than before."""
    rows = study.rows(clock, whole=True)
    found: list[_Reckoned] = []
    untried: list[Untried] = []
    asked = (*habits, *FORECASTS)
    for place, habit in enumerate(asked):
        own = part(tick, place / len(asked), (place + 1) / len(asked))
        own(0.0)
        try:
            found.append(_told(study, habit, clock, belief, every, own))
        except Untold as why:
            untried.append(Untried(habit, str(why)))
    tried = [told for told in found if told.habit not in FORECASTS]
    adjusted = benjamini_hochberg([told.effect.p for told in tried]) if tried else ()
    findings = [_finding(told, float(q), belief, clock) for told, q in zip(tried, adjusted, strict=True)]
    known = [told.habit for told in tried]
    findings = [
        one if one.evidence == "unclear" else replace(one, twin=twin_of(study, one.habit, known, clock))
        for one in findings
    ]
    findings.sort(key=lambda finding: (-finding.chance, finding.effect.p))
    forecasts = [_finding(told, told.effect.p, belief, clock) for told in found if told.habit in FORECASTS]
    reeds = len(set(rows.life.tolist()))
    return HabitsReport(
        clock, reeds, int(rows.event.sum()), tuple(findings), tuple(untried), belief, tuple(forecasts),
        _most_worth(findings, study, belief) if clock == "hours" else None,
    )  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Reckoned:
    """What was reckoned of a habit: alone, within lots, beside the time, in hours, and by evenings."""

    habit: Habit
    effect: Effect
    within: Effect | None
    by_lot: bool
    at_one_time: Effect | None
    hours: Hours | None
    one_evening: bool


def _told(study: Study, habit: Habit, clock: Clock, belief: Belief, every: bool, tick: Tick) -> _Reckoned:
    effect = effect_of(study, habit, clock, part(tick, 0.0, 0.7))
    tick(0.7)
    within, by_lot = None, False
    if habit.kind == "making" and habit.name != "lot" and habit not in FORECASTS:
        try:
            within = within_lots(study, habit, effect, clock)
        except Untold:
            by_lot = True
    tick(0.8)
    more = effect.evidence(belief).chance > evidence(0.0, 0.0, belief).chance
    beside_time = at_one_time(study, habit, effect, clock) if more or every else None
    hours = hours_of(study, habit, effect.believed(belief), clock)
    one_evening = goes_by_one_evening(study, habit, effect, clock)
    return _Reckoned(habit, effect, within, by_lot, beside_time, hours, one_evening)


def chance_of(effect: Effect, within: Effect | None, by_lot: bool, at_one_time: Effect | None, belief: Belief) -> float:
    """The chance that a habit matters in the direction in which it seems to; the arguments are those of a finding."""
    chance = _by_lots(effect, within, by_lot, belief)
    return chance if at_one_time is None else min(chance, _left(effect, at_one_time, belief))


def _by_lots(effect: Effect, within: Effect | None, by_lot: bool, belief: Belief) -> float:
    """The same but for the time."""
    alone = effect.evidence(belief)
    if by_lot:
        return min(alone.chance, evidence(0.0, 0.0, belief).chance)
    if within is None:
        return alone.chance
    whole, left = math.log(effect.hazard_ratio), math.log(within.hazard_ratio)
    if left * whole >= _KEPT * whole * whole:
        return alone.chance
    return min(alone.chance, _left(effect, within, belief))


def _left(effect: Effect, compared: Effect, belief: Belief) -> float:
    """The chance, in the direction of an effect alone, that a closer comparison leaves."""
    left = compared.evidence(belief)
    return left.chance if compared.z * effect.z > 0 else left.against


def _finding(told: _Reckoned, q: float, belief: Belief, clock: Clock) -> Finding:
    effect, by_lots = told.effect, _by_lots(told.effect, told.within, told.by_lot, belief)
    chance = chance_of(told.effect, told.within, told.by_lot, told.at_one_time, belief)
    word: Evidence = "clear" if chance >= CLEAR else "leaning" if chance >= LEANING else "unclear"
    goes_with_time = chance < LEANING <= by_lots
    shown = told.at_one_time if goes_with_time else told.within
    return Finding(
        told.habit,
        clock,
        per_of(told.habit, effect),
        effect,
        q,
        chance,
        told.within,
        told.by_lot,
        told.hours,
        word,
        "shorter" if effect.hazard_ratio > 1 else "longer",
        None if word == "clear" or told.by_lot else (shown or effect).more_needed(belief),
        by_lots < LEANING <= effect.evidence(belief).chance and not told.by_lot,
        told.at_one_time,
        goes_with_time,
        one_evening=told.one_evening,
    )


def _most_worth(findings: list[Finding], study: Study, belief: Belief) -> Worth | None:
    """The feasible trial by which most is to be had; where none is, the one that would be over first. What the log
    speaks against, so that less is to be believed of it than before, is worth none."""
    before = evidence(0.0, 0.0, belief).chance
    unsettled = [one for one in findings if one.evidence != "clear" or one.one_evening]
    asked = [one for one in unsettled if one.habit.choice and one.habit.drawn and one.chance >= before]
    near = [_trial(finding, finding.hours, study.pace, belief) for finding in asked]
    trials = [
        _trial(finding, _between_tenths(study, finding, belief), study.pace, belief) or trial
        if trial is None or (trial.too_long and finding.habit.measure == "number")
        else trial
        for finding, trial in zip(asked, near, strict=True)
    ]
    found = [trial for trial in trials if trial is not None]
    feasible = [trial for trial in found if not trial.too_long]
    if feasible:
        return max(feasible, key=_to_be_had)
    return min(found, key=lambda trial: trial.weeks or 0.0, default=None)


def _between_tenths(study: Study, finding: Finding, belief: Belief) -> Hours | None:
    return hours_of(study, finding.habit, finding.effect.believed(belief), "hours", TENTH)


def _to_be_had(worth: Worth) -> float:
    return worth.finding.chance * abs(worth.longer if worth.blanks is None else worth.blanks)


def _trial(finding: Finding, hours: Hours | None, pace: Pace, belief: Belief) -> Worth | None:
    """The fair trial between the two ends of `hours`; None where there is none to make."""
    if hours is None:
        return None
    # A trial makes half the reeds each way.
    apart = math.log(finding.effect.believed(belief).hazard_ratio) * hours.between / 2
    retirements = information_needed(apart, CLEAR, belief=belief)
    if retirements is None or retirements > _LARGEST_TRIAL:
        return None
    count = math.ceil(retirements)
    reeds = math.ceil(count / pace.wears) if pace.wears else None
    weeks = count / pace.worn_a_week if pace.worn_a_week else None
    return Worth(finding, hours.low, hours.high, hours.longer, hours.blanks, count, reeds, weeks)


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
    lo, hi = (times(value) for value in (effect.lo, effect.hi))
    return f"{per}: lives end {as_fast(effect.hazard_ratio)} ({lo} to {hi} times)"


_PARTS = ((0.1, "a tenth"), (0.2, "a fifth"), (0.25, "a quarter"), (1 / 3, "a third"), (0.4, "two fifths"),
          (0.5, "half"), (0.6, "three fifths"), (2 / 3, "two thirds"), (0.75, "three quarters"), (0.8, "four fifths"),
          (0.9, "nine tenths"))  # fmt: skip


def as_fast(ratio: float) -> str:
    """How fast lives end beside others, as one says it: "1.4 times as fast", "about half as fast"."""
    if 0.95 < ratio < 1.05:
        return "about as fast"
    if ratio > 1:
        return f"{times(ratio)} times as fast"
    if ratio < 0.07:
        return "less than a tenth as fast"
    return f"about {min(_PARTS, key=lambda part: abs(part[0] - ratio))[1]} as fast"


def times(ratio: float) -> str:
    """A ratio for people: two digits that tell."""
    if not math.isfinite(ratio) or ratio >= 100:
        return "over 100"
    if ratio < 0.01:
        return "under 0.01"
    if ratio >= 10:
        return f"{ratio:.0f}"
    return f"{ratio:.1f}" if ratio >= 1.1 else f"{ratio:.2f}"
