"""Which reed to play: the case in a reasoned order for an occasion. Rested, good, and not the one to save.

Each reed gets points, the weighted mean of four things between 0 and 1: how good it is, how rested, whether it will
last, and whether a better one is saved by playing it. How much each counts depends on the occasion, times the maker's
own weight. What a maker does without counting goes before the points: a reed saved for something else is not played,
and with others neither is one that is new or far below her own level as long as there are better ones. All of it is
common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import TYPE_CHECKING, Literal

from reedkin.answers.case.case import InCase, score_words
from reedkin.answers.hours_left.outlook import left_words
from reedkin.bench.settings import USUAL_PUBLIC
from reedkin.domain.facts import Value
from reedkin.domain.figures import ago, day_and_month, day_words, duration, rested
from reedkin.domain.known import number
from reedkin.domain.words import spelt

if TYPE_CHECKING:
    from reedkin.contract.reeds import SuggestionJson

Occasion = Literal["practice", "rehearsal", "performance"]
OCCASIONS: tuple[Occasion, ...] = ("practice", "rehearsal", "performance")

RESTED_HOURS = 48.0
"""Rest beyond which a reed is no fresher."""
ENOUGH_HOURS = 5.0
"""Hours left beyond which a reed is as safe as can be told."""
NEW_HOURS = {"practice": 0.0, "rehearsal": 1.0, "performance": 1.5}
"""A reed with fewer hours comes after the others."""
BELOW_LEVEL = {"practice": -10.0, "rehearsal": -1.0, "performance": 0.0}
"""A reed whose score is so far from the maker's level for playing in public comes after the others."""
FRESH_HOURS = 24.0
"""Hours after which a reed counts as rested."""
_WHY = 3


@dataclass(frozen=True, slots=True)
class Weights:
    """How much each thing counts."""

    good: float = 1.0
    rested: float = 1.0
    lasting: float = 1.0
    saving: float = 1.0

    def times(self, other: Weights) -> Weights:
        return Weights(
            self.good * other.good, self.rested * other.rested, self.lasting * other.lasting,
            self.saving * other.saving,
        )  # fmt: skip

    @property
    def total(self) -> float:
        return self.good + self.rested + self.lasting + self.saving


PROFILES: Mapping[Occasion, Weights] = {
    "practice": Weights(good=0.5, rested=1.0, lasting=0.0, saving=1.5),
    "rehearsal": Weights(good=1.5, rested=1.0, lasting=0.5, saving=0.75),
    "performance": Weights(good=3.0, rested=1.0, lasting=1.0, saving=0.0),
}


def weights_of(settings: Mapping[str, Value]) -> Weights:
    """The maker's own weights, 1 where she has set none (`set weight rested 2`)."""
    own = {name: number(settings, f"weight_{name}") for name in ("good", "rested", "lasting", "saving")}
    return replace(Weights(), **{name: weight for name, weight in own.items() if weight is not None})


@dataclass(frozen=True, slots=True)
class Suggestion:
    """A reed to play. `points` lie between 0 and 1; `why` says in a few words what speaks for it or against it; `held`
    that it comes after the others whatever its points."""

    one: InCase
    points: float
    why: tuple[str, ...]
    held: bool


def choose(
    found: Sequence[InCase], occasion: Occasion, at: datetime, weights: Weights | None = None,
    level: float = USUAL_PUBLIC, instrument: str | None = None,
) -> list[Suggestion]:  # fmt: skip
    """The reeds of the case that are in service and not unseen, in the order in which to take them at that time; those
    of one instrument, if it is named. `level`: the score from which the maker plays in public."""
    reeds = [one for one in found if one.ready and not one.unseen and instrument in (None, one.reed.instrument)]
    judged = [(_rank(one, occasion, at.date(), level), _suggestion(one, reeds, occasion, at, weights)) for one in reeds]
    judged.sort(key=lambda pair: (pair[0], -pair[1].points, pair[1].one.reed.begun))
    return [replace(suggestion, held=rank > 0) for rank, suggestion in judged]


def _rank(one: InCase, occasion: Occasion, on: date, level: float) -> int:
    """-1 for a reed that was saved for this, 0 as a rule, more for those that are held back."""
    if one.saved_for(on) is not None:
        meant = occasion == "performance" and one.reed.now.saved_until in (None, on)
        return -1 if meant else 3
    if _is_new(one, occasion):
        return 1
    return 2 if one.score is not None and one.score < level + BELOW_LEVEL[occasion] else 0


