"""The case: the reeds that can be played now or nearly so, how each is, and how much it has before it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING

from reedkin.answers.hours_left.outlook import HoursLeft, Outlook, span_words, usual_words
from reedkin.answers.hours_left.remaining import remaining_as_dict
from reedkin.bench.bench import Bench
from reedkin.domain import as_json
from reedkin.domain.fates import STAGES_REACHED, stage_reached
from reedkin.domain.figures import duration, in_line, plural, rested
from reedkin.domain.reeds import IN_SERVICE, Reed
from reedkin.domain.words import INSTRUMENTS, spelt
from reedkin.study.form import Trend, form, marks, trend

if TYPE_CHECKING:
    from reedkin.contract.reeds import ReedInCaseJson

_NEARLY = STAGES_REACHED.index("crowed")
CLEARLY = 1.0
"""Points in all from which a trend is told."""


@dataclass(frozen=True, slots=True)
class InCase:
    """
    A reed of the case. `ready` says that it is in service; the others have crowed and are nearly so.

    days   since it was tied, or joined the log, which is not how old it is (`age_known`).
    score  its form, the median of its last three scores; trend: where the last six go.
    rested since when it has not been played; None if it never was.
    unseen nothing was written of it for so long that it must be gone (`study.unseen`).
    """

    reed: Reed
    ready: bool
    hours: float
    days: float
    score: float | None
    trend: Trend | None
    rested: datetime | None
    left: HoursLeft | None
    unseen: bool = False

    def saved_for(self, on: date) -> str | None:
        """The occasion it is saved for, if that is not past on this day."""
        return self.reed.now.saved_on(on)

    @property
    def age_known(self) -> bool:
        """A reed that joined the log was made nobody knows when."""
        return not self.reed.joined

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
        outlook.left(reed),
        outlook.unseen(reed),
    )


def case_text(found: Sequence[InCase], now: datetime) -> list[str]:
    """The case in lines that can be read aloud, instrument by instrument, the reeds in service before those that are
    nearly so."""
    if not found:
        return ["The case is empty: no reed is in service, and none has crowed."]
    rank = {name: place for place, name in enumerate(INSTRUMENTS)}
    ordered = sorted(found, key=lambda one: (rank.get(one.reed.instrument, len(rank)), not one.ready))
    lines: list[str] = []
    for one in ordered:
        if (heading := f"{spelt(one.reed.instrument)}:") not in lines:
            lines += [*([""] if lines else []), heading]
        lines.append(_row(one, now))
    if any(one.score is not None for one in found):
        lines.append("form: the middle one of its last three scores")
    return [*lines, *usual_words(one.left for one in found)]


def _row(one: InCase, now: datetime) -> str:
    saved = one.saved_for(now.date())
    said = (
        f"played {duration(one.hours * 60)}" if one.hours else "not played",
        f"{plural(int(one.days), 'day')} {'old' if one.age_known else 'in this log'}",
        f"form {in_line(one.score)}{_way(one)}" if one.score is not None else "",
        "" if one.rested is None else rested(one.rested, now),
        "" if one.left is None else f"hours left {span_words(one.left)}",
        f"saved for {saved}" if saved is not None else "",
        "" if one.ready else "nearly ready",
    )
    return f"{one.reed.label}: {', '.join(part for part in said if part)}"


def score_words(one: InCase) -> str:
    """The form and where it goes, in a sentence: "7.5", "8, falling"."""
    return "–" if one.score is None else f"{one.score:.2g}{_way(one)}"


def _way(one: InCase) -> str:
    return ", falling" if one.falling else ", rising" if one.rising else ""


def in_case_as_dict(one: InCase, now: datetime) -> ReedInCaseJson:
    """A reed of the case as JSON takes it."""
    return {
        "tag": one.reed.label,
        "instrument": one.reed.instrument,
        "ready": one.ready,
        "hours_played": as_json.hours(one.hours),
        "days": as_json.days(one.days),
        "score": one.reed.now.score,
        "form": one.score,
        "trend_per_hour": None if one.trend is None else one.trend.per_hour,
        "rest_hours": as_json.hours_since(one.rested, now),
        **remaining_as_dict(one.left),
        "common_practice": None if one.left is None else one.left.usual and one.left.before is None,
        "saved_for": one.saved_for(now.date()),
        "unseen": one.unseen,
    }
