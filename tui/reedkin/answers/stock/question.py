"""Which reeds are alive, and how is each?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from reedkin.answers.case.still_there import still_there
from reedkin.answers.hours_left.remaining import remaining_as_dict
from reedkin.answers.question import Asked
from reedkin.domain import as_json
from reedkin.domain.columns import beneath
from reedkin.domain.describe import describe
from reedkin.domain.facts import begins
from reedkin.domain.figures import duration, in_line, past, rested
from reedkin.domain.reeds import AT_WORK, IN_SERVICE, Reed, labels_of
from reedkin.domain.words import spelt
from reedkin.study.ticks import Tick
from reedkin.study.unseen import sight_of

if TYPE_CHECKING:
    from reedkin.answers.hours_left.outlook import HoursLeft
    from reedkin.contract.reeds import StockedReedJson, StockJson


@dataclass(frozen=True, slots=True)
class Stock:
    """The living reeds as of `now`, each with the hours it has left if it is in service: blanks first, then those in
    progress and in service."""

    reeds: tuple[tuple[Reed, HoursLeft | None], ...]
    now: datetime
    unseen: tuple[Reed, ...] = ()
    """Those that must be gone, though nobody wrote it down."""

    def to_json(self) -> StockJson:
        gone = self._gone
        return {"reeds": [_as_dict(reed, left, self.now, reed.id in gone) for reed, left in self.reeds]}

    def lines(self) -> list[str]:
        if not self.reeds:
            return ["No living reeds. To begin one: reedkin add 1 tie oboe 72"]
        asked = [*self._stars(), *still_there(self.unseen)]
        gone, labels = self._gone, labels_of([reed for reed, _ in self.reeds])
        rows = beneath([_row(reed, labels[reed.id], left, self.now, reed.id in gone) for reed, left in self.reeds])
        return [*rows, *([""] if asked else []), *asked]

    @property
    def _gone(self) -> frozenset[str]:
        return frozenset(reed.id for reed in self.unseen)

    def _stars(self) -> list[str]:
        """What the starred hours go by."""
        lefts = [left for _, left in self.reeds if left is not None]
        if not lefts:
            return []
        from reedkin.answers.hours_left.outlook import usual_words

        return usual_words(lefts)


@dataclass(frozen=True, slots=True)
class StockQuestion:
    """Which reeds are alive, and how is each?"""

    def answer(self, asked: Asked, tick: Tick) -> Stock:
        reeds = sorted(asked.bench.at_work(), key=lambda reed: AT_WORK.index(reed.stage))
        now = asked.bench.clock.now()
        if not any(reed.stage == IN_SERVICE for reed in reeds):  # nothing heavy is loaded then
            return Stock(tuple((reed, None) for reed in reeds), now, sight_of(asked.bench).unseen)
        from reedkin.answers.hours_left.outlook import Outlook

        outlook = Outlook.of(asked)
        return Stock(tuple((reed, outlook.left(reed)) for reed in reeds), now, outlook.sight.unseen)


def _left(left: HoursLeft | None) -> str:
    if left is None:
        return ""
    from reedkin.answers.hours_left.outlook import span_words

    return f"hours left {span_words(left)}"


def _row(reed: Reed, label: str, left: HoursLeft | None, now: datetime, gone: bool) -> tuple[str, ...]:
    state, played, last = reed.now, reed.last_played, reed.last
    return (
        f"{label} {state.name}" if state.name else label,
        spelt(reed.instrument),
        reed.stage,
        f"{in_line(state.overall_mm)} mm" if state.overall_mm is not None else "",
        f"played {duration(state.minutes_played)}" if state.minutes_played else "",
        _left(left),
        f"last score {in_line(state.score)}" if state.score is not None else "",
        rested(played.at, now) if played else "",
        "still there?" if gone else "",
        f"{last.kind if begins(last.kind) else describe(last.kind, last.facts)}, {past(last.at, now)}",
    )


def _as_dict(reed: Reed, left: HoursLeft | None, now: datetime, gone: bool) -> StockedReedJson:
    state, played = reed.now, reed.last_played
    return {
        "tag": reed.tag,
        "bearer": reed.bearer,
        "name": state.name,
        "instrument": reed.instrument,
        "stage": reed.stage,
        "overall_mm": state.overall_mm,
        "hours_played": as_json.hours(state.hours),
        "score": state.score,
        **remaining_as_dict(left),
        "rest_hours": as_json.hours_since(played.at if played else None, now),
        "unseen": gone,
        "last": {"kind": reed.last.kind, "at": as_json.moment(reed.last.at)},
    }
