"""What was heard of a reed while it was with somebody else."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from reedkin.bench.deliveries import Delivery
from reedkin.domain.describe import describe
from reedkin.domain.known import number, word
from reedkin.domain.reeds import Step

_TELLS = ("heard", "scored", "noted", "retired")


@dataclass(frozen=True, slots=True)
class Hearsay:
    """
    said    what was said of it since it went out, the earliest first: when, and in which words.
    served  the last day on which it is known to have served: of a report, or the day it went out.
    ended   when its life ended, as far as somebody said so; `cause` of what.
    """

    said: tuple[tuple[datetime, str], ...]
    served: datetime
    ended: datetime | None = None
    cause: str | None = None


def news_of(one: Delivery) -> Hearsay:
    """The news of a reed from when it went out until it came back. A score or "still" says that it served then; a cause
    that it had ended, at the latest then, or so long after it went out as was said. No hours follow from either."""
    until = one.came_back
    steps = [s for s in one.reed.standing if s.at >= one.at and (until is None or s.at < until) and s.kind in _TELLS]
    served, ended, cause = one.at, None, None
    for step in steps:
        end = _end(step, one.at)
        if end is not None and ended is None:
            ended, cause = end, word(step.facts, "cause")
        elif ended is None and step.kind in ("heard", "scored") and ("score" in step.facts or "serving" in step.facts):
            served = step.at
    return Hearsay(tuple((step.at, _told(step)) for step in steps), served, ended, cause)


def _end(step: Step, out: datetime) -> datetime | None:
    if step.kind == "retired":
        return step.at
    if step.kind != "heard" or "cause" not in step.facts:
        return None
    days = number(step.facts, "after_days")
    return step.at if days is None else min(out + timedelta(days=days), step.at)


def _told(step: Step) -> str:
    what = "" if step.kind == "noted" else describe(step.kind, step.facts).removeprefix("heard of it: ")
    what = "" if what == "heard of it" else what
    return " ".join(part for part in (what, f"“{step.note}”" if step.note else "") if part)
