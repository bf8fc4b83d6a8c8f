"""A fair trial compared: the lives of the reeds that were assigned one way with those assigned the other.

Reeds count for the way that they were assigned, whatever was done to them afterwards (intention to treat; ICH E9
(1998), section 5.2.1, from memory): to leave out or to move those that were made otherwise would undo what chance has
settled.

The comparison is due when the planned number of reeds is worn out, and then it is of the log as it stood at that
moment: what happens later does not change it, so that it can be looked at any number of times. Before that it is only a
look. To look often and stop at the first good sign finds differences that are not there (see `trial_size`).

The test is that of Cox's regression with Firth's penalty, on the clock of hours, among reeds of one instrument, and of
one lot where the lots are large enough for it. All that is settled before a trial starts. It compares the reeds that
served; how many of each way never did is told beside.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from math import isfinite
from typing import Any

import numpy as np

from reedkin.answers.habits.effects import Effect, Untold, effect
from reedkin.answers.habits.report import LEVEL
from reedkin.answers.lives.groups import curve_of
from reedkin.answers.trials.size import Need, false_alarm, needs, to_tie, wear_share
from reedkin.bench.bench import Bench
from reedkin.bench.trials import Assignment, Trial, assignments, trials
from reedkin.domain.reeds import Reed
from reedkin.study.lives import Life, lives_of
from reedkin.study.playings import FloatArray, IntArray
from reedkin.study.rows import Rows
from reedkin.study.study import Study
from reedkin.study.ticks import Tick, no_tick
from reedkin.survival import LogRank, StatisticsError, SurvivalCurve, logrank
from reedkin.survival.proportions import fisher_exact

LARGE_LOT = 10
"""Lots with fewer reeds of a trial tell little by themselves. By simulation, where lives end 2.5 times as fast and 40
reeds are worn out: within lots of 6, 60 of 100 trials find it, and within the instrument alone 63 to 79, the more the
less the lots differ; within lots of 12, 74 do, and within the instrument 71 to 82."""
_IN_LARGE_LOTS = 0.8
"""Reeds are compared within lots where at least this part of them is of large lots with both ways."""


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

    def to_json(self) -> dict[str, Any]:
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
    due     whether the planned number of reeds is worn out. Until then this is only a look.
    as_of   the moment that all of this is told of, when it is due: when the last of the planned number was worn out.
    within  what reeds have to share to be compared.
    effect  how many times as fast lives end with the second way; None where it cannot be told: `untold` says why.
    test    the log-rank test within the same; None where there is nothing to compare.
    to_tie  about how many more reeds have to be tied until the planned number is worn out; None as for `Need`.
    """

    trial: Trial
    arms: tuple[Arm, Arm]
    due: bool
    as_of: datetime | None
    within: str
    effect: Effect | None
    untold: str
    test: LogRank | None
    needs: tuple[Need, ...]
    to_tie: int | None

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
    def differs(self) -> bool | None:
        """The verdict: whether the ways differ by more than chance. None before it is due, or if it cannot be told."""
        return None if not self.due or self.effect is None else self.effect.p < LEVEL

    @property
    def served_p(self) -> float:
        """The p-value that as many of one way came to serve as of the other, of those of which it is settled. Where
        they did not, the reeds that served are no longer alike in all but their way."""
        first, second = self.arms
        return fisher_exact(first.never, first.served + first.never, second.never, second.served + second.never)

    @property
    def is_look(self) -> bool:
        """Whether to see this is a look before its time, at something that tells."""
        return not self.due and self.effect is not None

    @property
    def looks(self) -> int:
        """The looks taken before its time, this one among them if it is one."""
        return len({*self.trial.looks, self.worn} if self.is_look else self.trial.looks)

    @property
    def alarm(self) -> float:
        """The chance of a false alarm for one who stops at the first look that shows a difference, or at the end."""
        return false_alarm(self.looks + 1)

    def to_json(self) -> dict[str, Any]:
        """The comparison as `trial compare --json` gives it; null for what cannot be told."""
        found, test = self.effect, self.test
        return {
            **trial_json(self.trial),
            "due": self.due,
            "as_of": self.as_of.isoformat() if self.as_of is not None else None,
            "worn_out": self.worn,
            "to_tie": self.to_tie,
            "looks": self.looks,
            "false_alarm_if_stopped_at_a_look": self.alarm,
            "within": self.within,
            "arms": [arm.to_json() for arm in self.arms],
            "hazard_ratio": None if found is None else _finite(found.hazard_ratio),
            "ci": [None, None] if found is None else [_finite(found.lo), _finite(found.hi)],
            "p": None if found is None else found.p,
            "untold": self.untold or None,
            "logrank": None if test is None else {"chi2": test.chi2, "df": test.df, "p": test.p},
            "differs": self.differs,
            "served_p": self.served_p,
            "needs": [
                {"times": need.times, "worn_out": need.worn_out, "more": need.more, "to_tie": need.to_tie}
                for need in self.needs
            ],
        }


