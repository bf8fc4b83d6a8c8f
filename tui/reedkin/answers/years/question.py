"""How does this year, or season, compare with the one before, and is that more than chance?

The days of this year up to today are compared with the same days of the last. Each comparison has a p-value; the more
there are, the more of them seem something by chance alone, so it is the adjusted ones (Benjamini and Hochberg) that say
what changed. None of it says why.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from math import sqrt
from statistics import fmean, stdev
from typing import TYPE_CHECKING

import numpy as np

from reedkin.answers.lives.groups import grouped
from reedkin.answers.lives.whole import of_instrument
from reedkin.answers.question import Asked
from reedkin.answers.week.question import Week, WeekQuestion
from reedkin.answers.week.review import span_words
from reedkin.answers.yields.yields import Yield, yield_of
from reedkin.domain import as_json
from reedkin.domain.known import minutes_played
from reedkin.domain.periods import Period, first_day, period_name
from reedkin.domain.playability import overall_score
from reedkin.domain.reeds import Reed
from reedkin.domain.words import spelt
from reedkin.study.habits import Making, by_period
from reedkin.study.study import Study
from reedkin.study.ticks import Tick
from reedkin.survival.distributions import LEVEL, student_p, student_quantile
from reedkin.survival.multiple import benjamini_hochberg
from reedkin.survival.proportions import fisher_exact, wilson_interval

if TYPE_CHECKING:
    from reedkin.contract.others import WeekJson, YearsApartJson

FEWEST = 5
"""Fewer of a thing in either year are not compared."""
CHANGED = 0.05
"""The adjusted p-value from which on a difference is called a change."""

Valued = tuple[float, float, float]
"""A figure, and the limits that hold the true one in about 19 of 20 such years."""


@dataclass(frozen=True, slots=True)
class YearsApart:
    """One thing of two years, of an instrument: before and now, and how often chance alone would do as much (p), and
    adjusted for how many are compared (q)."""

    what: str
    instrument: str
    unit: str
    before: Valued
    now: Valued
    p: float
    q: float = 1.0

    @property
    def changed(self) -> bool:
        return self.q < CHANGED

    def line(self) -> str:
        """In a line: what it was, what it is, and whether that is more than chance."""
        said = "a change" if self.changed else "no more than chance does"
        return f"{spelt(self.instrument)}, {self.what}: {self.here}, before {self.then}: {said}"

    @property
    def here(self) -> str:
        """What it is now, and its range, as one reads it: "3.3 (2.6 to 3.9)"."""
        return _shown(self.now, self.unit)

    @property
    def then(self) -> str:
        """What it was before, and its range."""
        return _shown(self.before, self.unit)

    def to_json(self) -> YearsApartJson:
        return {
            "what": self.what, "instrument": self.instrument,
            "before": as_json.finite(self.before[0]), "before_ci": [as_json.finite(v) for v in self.before[1:]],
            "now": as_json.finite(self.now[0]), "now_ci": [as_json.finite(v) for v in self.now[1:]],
            "p": self.p, "q": self.q, "changed": self.changed,
        }  # fmt: skip


@dataclass(frozen=True, slots=True)
class Years:
    """The review of this year up to today, and how it compares with the same days of the year before."""

    period: Period
    name: str
    name_before: str
    review: Week
    before: tuple[date, date]
    compared: tuple[YearsApart, ...]

    def to_json(self) -> WeekJson:
        first, last = self.before
        return {
            **self.review.to_json(),
            "period": self.name,
            "beside": {"from": as_json.moment(first), "to": as_json.moment(last)},
            "compared": [one.to_json() for one in self.compared],
        }

    def lines(self) -> list[str]:
        days = span_words(*self.before, self.before[0])
        lines = [*self.review.lines(), "", f"Beside {days} {self.before[1]:%Y}:"]
        return [*lines, *(f"  {one.line()}" for one in self.changed_first()), self.sum()]

    def changed_first(self) -> list[YearsApart]:
        """What is compared, what changed on top, and then instrument by instrument."""
        names = list(dict.fromkeys(one.instrument for one in self.compared))
        return sorted(self.compared, key=lambda one: (not one.changed, names.index(one.instrument)))

    def sum(self) -> str:
        """How much of it changed, in a sentence."""
        if not self.compared:
            return "Too little was noted then, or now, to compare."
        changed = sum(one.changed for one in self.compared)
        return f"{changed or 'None'} of {len(self.compared)} changed by more than chance does; why, this cannot say."


@dataclass(frozen=True, slots=True)
class YearsQuestion:
    """This year or season beside the one before, as of `today`."""

    period: Period
    today: date

    def answer(self, asked: Asked, tick: Tick) -> Years:
        month = asked.bench.settings.begins(self.period)
        first = first_day(self.today, month)
        begun = first_day(first - timedelta(days=1), month)
        ended = min(begun + (self.today - first), first - timedelta(days=1))
        days = (self.today - first).days + 1
        tick(0.1)
        reeds = [reed for reed in asked.bench.reeds() if not reed.void]
        two = _Two(reeds, (begun, ended), (first, self.today))
        found = [one for name in dict.fromkeys(reed.instrument for reed in reeds) for one in two.of(name)]
        tick(0.5)
        found += _lives(asked, self.period, month, period_name(begun, month), period_name(first, month))
        q = benjamini_hochberg([one.p for one in found]).tolist() if found else []
        compared = tuple(replace(one, q=value) for one, value in zip(found, q, strict=True))
        review = WeekQuestion(self.today, days).answer(asked, tick)
        return Years(
            self.period, period_name(first, month), period_name(begun, month), review, (begun, ended), compared
        )


@dataclass(frozen=True, slots=True)
class _Two:
    """The reeds of a log in two stretches of days: the one before, and this one."""

    reeds: Sequence[Reed]
    before: tuple[date, date]
    now: tuple[date, date]

    def of(self, instrument: str) -> Iterator[YearsApart]:
        """What can be compared of an instrument."""
        own = [reed for reed in self.reeds if reed.instrument == instrument]
        yield from self._tied(instrument, own)
        yield from self._yield(instrument, own)
        yield from self._played(instrument, own)
        yield from self._scores(instrument, own)

    def _spans(self) -> tuple[tuple[date, date], tuple[date, date]]:
        return self.before, self.now

    def _tied(self, instrument: str, reeds: Sequence[Reed]) -> Iterator[YearsApart]:
        """Blanks tied in a week, week by week: they come in batches, so that their number alone would tell too much."""
        tied = [reed.begun.date() for reed in reeds if not reed.joined]
        weekly = [_weekly(((day, 1.0) for day in tied), span) for span in self._spans()]
        yield from _compared_weekly("blanks tied in a week", instrument, "", weekly)

    def _yield(self, instrument: str, reeds: Sequence[Reed]) -> Iterator[YearsApart]:
        found = [yield_of(reed for reed in reeds if _in(reed.begun.date(), span)) for span in self._spans()]
        if min(one.settled for one in found) < FEWEST:
            return
        then, here = found
        p = fisher_exact(then.good, then.settled, here.good, here.settled)
        yield YearsApart("blanks that come good", instrument, "%", _share(then), _share(here), p)

    def _played(self, instrument: str, reeds: Sequence[Reed]) -> Iterator[YearsApart]:
        """Hours played in a week, week by week."""
        played = [
            (step.at.date(), (minutes_played(step.facts) or 0) / 60)
            for reed in reeds
            for step in reed.of_kind("played")
        ]
        weekly = [_weekly(played, span) for span in self._spans()]
        yield from _compared_weekly("hours played in a week", instrument, "h", weekly)

    def _scores(self, instrument: str, reeds: Sequence[Reed]) -> Iterator[YearsApart]:
        """How reeds scored: each counts once, with the mean of its scores of that year, since those of one reed are
        alike."""
        means = []
        for span in self._spans():
            scores = (
                [overall_score(step.facts) for step in reed.standing if _in(step.at.date(), span)] for reed in reeds
            )
            known = ([one for one in of if one is not None] for of in scores)
            means.append([fmean(of) for of in known if of])
        if min(map(len, means)) >= FEWEST:
            yield from _means("mean score of a reed", instrument, "", *means)


def _lives(asked: Asked, period: Period, month: int, then: str, here: str) -> Iterator[YearsApart]:
    """How long reeds last that were begun in the one year and in the other, by instrument; the whole of both years,
    since a life takes its time."""
    study = asked.study
    for name in dict.fromkeys(life.instrument for life in study.lives):
        chosen = of_instrument(study, name)
        kept = [life for life in chosen.lives if period_name(life.reed.begun.date(), month) in (then, here)]
        if not kept:
            continue
        found = grouped(Study(kept, [Making.of(life) for life in kept]), by_period(period, month), "hours")
        groups = {group.name: group for group in found.groups}
        if then not in groups or here not in groups or found.test is None:
            continue
        if min(groups[one].retired for one in (then, here)) < FEWEST:
            continue
        middle = [_median(groups[one].curve.median, groups[one].curve.median_ci) for one in (then, here)]
        yield YearsApart("half of those begun last", name, "h", middle[0], middle[1], float(found.test.p))


def _share(one: Yield) -> Valued:
    low, high = wilson_interval(one.good, one.settled)
    return 100 * one.good / one.settled, 100 * low, 100 * high


def _median(value: float | None, ci: tuple[float | None, float | None]) -> Valued:
    low, high = ci
    known = [np.inf if one is None else float(one) for one in (value, low, high)]
    return known[0], known[1], known[2]


def _in(day: date, span: tuple[date, date]) -> bool:
    return span[0] <= day <= span[1]


def _weekly(what: Iterable[tuple[date, float]], span: tuple[date, date]) -> list[float]:
    """The sums of the whole weeks of these days."""
    sums = [0.0] * (((span[1] - span[0]).days + 1) // 7)
    for day, value in what:
        week = (day - span[0]).days // 7
        if 0 <= week < len(sums):
            sums[week] += value
    return sums


def _compared_weekly(what: str, instrument: str, unit: str, weekly: Sequence[Sequence[float]]) -> Iterator[YearsApart]:
    if min(map(len, weekly)) >= FEWEST and all(sum(map(bool, weeks)) >= FEWEST for weeks in weekly):
        yield from _means(what, instrument, unit, *weekly)


def _means(what: str, instrument: str, unit: str, then: Sequence[float], here: Sequence[float]) -> Iterator[YearsApart]:
    """Two means by Student's t, each with a scatter of its own (Welch 1947, Biometrika 34:28-35)."""
    own = [(fmean(values), stdev(values) ** 2 / len(values), len(values) - 1) for values in (then, here)]
    apart = sum(square for _, square, _ in own)
    if apart > 0:
        df = apart**2 / sum(square**2 / below for _, square, below in own)
        t = (own[1][0] - own[0][0]) / sqrt(apart)
        yield YearsApart(what, instrument, unit, _limited(*own[0]), _limited(*own[1]), student_p(t, df))


def _limited(mean: float, square: float, df: int) -> Valued:
    """A mean of what is not below 0, with its limits; `square`: of its standard error."""
    wide = student_quantile(0.5 + LEVEL / 2, df) * sqrt(square)
    return mean, max(mean - wide, 0.0), mean + wide


def _shown(value: Valued, unit: str) -> str:
    """A figure with its limits; one of which the log does not show the end yet is "or more"."""
    middle, low, high = (f"{one:.0f}" if unit == "%" else f"{one:.1f}" for one in value)
    end = "%" if unit == "%" else f" {unit}".rstrip()
    if value[0] == np.inf:
        return f"more than {low}{end}" if value[1] != np.inf else "not known yet"
    return f"{middle}{end} ({low} or more)" if value[2] == np.inf else f"{middle}{end} ({low} to {high})"
