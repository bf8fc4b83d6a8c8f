"""The JSON of what lies ahead: readiness, the season, engagements."""

from __future__ import annotations

from typing import TypedDict

from reedkin.contract.common import Chance, Count, Day, Instrument, MomentOrDay, Positive, Setting, Stage, Tag


class SpreadJson(TypedDict):
    """A median and the middle 80%."""

    median: float
    lo: float
    hi: float


class PlanJson(TypedDict):
    """How many blanks to tie, and by when, for a chance; null where none are enough."""

    chance: Chance
    blanks: Count | None
    by: Day | None


class StagedReedJson(TypedDict):
    """A reed that there is, and its stage."""

    tag: Tag
    stage: Stage


class ForecastJson(TypedDict):
    """The same whatever was drawn."""

    instrument: Instrument
    reeds: Count
    on: Day
    days: Count
    rehearsal_hours: float | None
    level: float | None
    chance: Chance
    at_least: list[Chance]
    expected: SpreadJson
    by_blanks: list[Chance]
    plans: list[PlanJson]
    stock: list[StagedReedJson]
    promised: Count
    hours: SpreadJson
    blanks_into_service: Count
    blanks_settled: Count
    served: Count
    leans: list[str]


class ReadyJson(ForecastJson):
    """Whether there will be enough good reeds on a day, and the seed of the chances that it was drawn from.
    `at_least`: the chance of at least so many, from none on; `by_blanks`: the chance of enough with so many more blanks
    tied, from none on; `leans`: what it leans on beside her own log, and which reeds of the stock it leaves out, in
    sentences."""

    seed: Count


class EngagementJson(TypedDict):
    """Something to be played, and how many reeds are wanted for it; `off`: it was called off."""

    id: str
    at: MomentOrDay
    what: str
    instrument: Instrument | None
    reeds: Count
    setting: Setting | None
    minutes: Positive | None
    calendar: str | None
    off: bool


class EngagementsJson(TypedDict):
    """The engagements in the order in which they take place."""

    engagements: list[EngagementJson]


class ForeseenEngagementJson(EngagementJson):
    """An engagement, and the chance of enough reeds for it by the plan, and as things are now."""

    chance: Chance
    chance_now: Chance


class TyingJson(TypedDict):
    """So many blanks to tie, by a day."""

    by: Day
    instrument: Instrument
    blanks: Count


class StockAheadJson(TypedDict):
    """How many good reeds there will be on a day: a median and the middle 80%."""

    on: Day
    median: float
    lo: float
    hi: float


class SeasonJson(TypedDict):
    """Whether there will be enough good reeds for all that is to come, and what to tie by when. `all`: the chance
    of enough at every engagement, by instrument."""

    reach: Chance
    until: Day
    most_in_a_week: Count
    engagements: list[ForeseenEngagementJson]
    tie: list[TyingJson]
    all: dict[str, Chance]
    stock: dict[str, list[StockAheadJson]]
    leans: list[str]
