"""The course of a reed's service, gathered event by event. The rules are in `lives`."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from typing import NamedTuple

from reedkin.domain.known import minutes_played, word
from reedkin.domain.playability import overall_score
from reedkin.domain.reeds import Step
from reedkin.domain.words import NOT_NOTED

DAY = 1440
"""Minutes in a day."""


def minute(at: datetime) -> int:
    """A moment in whole minutes since the Unix epoch, whatever its offset."""
    return int(at.timestamp()) // 60


class Played(NamedTuple):
    """
    A playing that counts. `before`: the minutes of playing in all before it; `start` and the other moments: minutes
    since the epoch.

    touched, cleaned  whether it was, since the last playing.
    until             when it went out of view after this playing, or was next taken up, or ended.
    back, following   if it left and came back with nothing played in between, when, and when it was next taken up or
                      ended; else None and that moment.
    """

    start: int
    stop: int
    before: int
    minutes: int
    setting: str | None
    touched: bool
    cleaned: bool
    until: int
    back: int | None
    following: int

    @property
    def after(self) -> int:
        """Minutes of playing in all after it."""
        return self.before + self.minutes


class ScoreGiven(NamedTuple):
    """A score given after so many minutes of playing in all; `at` is in minutes since the epoch."""

    minutes: int
    at: int
    score: float


@dataclass(slots=True)
class _Latest:
    """The playing of which it is not known yet how long the reed was in view after it."""

    start: int
    stop: int
    before: int
    minutes: int
    setting: str | None
    touched: bool
    cleaned: bool
    left: int | None = None
    back: int | None = None

    def until(self, following: int) -> Played:
        """What is known of it once it is known when the reed was next taken up, or ended. That may be before it left or
        came back, where times do not agree."""
        following = max(following, self.start)
        left = following if self.left is None else min(self.left, following)
        back = None if self.back is None else min(self.back, following)
        return Played(
            self.start, self.stop, self.before, self.minutes, self.setting, self.touched, self.cleaned,
            left, back, following,
        )  # fmt: skip


@dataclass(slots=True)
class FollowUp:
    """Gathers a life. `minutes` is what has been played so far."""

    minutes: int
    played: list[Played] = field(default_factory=list)
    scores: list[ScoreGiven] = field(default_factory=list)
    _latest: _Latest | None = None
    _away: bool = False
    _touched: bool = False
    _cleaned: bool = False
    _lost: int | None = None

    def take(self, step: Step) -> bool:
        """Take an event in; False if nothing is known of the reed from it on."""
        kind = step.kind
        if kind == "played":
            return self._play(step)
        if kind == "scored":
            self._score(overall_score(step.facts), minute(step.at))
        elif self._latest is None:
            return True
        elif kind in ("scraped", "clipped"):
            self._touched = True
        elif kind == "cleaned":
            self._cleaned = True
        elif kind == "handed over":
            if not self._away and self._latest.left is None:
                self._latest.left = max(minute(step.at), self._latest.stop)
            self._away = True
        elif kind == "returned" and self._away:
            self._latest.back = max(minute(step.at), self._latest.left or 0)
            self._away = False
        return True

    def _play(self, step: Step) -> bool:
        minutes, stop = minutes_played(step.facts), minute(step.at)
        if minutes is None:
            self._lost = stop
            return False
        start = stop - minutes
        if self._latest is not None:
            start = max(start, self._latest.start)
            self.played.append(self._latest.until(start))
        setting, score = word(step.facts, "setting"), overall_score(step.facts)
        self._latest = _Latest(
            start, stop, self.minutes, minutes, setting,
            self._touched, self._cleaned,
        )  # fmt: skip
        self.minutes += minutes
        self._away = self._touched = self._cleaned = False
        self._score(score, stop)
        return True

    def _score(self, score: float | None, at: int) -> None:
        if score is not None:
            self.scores.append(ScoreGiven(self.minutes, at, score))

    def finish(self, retired: Step | None, until: int) -> str | None:
        """End the course in a log that ends at `until`; the cause of the end, if an end was seen."""
        if self._latest is None:
            return None
        if self._lost is not None:
            retired, until = None, self._lost
        if self._away:
            retired = None
        end = until if retired is None else minute(retired.at)
        self.played.append(self._latest.until(max(end, self._latest.stop)))
        if retired is None:
            return None
        return word(retired.facts, "cause") or NOT_NOTED