def _suggestion(
    one: InCase, reeds: Sequence[InCase], occasion: Occasion, at: datetime, weights: Weights | None
) -> Suggestion:
    counts = PROFILES[occasion].times(weights or Weights())
    rest = None if one.rested is None else (at - one.rested).total_seconds() / 3600
    points = (
        counts.good * _good(one)
        + counts.rested * (1.0 if rest is None else min(max(rest, 0.0) / RESTED_HOURS, 1.0))
        + counts.lasting * (0.5 if one.left is None else min(one.left.middle / ENOUGH_HOURS, 1.0))
        + counts.saving * _spares(one, reeds)
    )
    total = counts.total
    return Suggestion(one, points / total if total else 0.0, _why(one, reeds, occasion, at), held=False)


def _good(one: InCase) -> float:
    """How well it can be expected to play in the next hour, 0 to 1; the middle where it was never scored."""
    if one.score is None:
        return 0.5
    falls = max(min(one.trend.per_hour, 0.0), -1.0) if one.trend is not None and one.falling else 0.0
    return min(max(one.score + falls, 0.0), 10.0) / 10.0


def _spares(one: InCase, reeds: Sequence[InCase]) -> float:
    """The share of the other reeds of its instrument that are better, which playing it spares."""
    others = _others(one, reeds)
    return sum(_good(other) > _good(one) for other in others) / len(others) if others else 0.0


def _others(one: InCase, reeds: Sequence[InCase]) -> list[InCase]:
    """The other reeds of its instrument."""
    return [other for other in reeds if other is not one and other.reed.instrument == one.reed.instrument]


def _is_new(one: InCase, occasion: Occasion) -> bool:
    """Whether a reed was played for too short to be relied on; one of unknown age was played before."""
    return one.hours < NEW_HOURS[occasion] and not one.reed.of_unknown_age


def _why(one: InCase, reeds: Sequence[InCase], occasion: Occasion, at: datetime) -> tuple[str, ...]:
    said = []
    saved = one.saved_for(at.date())
    if saved is not None:
        until = one.reed.now.saved_until
        said.append(f"saved for {saved}" + (f" on {day_and_month(until)}" if until is not None else ""))
    if _is_new(one, "performance"):
        said.append(f"new: {duration(one.hours * 60)} played" if occasion != "practice" else "new: play it in")
    elif occasion != "performance" and saved is None and _best(one, reeds):
        said.append("your best: save it")
    if one.score is not None:
        said.append(f"form {score_words(one)}")
    if one.rested is not None:
        said.append(_rest(one.rested, at))
    if one.left is not None:
        said.append(left_words(one.left))
    return tuple(said[:_WHY])


def _rest(played: datetime, at: datetime) -> str:
    seconds = (at - played).total_seconds()
    is_fresh = seconds < 60 or seconds / 3600 >= FRESH_HOURS
    return rested(played, at) if is_fresh else f"last played {ago(played, at)} ago"


def _best(one: InCase, reeds: Sequence[InCase]) -> bool:
    others = _others(one, reeds)
    return bool(others) and all(_good(other) < _good(one) for other in others)


def choosing_text(found: Sequence[Suggestion], occasion: Occasion, day: date) -> list[str]:
    """The order of an instrument's reeds on a day in plain lines."""
    if not found:
        return [f"No reed is in service for {in_words(occasion)}."]
    lines = [f"For {in_words(occasion)} on {day_words(day)}, {spelt(found[0].one.reed.instrument)}:"]
    for place, suggestion in enumerate(found, start=1):
        held = "rather not: " if suggestion.held else ""
        lines.append(f"{place}. reed {suggestion.one.reed.label}: {held}{', '.join(suggestion.why)}")
    return lines


def in_words(occasion: Occasion) -> str:
    """ "practice", "a rehearsal"."""
    return occasion if occasion == "practice" else f"a {occasion}"


def suggestion_as_dict(suggestion: Suggestion) -> SuggestionJson:
    """A suggestion as JSON takes it."""
    return {
        "tag": suggestion.one.reed.label,
        "instrument": suggestion.one.reed.instrument,
        "points": round(suggestion.points, 4),
        "why": list(suggestion.why),
        "held": suggestion.held,
    }
