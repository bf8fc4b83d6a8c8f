"""The JSON of the making: cane, tubes, what comes good, how steady the hand is."""

from __future__ import annotations

from typing import NotRequired, TypedDict

from reedkin.contract.common import Chance, Count, Instrument, Moment, OpenRange, Positive, Range, Share, Tag


class EndsJson(TypedDict):
    """What ended the reeds of a lot or a tube, after how many hours half were left, and how many times as fast their
    lives end as those of the others."""

    causes: dict[str, Count]
    leaked: Count
    median: Positive | None
    others_median: Positive | None
    hazard_ratio: Positive | None
    ci: OpenRange | None
    chance: Chance | None


class LotJson(TypedDict):
    """A lot of cane, and the tags of the reeds tied from it by what became of them."""

    lot: str
    diameter_mm: float | None
    grams: float | None
    pieces: int | None
    left: int | None
    price: float | None
    source: str | None
    harvest: str | None
    gouge_mm: float | None
    shape: str | None
    tied: Count
    pieces_left: int | None
    low: bool
    fates: dict[str, list[Tag]]
    ends: NotRequired[EndsJson]


class CaneJson(TypedDict):
    """The lots of cane."""

    lots: list[LotJson]


class TubeJson(TypedDict):
    """A tube, the reed that it is on now, and all that it carried, oldest first; `gone`: with a reed that was sold or
    given."""

    tube: str
    instrument: Instrument | None
    tube_mm: float | None
    price: float | None
    source: str | None
    free: bool
    gone: bool
    on: Tag | None
    reeds: list[Tag]
    ends: NotRequired[EndsJson]


class TubesJson(TypedDict):
    """The tubes."""

    tubes: list[TubeJson]


class YieldJson(TypedDict):
    """How many blanks of a group came good, of how many of which that is settled, and of how many it is open."""

    name: str
    good: Count
    settled: Count
    open: Count
    share: Share | None
    ci: Range | None


class LostJson(TypedDict):
    """How many blanks were lost at a stage, and why."""

    stage: str
    count: Count
    causes: dict[str, Count]


class CostsJson(TypedDict):
    """What a reed that came good takes, in minutes and in the maker's own money, those that did not counted in."""

    instrument: Instrument
    good: Count
    settled: Count
    scraping_minutes: Positive | None
    bench_minutes: Positive | None
    materials: dict[str, float]
    material: float | None
    tube: float | None
    price_asked: float | None
    sold: Count
    hourly: float | None
    unpriced: list[str]


class YieldsJson(TypedDict):
    """How many blanks come good, where the others are lost, what a good one takes."""

    by: str
    groups: list[YieldJson]
    lost: list[LostJson]
    costs: list[CostsJson]


class PointJson(TypedDict):
    """A reed's measure, how far it is from the one before, and what of it is more than scatter."""

    tag: Tag
    at: Moment
    value: float
    range: float | None
    marks: list[str]


class SteadyChartJson(TypedDict):
    """A measure of reed after reed against its own limits and the target; null where there are too few."""

    instrument: Instrument
    measure: str
    unit: str
    points: list[PointJson]
    mean: float | None
    limits: Range | None
    range_mean: float | None
    range_limit: float | None
    target: float | None
    tolerance: float | None
    off_target: list[Tag]


class SteadyJson(TypedDict):
    """How steady the hand is."""

    charts: list[SteadyChartJson]


class SpellJson(TypedDict):
    """A measure in a year or season: its mean and standard deviation, null where there are too few."""

    name: str
    n: Count
    mean: float | None
    mean_ci: Range | None
    sd: float | None
    sd_ci: Range | None


class SpellsJson(TypedDict):
    """A measure year by year."""

    instrument: Instrument
    measure: str
    unit: str
    periods: list[SpellJson]


class SteadyByPeriodJson(TypedDict):
    """With --by: how steady the hand was in each year or season."""

    charts: list[SpellsJson]
