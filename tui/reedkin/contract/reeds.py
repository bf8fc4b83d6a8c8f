"""The JSON of reeds and of their events."""

from __future__ import annotations

from typing import Annotated, Any, Literal, NotRequired, TypedDict

from msgspec import Meta

from reedkin.contract.common import (
    Bearer,
    Chance,
    Facts,
    Instrument,
    Kind,
    Moment,
    Positive,
    Range,
    Row,
    Score,
    Stage,
    Tag,
    Uid,
    Written,
)


class RemainingJson(TypedDict):
    """Playing hours that a reed has before it: the middle, and what holds them four times in five; null for one that is
    not in service."""

    expected_remaining_hours: Positive | None
    expected_remaining_range: Range | None


class LastEventJson(TypedDict):
    """The last thing that happened to a reed."""

    kind: Kind
    at: Moment


class StockedReedJson(RemainingJson):
    """A living reed; `unseen`: nothing was written of it for so long that it must be gone."""

    tag: Written
    bearer: Bearer
    name: str | None
    instrument: Instrument
    stage: Stage
    overall_mm: float | None
    hours_played: Positive
    score: Score | None
    rest_hours: float | None
    unseen: bool
    last: LastEventJson


class StockJson(TypedDict):
    """The living reeds: blanks first, then those in progress and in service."""

    reeds: list[StockedReedJson]


class ReedInCaseJson(RemainingJson):
    """A reed of the case: in service (`ready`), or nearly so. `score`: its last, as everywhere; `form`: the middle one
    of its last three; `trend_per_hour`: where its latest go. `common_practice`: nothing but that stands behind its
    hours left. `unseen`: nothing was written of it for so long that it must be gone."""

    tag: Tag
    instrument: Instrument
    ready: bool
    hours_played: Positive
    days: float
    score: Score | None
    form: Score | None
    trend_per_hour: float | None
    rest_hours: float | None
    common_practice: bool | None
    saved_for: str | None
    unseen: bool


class SuggestionJson(TypedDict):
    """A reed to play; `held`: after all others, whatever its points."""

    tag: Tag
    instrument: Instrument
    points: Chance
    why: list[str]
    held: bool


_Occasion = TypedDict("_Occasion", {"for": NotRequired[Literal["practice", "rehearsal", "performance"]]})


class CaseJson(_Occasion):
    """The case; with an occasion also the order in which to take its reeds."""

    reeds: list[ReedInCaseJson]
    order: NotRequired[list[SuggestionJson]]


Correction = Annotated[
    dict[str, Any],
    Meta(
        description="a correction: a strike, or an amendment with the facts that the event has instead",
        extra_json_schema={
            "properties": {
                "uid": {"type": "string"},
                "of": {"type": "string", "description": "the uid of what it corrects"},
                "recorded": {"type": "string"},
                "correction": {"enum": ["amended", "struck"]},
                "at": {"type": "string"},
                "note": {"type": "string"},
            },
            "required": ["uid", "of", "recorded", "correction"],
            "additionalProperties": {"type": ["string", "number", "boolean"]},
        },
    ),
]


class ReedJson(RemainingJson):
    """A reed's whole life: its standing events, oldest first, and what was corrected."""

    tag: Written
    bearer: Bearer
    instrument: Instrument
    stage: Stage
    overall_mm: float | None
    hours_played: Positive
    score: Score | None
    events: list[Row]
    corrections: list[Correction]


class CardJson(TypedDict):
    """The card that goes with a reed, line by line."""

    tag: Tag
    instrument: Instrument
    card: list[str]


class CardsJson(TypedDict):
    """The cards of several reeds, in the order in which they were named."""

    cards: list[CardJson]


class LabelJson(TypedDict):
    """A label: what is written large (a reed's tag, a tube's name), and what stands beneath it, line by line."""

    large: str
    lines: list[str]


class LabelsJson(TypedDict):
    """Labels in the order in which they are printed."""

    labels: list[LabelJson]


class EventJson(TypedDict):
    """An event that stands. `tag` is as it was written on the reed, `label` what one types to get it; `reed` is the uid
    of the event that began it, `entry` what was written at once with it."""

    uid: Uid
    tag: Written
    kind: Kind
    at: Moment
    facts: Facts
    note: str
    label: Tag
    reed: Uid
    entry: str


class StatementJson(TypedDict):
    """What was said of a thing beside the reeds: a lot, an order, the settings."""

    uid: Uid
    table: str
    subject: str
    at: Moment
    facts: Facts


class DiaryJson(TypedDict):
    """What was done, newest first, and what was said beside the reeds."""

    events: list[EventJson]
    beside: list[StatementJson]
