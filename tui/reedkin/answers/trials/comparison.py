"""A fair trial compared: the lives of the reeds that were assigned one way with those assigned the other.

Reeds count for the way that they were assigned, whatever was done to them afterwards (intention to treat; ICH E9
(1998), section 5.2.1, from memory): to leave out or to move those that were made otherwise would undo what chance has
settled.

It may be looked at whenever one likes, since how sure it is holds at every look (see `settling`). It is over when it is
settled, or when the planned number of reeds is worn out, whichever comes first, and then the comparison is of the log
as it stood at that moment: what happens later does not change it.

The regression is Cox's with Firth's penalty, on the clock of hours, among reeds of one instrument, and of one lot where
the lots are large enough for it. It compares the reeds that served; how many of each way never did is told beside.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from math import exp, isfinite, log
from typing import TYPE_CHECKING

import numpy as np

from reedkin.answers.circle.trial_together import CircleTrial, own_part, trial_together
from reedkin.answers.habits.effects import Effect, Untold, effect
from reedkin.answers.lives.groups import curve_of
from reedkin.answers.trials.kept import Kept, kept
from reedkin.answers.trials.settling import settling, strata
from reedkin.answers.trials.size import Need, needs, to_tie, wear_share
from reedkin.bench.bench import Bench
from reedkin.bench.trials import Assignment, Trial, assignments, trials
from reedkin.domain import as_json
from reedkin.domain.reeds import Reed
from reedkin.study.lives import Life
from reedkin.study.playings import FloatArray, IntArray
from reedkin.study.rows import Rows
from reedkin.study.study import Study
from reedkin.study.ticks import Tick, no_tick
from reedkin.survival import Evidence, LogRank, StatisticsError, SurvivalCurve, logrank
from reedkin.survival.proportions import fisher_exact
from reedkin.survival.two_ways import reach

if TYPE_CHECKING:
    from reedkin.contract.lives import ComparisonJson, TrialJson, WayJson

UNEVEN = 0.05
"""Where chance would make the shares of the two ways that came to serve differ as much less often than this, it is
told."""


@dataclass(frozen=True, slots=True)
class Arm:
    """
    The reeds assigned one way, by id, and what became of them.

    to_make  the tags of those at work and not played yet. serving: in service.
    worn     retired for wear. otherwise: ended in another way after they had served, or gone from view.
    never    gone before they were ever played.
    curve    of those that served; None if none did.
    """

    way: str
    reeds: tuple[str, ...]
    to_make: tuple[str, ...]
    serving: int
    worn: int
    otherwise: int
    never: int
    curve: SurvivalCurve | None

    @property
    def assigned(self) -> int:
        return len(self.reeds)

    @property
    def waiting(self) -> int:
        return len(self.to_make)

    @property
    def served(self) -> int:
        return self.serving + self.worn + self.otherwise

    def to_json(self) -> WayJson:
        curve = self.curve
        return {
            "way": self.way,
            "assigned": self.assigned,
            "not_played_yet": self.waiting,
            "in_service": self.serving,
            "worn_out": self.worn,
            "ended_otherwise": self.otherwise,
            "never_served": self.never,
            "median": None if curve is None else curve.median,
            "median_ci": [None, None] if curve is None else list(curve.median_ci),
        }


@dataclass(frozen=True, slots=True)
class Comparison:
    """
    due       whether the planned number of reeds is worn out.
    settled   whether it was sure enough, before that or then, which way is the better.
    as_of     the moment that all of this is told of, where the trial is over; else None: it is of now.
    evidence  that one way is the better, when the last of its reeds wore out; None if nothing can be said.
    within    what reeds have to share to be compared.
    effect    how many times as fast lives end with the second way; None where it cannot be told: `untold` says why.
    test      the log-rank test within the same; None where there is nothing to compare.
    to_tie    about how many more reeds have to be tied until the planned number is worn out; None as for `Need`.
    kept      how well the draw was kept.
    circle    what the whole circle says of it; None of a trial of her own alone.
    """

    trial: Trial
    arms: tuple[Arm, Arm]
    due: bool
    settled: bool
    as_of: datetime | None
    evidence: Evidence | None
    within: str
    effect: Effect | None
    untold: str
    test: LogRank | None
    needs: tuple[Need, ...]
    to_tie: int | None
    kept: Kept
    circle: CircleTrial | None = None

    @property
    def assigned(self) -> int:
        return sum(arm.assigned for arm in self.arms)

    @property
    def worn(self) -> int:
        return sum(arm.worn for arm in self.arms)

    @property
    def at_work(self) -> int:
        return sum(arm.waiting + arm.serving for arm in self.arms)

    @property
    def over(self) -> bool:
        """Whether nothing that happens from now on changes what it says."""
        return self.as_of is not None

    @property
    def differs(self) -> bool | None:
        """The verdict: whether one way is the better. None before it is over, or if it cannot be told."""
        return None if not self.over or self.effect is None else self.settled

    @property
    def chance(self) -> float | None:
        """The chance that the way which seems the better is so."""
        return None if self.evidence is None or self.effect is None else self.evidence.chance

    @property
    def limits(self) -> tuple[float, float] | None:
        """Limits of how many times as fast lives end with the second way, which hold the truth at every look in 95 of
        100 trials."""
        found = self.effect
        if found is None or not (isfinite(found.hazard_ratio) and found.hazard_ratio > 0 and found.spread > 0):
            return None
        information = found.spread * found.retired
        middle, wide = log(found.hazard_ratio), reach(information) / information**0.5
        return exp(max(middle - wide, -700)), exp(min(middle + wide, 700))

    @property
    def served_p(self) -> float:
        """The p-value that the two ways come to serve equally often, among the reeds of which that is settled.
        Where they do not, the reeds that served are no longer alike in all but their way."""
        first, second = self.arms
        return fisher_exact(first.never, first.served + first.never, second.never, second.served + second.never)

    def to_json(self) -> ComparisonJson:
        """The comparison as `trial compare --json` gives it; null for what cannot be told."""
        found, test, limits = self.effect, self.test, self.limits
        return {
            **trial_json(self.trial),
            "due": self.due,
            "settled": self.settled,
            "chance": self.chance,
            "as_of": as_json.moment(self.as_of),
            "worn_out": self.worn,
            "to_tie": self.to_tie,
            "skipped": len(self.kept.skipped),
            "taken_back": self.kept.taken_back,
            "not_followed": len(self.kept.not_followed),
            "within": self.within,
            "arms": [arm.to_json() for arm in self.arms],
            "hazard_ratio": None if found is None else as_json.finite(found.hazard_ratio),
            "ci": [None, None] if limits is None else list(limits),
            "p": None if found is None else found.p,
            "untold": self.untold or None,
            "logrank": None if test is None else {"chi2": test.chi2, "df": test.df, "p": test.p},
            "differs": self.differs,
            "served_p": self.served_p,
            "needs": [
                {"times": need.times, "worn_out": need.worn_out, "more": need.more, "to_tie": need.to_tie}
                for need in self.needs
            ],
            "circle": None if self.circle is None else self.circle.to_json(),
        }


def trial_json(trial: Trial) -> TrialJson:
    """What was settled when a trial started."""
    return {
        "trial": trial.label,
        "ways": list(trial.ways),
        "question": trial.question or None,
        "instrument": trial.instrument,
        "started": as_json.moment(trial.started),
        "ended": as_json.moment(trial.ended),
        "planned": trial.planned,
    }


def compare(trial: Trial, bench: Bench) -> Comparison:
    """Compare the ways of a trial. Reads the lineages of its reeds."""
    assigned, now = assignments(trial, bench), bench.clock.now()
    study = Study.of([one.reed for one in assigned], now=now)
    found = settling(trial, assigned, _of_lives(study, assigned), study.lives)
    as_of = found.over or _last_end(trial, assigned)
    if as_of is not None:
        assigned = [then for one in assigned if (then := _as_of(one, as_of)) is not None]
        study = Study.of([one.reed for one in assigned], now=as_of)
    rows, of_life = study.rows("hours", whole=True), _of_lives(study, assigned)
    ways = np.array([one.way for one in of_life], dtype=np.float64)[rows.life]
    within, codes = strata(assigned)
    stratum: IntArray = np.array([codes[one.reed.id] for one in of_life], dtype=np.int64)[rows.life]
    told, untold = _effect(rows, ways, stratum)
    first, second = (_arm(way, name, assigned, study, rows, ways) for way, name in enumerate(trial.ways))
    worn, at_work = first.worn + second.worn, sum(arm.waiting + arm.serving for arm in (first, second))
    share, test = wear_share(trial, bench), _logrank(rows, ways, stratum)
    return Comparison(
        trial=trial,
        arms=(first, second),
        due=worn >= trial.planned,
        settled=found.settled,
        as_of=as_of,
        evidence=found.evidence,
        within=within,
        effect=told,
        untold=untold,
        test=test,
        needs=needs(worn, at_work, share),
        to_tie=to_tie(max(trial.planned - worn, 0), at_work, share),
        kept=kept(trial, bench),
        circle=_circle(trial, bench, (first, second), test) if trial.of_circle else None,
    )


def _circle(trial: Trial, bench: Bench, arms: tuple[Arm, Arm], test: LogRank | None) -> CircleTrial:
    counts = [(arm.assigned, arm.served, arm.worn) for arm in arms]
    return trial_together(own_part(trial, counts, test), bench.circle)


def compare_all(bench: Bench, tick: Tick = no_tick) -> list[Comparison]:
    """Every trial of a log compared, the one started last first. Reads the lineages of their reeds."""
    every = trials(bench)[::-1]
    found = []
    for place, trial in enumerate(every):
        tick(place / len(every))
        found.append(compare(trial, bench))
    return found


# The reeds


def _of_lives(study: Study, assigned: Sequence[Assignment]) -> list[Assignment]:
    """The assignments of the lives of a study."""
    by_reed = {one.reed.id: one for one in assigned}
    return [by_reed[life.reed.id] for life in study.lives]


def _last_end(trial: Trial, assigned: Sequence[Assignment]) -> datetime | None:
    """When the last reed of a trial that was ended was gone; None if one may still tell something."""
    if trial.running or not assigned or any(one.reed.at_work for one in assigned):
        return None
    return max(one.reed.last.at for one in assigned)


def _as_of(one: Assignment, moment: datetime) -> Assignment | None:
    """An assignment with its reed as it was at a moment; None if it was not tied yet."""
    steps = tuple(step for step in one.reed.steps if step.at <= moment)
    if not steps or steps[0].event.uid != one.reed.id:
        return None
    standing = tuple(step for step in steps if not step.struck)
    return replace(one, reed=replace(one.reed, steps=steps, standing=standing, now=steps[-1].after))


def _arm(way: int, name: str, assigned: Sequence[Assignment], study: Study, rows: Rows, ways: FloatArray) -> Arm:
    reeds = [one.reed for one in assigned if one.way == way]
    lives = {life.reed.id: life for life in study.lives}
    became = {reed.id: _became(reed, lives.get(reed.id)) for reed in reeds}
    counts = Counter(became.values())
    chosen = ways == way
    curve = curve_of(rows, chosen) if chosen.any() else None
    to_make = tuple(reed.label for reed in reeds if became[reed.id] == "waiting")
    return Arm(
        name, tuple(became), to_make, counts["serving"], counts["worn"], counts["otherwise"], counts["never"], curve
    )


def _became(reed: Reed, life: Life | None) -> str:
    if life is None:
        return "waiting" if reed.at_work else "never"
    if life.worn_out:
        return "worn"
    return "serving" if life.cause is None and reed.at_work else "otherwise"


# The test


def _effect(rows: Rows, ways: FloatArray, strata: IntArray) -> tuple[Effect | None, str]:
    if not len(rows.life):
        return None, "no reed of it has served yet"
    try:
        return effect(rows, ways, strata=strata), ""
    except Untold as why:
        return None, str(why)


def _logrank(rows: Rows, ways: FloatArray, strata: IntArray) -> LogRank | None:
    if not len(rows.life):
        return None
    try:
        return logrank(rows.stop, rows.event, ways, rows.start, strata)
    except StatisticsError:
        return None
