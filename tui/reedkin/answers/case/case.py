"""The case: the reeds that can be played now or nearly so, how each is, and how much it has before it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from reedkin.answers.hours_left.outlook import Outlook
from reedkin.answers.ready.common import hours_left
from reedkin.bench.bench import Bench
from reedkin.domain.columns import table
from reedkin.domain.describe import ago, duration
from reedkin.domain.fates import STAGES_REACHED, stage_reached
from reedkin.domain.instruments import SHORT_NAMES
from reedkin.domain.reeds import IN_SERVICE, Reed
from reedkin.study.form import Trend, form, marks, trend

_NEARLY = STAGES_REACHED.index("crowed")
CLEARLY = 1.0
"""Points in all from which a trend is told."""


@dataclass(frozen=True, slots=True)
class Left:
    """Hours of playing that half of such reeds still had before them, with limits; None where one is not known. They
    are of the maker's own reeds (95%), or by common practice, where the log tells too little (the middle half)."""

    median: float
    lo: float | None
    hi: float | None
    common: bool = False


@dataclass(frozen=True, slots=True)
class InCase:
    """
    A reed of the case. `ready` says that it is in service; the others have crowed and are nearly so.

    days   since it was tied, or joined the log.
    score  its form, the median of its last three scores; trend: where the last six go.
    rested since when it has not been played; None if it never was.
    """

    reed: Reed
    ready: bool
    hours: float
    days: float
    score: float | None
    trend: Trend | None
    rested: datetime | None
    left: Left | None

    def saved_for(self, on: date) -> str | None:
        """The occasion it is saved for, if that is not past on this day."""
        state = self.reed.now
        past = state.saved_until is not None and state.saved_until < on
        return None if past else state.saved_for

    @property
    def falling(self) -> bool:
        return self.trend is not None and self.trend.change <= -CLEARLY

    @property
    def rising(self) -> bool:
        return self.trend is not None and self.trend.change >= CLEARLY


def case(bench: Bench, outlook: Outlook | None = None) -> list[InCase]:
    """The reeds in service and those that have crowed, oldest first. `outlook`, if the caller has one, saves reading
    the whole log again."""
    outlook = outlook or Outlook.of_bench(bench)
    now = bench.clock.now()
    near = [r for r in bench.at_work() if r.stage == IN_SERVICE or STAGES_REACHED.index(stage_reached(r)) >= _NEARLY]
    return [_in_case(reed, outlook, now) for reed in near]


def _in_case(reed: Reed, outlook: Outlook, now: datetime) -> InCase:
    given, last = marks(reed), reed.last_played
    ready = reed.stage == IN_SERVICE
    return InCase(
        reed,
        ready,
        reed.now.hours,
        (now - reed.begun).total_seconds() / 86400,
        form([mark.score for mark in given]),
        trend(given),
        last.at if last is not None else None,
        _left(reed, outlook) if ready else None,
    )


def _left(reed: Reed, outlook: Outlook) -> Left:
    own = outlook.remaining(reed)
    # Without a lower limit the log tells too little.
    if own is not None and own.median is not None and own.lo is not None:
        return Left(own.median, own.lo, own.hi)
    median, lo, hi = (hours_left(reed.now.hours, share) for share in (0.5, 0.25, 0.75))
    return Left(median, lo, hi, common=True)


_HEADINGS = ("reed", "for", "played", "days", "score", "rested", "hours left", "")
_RIGHT = (2, 3)


def case_text(found: Sequence[InCase], now: datetime) -> list[str]:
    """The case as a plain table, the reeds in service before those that are nearly so."""
    if not found:
        return ["The case is empty: no reed is in service, and none has crowed."]
    rows = [_row(one, now) for one in sorted(found, key=lambda one: not one.ready)]
    lines = list(table(_HEADINGS, rows, _RIGHT))
    if any(one.left is not None and one.left.common for one in found):
        lines.append("* by common practice (a life of 10 to 15 h, no source): your log tells too little yet")
    return lines


def _row(one: InCase, now: datetime) -> tuple[str, ...]:
    saved = one.saved_for(now.date())
    notes = (
        f"saved for {saved}" if saved is not None else "",
        "" if one.ready else "nearly ready",
    )
    return (
        one.reed.label,
        SHORT_NAMES.get(one.reed.instrument, one.reed.instrument),
        duration(one.hours * 60) if one.hours else "–",
        str(int(one.days)),
        score_words(one),
        "–" if one.rested is None else ago(one.rested, now),
        "–" if one.left is None else span_words(one.left),
        ", ".join(note for note in notes if note),
    )


def score_words(one: InCase) -> str:
    """The form and where it goes: "7.5", "7.5, falling"."""
    way = ", falling" if one.falling else ", rising" if one.rising else ""
    return "–" if one.score is None else f"{one.score:.3g}{way}"


def left_words(left: Left) -> str:
    """Hours left in a sentence: "about 5 h left (2 to 9)"."""
    hours, limits = span_words(left).split(" ", 1)
    return f"about {hours} h left {limits}"


def span_words(left: Left) -> str:
    """Hours left: "5 (2 to 9)", with a star where common practice stands in."""
    lo, hi = ("?" if limit is None else f"{limit:.0f}" for limit in (left.lo, left.hi))
    return f"{left.median:.0f} ({lo} to {hi}){'*' if left.common else ''}"


def in_case_as_dict(one: InCase, now: datetime) -> dict[str, object]:
    """A reed of the case as JSON takes it."""
    left = one.left
    return {
        "tag": one.reed.label,
        "instrument": one.reed.instrument,
        "ready": one.ready,
        "hours_played": round(one.hours, 4),
        "days": round(one.days, 2),
        "score": one.score,
        "trend_per_hour": None if one.trend is None else one.trend.per_hour,
        "rest_hours": None if one.rested is None else round((now - one.rested).total_seconds() / 3600, 2),
        "expected_remaining_hours": left.median if left is not None else None,
        "expected_remaining_ci": [left.lo, left.hi] if left is not None else None,
        "common_practice": left.common if left is not None else None,
        "saved_for": one.saved_for(now.date()),
    }
