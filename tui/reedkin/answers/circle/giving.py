"""What a log gives to a circle: estimates and counts, each of several reeds; no reed, day, name, note or lot."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

import reedkin
from reedkin.answers.circle.estimates import EachReed, estimate_of
from reedkin.answers.circle.marks import marks_of
from reedkin.answers.habits.report import Finding, habits_report
from reedkin.answers.yields.yields import yield_of
from reedkin.bench.bench import Bench
from reedkin.bench.trials import trials
from reedkin.store.circle.shares import (
    DEFINITIONS,
    FEWEST,
    FORMAT,
    VERSION,
    HabitShare,
    LivesShare,
    Share,
    TrialShare,
    impossible_in,
)
from reedkin.study.lives import Clock
from reedkin.study.playings import FloatArray
from reedkin.study.study import Study
from reedkin.study.ticks import Tick, no_tick, part
from reedkin.survival import kaplan_meier

MARKS = 24
"""So many marks tell whether two files rest on the same reeds: of two of one log, one made when it had five times as
many reeds, some five are shared."""
FEWEST_LIVES = 10
"""With fewer reeds of an instrument worn out, the steps of its curve would show single lives."""
LEFT = (0.75, 0.5, 0.25)
"""The parts of which it is told how long they last."""
_CLOCKS: tuple[Clock, ...] = ("hours", "days")


def share_of(study: Study, bench: Bench | None = None, tick: Tick = no_tick) -> Share:
    """What this log gives. Without a `bench` nothing of its blanks."""
    habits = []
    for place, clock in enumerate(_CLOCKS):
        report = habits_report(study, clock, tick=part(tick, place / 2, (place + 1) / 2), every=True)
        habits += [told for finding in report.findings if (told := _habit(study, finding)) is not None]
    lives = study.lives
    return Share(
        format=FORMAT,
        version=VERSION,
        program=reedkin.__version__,
        definitions=DEFINITIONS,
        reeds=len(lives),
        retired=sum(life.worn_out for life in lives),
        joined=sum(life.reed.joined for life in lives),
        marks=tuple(sorted(marks_of(study.lives))[:MARKS]),
        lives=tuple(_lives(study, bench)),
        habits=tuple(habits),
        trials=() if bench is None else tuple(_trials(bench)),
    )


def _habit(study: Study, finding: Finding) -> HabitShare | None:
    estimate = estimate_of(finding)
    if estimate is None:
        return None
    reeds = EachReed.of(study, finding.habit, finding.clock)
    if reeds.fewest_on_a_side < FEWEST or estimate.effect.n < FEWEST or estimate.effect.retired < FEWEST:
        return None
    spread = _digits(estimate.effect.sd, 2)
    scale = finding.habit.scale
    grain = 10.0 ** math.floor(math.log10(spread * scale))
    low, high = reeds.quarters(FEWEST)
    given = HabitShare(
        habit=finding.habit.name,
        clock=finding.clock,
        log_hazard_ratio=round(estimate.value, 3),
        standard_error=_digits(estimate.se, 3),
        reeds=estimate.effect.n,
        retired=estimate.effect.retired,
        spread=spread,
        quarters=(_to(low * scale, grain), _to(high * scale, grain)),
    )
    # What nobody would believe, such as where few reeds fall apart into two kinds, is not given.
    return None if any(impossible_in(given)) else given


def _lives(study: Study, bench: Bench | None) -> list[LivesShare]:
    rows = study.rows("hours", whole=True)
    found = []
    for instrument in sorted({life.instrument for life in study.lives}):
        own = np.array([life.instrument == instrument for life in study.lives])
        here = own[rows.life]
        reeds, retired = int(np.count_nonzero(own)), int(rows.event[here].sum())
        if reeds < FEWEST:
            continue
        blanks = None if bench is None else _blanks(instrument, bench)
        if retired < FEWEST_LIVES:
            found.append(LivesShare(instrument, reeds, retired, blanks=blanks))
            continue
        curve = kaplan_meier(rows.stop[here], rows.event[here], rows.start[here])
        first, half, last = (_whole_hours(curve.time, curve.survival, share) for share in LEFT)
        found.append(LivesShare(instrument, reeds, retired, (first, half, last), blanks))
    return found


def _trials(bench: Bench) -> Iterator[TrialShare]:
    """Her own part of each trial of the circle."""
    from reedkin.answers.trials.comparison import compare

    for trial in trials(bench):
        if trial.of_circle and (circle := compare(trial, bench).circle) is not None and any(circle.own.assigned):
            yield circle.own


def _blanks(instrument: str, bench: Bench) -> tuple[int, int] | None:
    """How many of an instrument's blanks came good, of how many of which that is settled; None for too few."""
    found = yield_of(reed for reed in bench.reeds() if reed.instrument == instrument)
    return (found.good, found.settled) if found.settled >= FEWEST else None


def _whole_hours(time: FloatArray, survival: FloatArray, share: float) -> int | None:
    """The whole hours after which no more than this share is left, at least 1; None if that was not reached."""
    below = np.flatnonzero(survival <= share + 1e-9)
    return max(round(float(time[below[0]])), 1) if len(below) else None


def _digits(value: float, count: int) -> float:
    """A number above 0 to so many digits that tell."""
    return float(f"{value:.{count}g}")


def _to(value: float, grain: float) -> float:
    """A number to the nearest multiple of a power of ten."""
    return round(round(value / grain) * grain, 10) + 0.0
