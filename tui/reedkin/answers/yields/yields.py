"""From blank to playable: how many blanks come good, and how far the others got."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from reedkin.domain.fates import STAGES_REACHED, came_good, stage_reached
from reedkin.domain.figures import plural
from reedkin.domain.periods import period_name
from reedkin.domain.reeds import HANDED_OVER, Reed
from reedkin.domain.words import NOT_NOTED, spelt
from reedkin.survival import wilson_interval

if TYPE_CHECKING:
    from reedkin.contract.making import LostJson, YieldJson

By = Literal["instrument", "lot", "shape", "tube", "year", "season"]
BY: tuple[By, ...] = ("instrument", "lot", "shape", "tube", "year", "season")
_WHERE = {
    "tied": "before the first scrape",
    "scraped": "before they crowed",
    "crowed": "after they crowed",
    "finished": "when clipped and nearly done",
}


@dataclass(frozen=True, slots=True)
class Yield:
    """Of `settled` blanks, those that came good or were given up, so many came good; the 95% interval of that share
    (None where none is settled). `open` blanks are still on the bench; those that
    left the house unplayed are in none of these numbers."""

    name: str
    good: int
    settled: int
    open: int
    interval: tuple[float, float] | None

    @property
    def share(self) -> float | None:
        return self.good / self.settled if self.settled else None


def yield_of(reeds: Iterable[Reed], name: str = "all") -> Yield:
    """The yield of all these blanks. Reeds that joined in use are left out: nobody knows of how many blanks they are
    the ones that came good."""
    blanks = [reed for reed in reeds if not reed.void and not reed.joined]
    outcomes = [came_good(reed) for reed in blanks]
    good, settled = sum(o is True for o in outcomes), sum(o is not None for o in outcomes)
    still = sum(o is None and reed.stage != HANDED_OVER for o, reed in zip(outcomes, blanks, strict=True))
    return Yield(name, good, settled, still, wilson_interval(good, settled) if settled else None)


def yields(reeds: Iterable[Reed], by: By = "instrument", month: int = 1) -> list[Yield]:
    """The yield of each instrument, lot, shape or tube, those with the most blanks first; or of each year that begins
    with a month, the latest first, by when blanks were tied."""
    groups: dict[str, list[Reed]] = {}
    for reed in reeds:
        if not reed.void and not reed.joined:
            if by in ("year", "season"):
                name = period_name(reed.begun.date(), month)
            else:
                name = str(getattr(reed.now, by) or NOT_NOTED)
            groups.setdefault(name, []).append(reed)
    found = [yield_of(group, name) for name, group in groups.items()]
    if by in ("year", "season"):
        return sorted(found, key=lambda one: one.name, reverse=True)
    return sorted(found, key=lambda one: (one.name == NOT_NOTED, -one.settled, -one.open, one.name))


@dataclass(frozen=True, slots=True)
class Lost:
    """Blanks given up that had got so far (one of STAGES_REACHED), and their causes, the most frequent first."""

    stage: str
    count: int
    causes: Mapping[str, int]


def where_lost(reeds: Iterable[Reed]) -> list[Lost]:
    """How far the blanks got that were given up."""
    by_stage: dict[str, Counter[str]] = {stage: Counter() for stage in STAGES_REACHED}
    for reed in reeds:
        if came_good(reed) is False:
            by_stage[stage_reached(reed)][reed.now.cause or NOT_NOTED] += 1
    return [Lost(stage, causes.total(), dict(causes.most_common())) for stage, causes in by_stage.items()]


def yields_text(found: Sequence[Yield], by: By = "instrument") -> list[str]:
    """Yields in plain lines, with their intervals."""
    of = "" if by == "instrument" else f"{by} "
    return [f"{of}{_line(one)}" for one in found] or ["No blank is noted yet. To tie one: 1 tie oboe 72"]


def _line(one: Yield) -> str:
    still = f", {one.open} on the bench" if one.open else ""
    if one.interval is None or one.share is None:
        return f"{spelt(one.name)}: none settled yet{still}"
    low, high = one.interval
    return f"{spelt(one.name)}: {one.good} of {one.settled} came good, {one.share:.0%} ({low:.0%} to {high:.0%}){still}"


def where_lost_text(found: Sequence[Lost]) -> list[str]:
    """Where blanks are given up, in plain lines."""
    total = sum(lost.count for lost in found)
    if not total:
        return ["No blank was given up."]
    lines = [f"{plural(total, 'blank')} given up:"]
    for lost in found:
        if lost.count:
            causes = ", ".join(f"{cause} {count}" for cause, count in lost.causes.items())
            lines.append(f"  {lost.count} {_WHERE[lost.stage]}: {causes}")
    return lines


def yield_as_dict(one: Yield) -> YieldJson:
    """A yield as JSON takes it."""
    return {
        "name": one.name,
        "good": one.good,
        "settled": one.settled,
        "open": one.open,
        "share": one.share,
        "ci": None if one.interval is None else list(one.interval),
    }


def lost_as_dict(lost: Lost) -> LostJson:
    """What was lost at a stage as JSON takes it."""
    return {"stage": lost.stage, "count": lost.count, "causes": dict(lost.causes)}
