"""How long reeds last: their curves by group, what ended them, how well they played, and what a reed has before it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from reedkin.answers.lives.groups import Group, Grouping, grouped
from reedkin.study.habits import BY_INSTRUMENT, Habit
from reedkin.study.lives import MINUTES_IN, Clock, Life
from reedkin.study.rows import best_watched
from reedkin.study.study import Study
from reedkin.survival import CumulativeIncidence, cumulative_incidence

if TYPE_CHECKING:
    from reedkin.contract.lives import CauseJson, CausePointJson, LifespansJson


@dataclass(frozen=True, slots=True)
class Lifespans:
    """
    causes  the share of reeds ended by each cause so far, accidents among them; None if there are no lives.
    ended   how many reeds each cause ended, the most frequent first.
    """

    clock: Clock
    grouping: Grouping
    causes: CumulativeIncidence | None
    ended: Mapping[str, int]

    @property
    def groups(self) -> tuple[Group, ...]:
        return self.grouping.groups

    def to_json(self) -> LifespansJson:
        """The report as `lifespans --json` gives it; null where a median is not reached."""
        test = self.grouping.test
        return {
            "clock": self.clock,
            "groups": [group.to_json() for group in self.groups],
            "logrank": None if test is None else {"chi2": test.chi2, "df": test.df, "p": test.p},
            "causes": {cause: self._cause_json(cause, count) for cause, count in self.ended.items()},
        }

    def _cause_json(self, cause: str, count: int) -> CauseJson:
        assert self.causes is not None
        shares = self.causes.incidence[cause]
        steps = np.flatnonzero(np.diff(shares, prepend=0.0) > 0)
        points: list[CausePointJson] = [
            {"t": float(self.causes.time[step]), "share": float(shares[step])} for step in steps
        ]
        return {"n": count, "share": float(shares[-1]), "curve": points}


def lifespans(study: Study, by: Habit = BY_INSTRUMENT, clock: Clock = "hours") -> Lifespans:
    """How long reeds last, by instrument or in the groups of a habit."""
    rows = study.rows(clock, whole=True)
    grouping = grouped(study, by, clock)
    if not len(rows.life):
        return Lifespans(clock, grouping, None, {})
    spells = best_watched(rows.start, rows.stop, rows.cause != "")
    cause = np.where(spells.ended, rows.cause[spells.where], "")
    causes = cumulative_incidence(spells.stop, cause.tolist(), spells.start)
    ended = dict(sorted(causes.counts.items(), key=lambda one: (-one[1], one[0])))
    return Lifespans(clock, grouping, causes, ended)


@dataclass(frozen=True, slots=True)
class ScoreBin:
    """Scores given from `start` up to `end` (hours or days of service): the mean over reeds of each one's own mean."""

    start: float
    end: float
    mean: float
    scores: int
    reeds: int


def playability(lives: list[Life], clock: Clock = "hours", width: float | None = None) -> list[ScoreBin]:
    """
    How well reeds played as they aged, in bins of `width` (2 hours, or 7 days). Only reeds still in service are scored,
    so late bins are of those that lasted.
    """
    width = width or {"hours": 2.0, "days": 7.0}[clock]
    minutes = width * MINUTES_IN[clock]
    by_bin: dict[int, dict[str, list[float]]] = {}
    for life in lives:
        for age, score in _scores(life, clock):
            # A score given with a playing is of that playing, so an age of just 2 hours falls in the first bin.
            place = max(-int(-age // minutes) - 1, 0)
            by_bin.setdefault(place, {}).setdefault(life.reed.id, []).append(score)
    return [
        ScoreBin(
            place * width,
            (place + 1) * width,
            float(np.mean([np.mean(scores) for scores in reeds.values()])),
            sum(map(len, reeds.values())),
            len(reeds),
        )
        for place, reeds in sorted(by_bin.items())
    ]


def _scores(life: Life, clock: Clock) -> list[tuple[int, float]]:
    """The age in minutes and the score of each score given in service."""
    if clock == "hours":
        return [(scored.minutes, scored.score) for scored in life.scores]
    if life.entry:
        return []
    return [(scored.at - life.played[0].start, scored.score) for scored in life.scores]