def trial_json(trial: Trial) -> dict[str, Any]:
    """What was settled when a trial started."""
    return {
        "trial": trial.name,
        "ways": list(trial.ways),
        "question": trial.question or None,
        "instrument": trial.instrument,
        "started": trial.started.isoformat(),
        "ended": trial.ended.isoformat() if trial.ended is not None else None,
        "planned": trial.planned,
    }


def _finite(value: float) -> float | None:
    return value if isfinite(value) else None


def compare(trial: Trial, assigned: Sequence[Assignment], now: datetime, wear_share: float | None = None) -> Comparison:
    """Compare the ways of a trial. `wear_share`: of the reeds that are tied, the part that becomes worn out."""
    as_of = _due_at(trial, assigned, now)
    if as_of is not None:
        assigned = [then for one in assigned if (then := _as_of(one, as_of)) is not None]
    study = Study.of([one.reed for one in assigned], now=as_of or now)
    rows = study.rows("hours", whole=True)
    by_reed = {one.reed.id: one for one in assigned}
    of_life = [by_reed[life.reed.id] for life in study.lives]
    ways = np.array([one.way for one in of_life], dtype=np.float64)[rows.life]
    within, strata = _strata(assigned, of_life, rows)
    found, untold = _effect(rows, ways, strata)
    first, second = (_arm(way, name, assigned, study, rows, ways) for way, name in enumerate(trial.ways))
    worn, at_work = first.worn + second.worn, sum(arm.waiting + arm.serving for arm in (first, second))
    return Comparison(
        trial,
        (first, second),
        as_of is not None,
        as_of,
        within,
        found,
        untold,
        _logrank(rows, ways, strata),
        needs(worn, at_work, wear_share),
        to_tie(max(trial.planned - worn, 0), at_work, wear_share),
    )


def compare_all(bench: Bench, tick: Tick = no_tick) -> list[Comparison]:
    """Every trial of a log compared, the one started last first. Reads the lineages of their reeds."""
    every = trials(bench)[::-1]
    found = []
    for place, trial in enumerate(every):
        tick(place / len(every))
        found.append(compare(trial, assignments(trial, bench), bench.clock.now(), wear_share(trial, bench)))
    return found


# The reeds


def _due_at(trial: Trial, assigned: Sequence[Assignment], now: datetime) -> datetime | None:
    """When the planned number of its reeds was worn out; None while it is not."""
    lives = lives_of([one.reed for one in assigned], now)
    ends = sorted(life.reed.retirement.at for life in lives if life.worn_out and life.reed.retirement is not None)
    return ends[trial.planned - 1] if len(ends) >= trial.planned else None


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


def _strata(assigned: Sequence[Assignment], of_life: Sequence[Assignment], rows: Rows) -> tuple[str, IntArray]:
    """
    What reeds have to share to be compared, and its code for each row (n,). It is settled by what was assigned alone,
    never by how the reeds lasted.
    """
    ways: dict[object, list[int]] = {}
    for one in assigned:
        ways.setdefault(one.stratum, []).append(one.way)
    large = sum(len(own) for own in ways.values() if len(own) >= LARGE_LOT and len(set(own)) == 2)
    if len(ways) < 2 or large < _IN_LARGE_LOTS * len(assigned):
        return "instrument", rows.stratum
    codes = {stratum: code for code, stratum in enumerate(ways)}
    return "instrument and lot", np.array([codes[one.stratum] for one in of_life], dtype=np.int64)[rows.life]


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
