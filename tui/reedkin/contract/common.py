"""The parts that several types of JSON have in common: moments, chances, ranges, facts."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from msgspec import Meta

from reedkin.domain.facts import FACTS, KINDS, Fact
from reedkin.domain.reeds import AT_WORK, HANDED_OVER, RETIRED
from reedkin.domain.words import INSTRUMENTS, SETTINGS, TERMS

_MOMENT = r"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?[+-]\d\d:\d\d$"
_DAY = r"^\d{4}-\d\d-\d\d$"

STAGES = (*AT_WORK, HANDED_OVER, RETIRED)


def _one_of(words: tuple[str, ...]) -> Meta:
    return Meta(extra_json_schema={"enum": list(words)})


Moment = Annotated[str, Meta(pattern=_MOMENT, description="ISO 8601 with the offset from UTC")]
Day = Annotated[str, Meta(pattern=_DAY, description="a day, ISO 8601")]
DayRange = Annotated[list[Day], Meta(min_length=2, max_length=2, description="the first and the last day")]
MomentOrDay = Annotated[str, Meta(pattern=f"{_MOMENT}|{_DAY}", description="a moment, or a day of no known hour")]
Tag = Annotated[str, Meta(min_length=1, description="what one types to get that reed, such as 12 or 12/1")]
Written = Annotated[str, Meta(min_length=1, description="the tag as it is written on the reed")]
Bearer = Annotated[int, Meta(ge=1, description="which of the reeds that bore this tag: 1, the first")]
Uid = Annotated[str, Meta(min_length=1, description="the id of a record in the log")]
Chance = Annotated[float, Meta(ge=0.0, le=1.0)]
Share = Annotated[float, Meta(ge=0.0, le=1.0)]
Score = Annotated[float, Meta(ge=0.0, le=10.0)]
Count = Annotated[int, Meta(ge=0)]
Positive = Annotated[float, Meta(ge=0.0)]
Range = Annotated[list[float], Meta(min_length=2, max_length=2, description="the lower and the upper limit")]
OpenRange = Annotated[
    list[float | None],
    Meta(min_length=2, max_length=2, description="the lower and the upper limit, null where it has no end"),
]
Instrument = Annotated[str, _one_of(INSTRUMENTS)]
Setting = Annotated[str, _one_of(SETTINGS)]
Terms = Annotated[str, _one_of(TERMS)]
Stage = Annotated[str, _one_of(STAGES)]
Clock = Literal["hours", "days"]
Kind = Annotated[str, Meta(min_length=1, description=f"the kind of event, such as {', '.join(list(KINDS)[:4])}")]

_OF_TYPE: dict[str, dict[str, Any]] = {
    "number": {"type": "number"},
    "whole": {"type": "integer"},
    "yes": {"type": "boolean"},
    "date": {"type": "string", "pattern": _DAY},
    "parts": {"type": "string", "description": "several, with commas between"},
}


def _of_fact(fact: Fact) -> dict[str, Any]:
    told = dict(_OF_TYPE.get(fact.type, {"type": "string"}))
    if fact.type == "choice":
        told["enum"] = list(fact.choices)
    return told


KNOWN_FACTS = {name: _of_fact(fact) for name, fact in FACTS.items()}
"""The schema of each fact that an event can hold."""

Facts = Annotated[
    dict[str, Any],
    Meta(
        description="facts by name, in the unit that ends the name; one that is not known is absent",
        extra_json_schema={
            "properties": KNOWN_FACTS,
            # A log of a later version may hold facts that this one does not know, and shows.
            "additionalProperties": {"type": ["string", "number", "boolean"]},
        },
    ),
]
Row = Annotated[
    dict[str, Any],
    Meta(
        description="an event as a row of the export: its columns, and absent those that it has nothing for",
        extra_json_schema={
            "properties": {
                "tag": {"type": "string"},
                "kind": {"type": "string"},
                "at": {"type": "string", "pattern": _MOMENT},
                "session": {"type": "string"},
                "uid": {"type": "string"},
                "note": {"type": "string"},
                **KNOWN_FACTS,
                "reed": {"type": "string", "description": "the uid of the event that began the reed"},
                "session_start": {"type": "string", "pattern": _MOMENT},
                "session_end": {"type": "string", "pattern": _MOMENT},
            },
            "required": ["tag", "kind", "at", "uid", "reed"],
            "additionalProperties": False,
        },
    ),
]
