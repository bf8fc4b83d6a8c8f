"""The steadiness of the hand: a measure of reed after reed against the limits of its own scatter.

Individuals and moving range charts as in NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2: limits three
standard deviations from the mean, the standard deviation being the mean moving range divided by d2 = 1.128. Two things
are more than scatter: a point beyond the limits, and ten in a row on one side of the mean (the run rule of the Western
Electric Statistical Quality Control Handbook, 1956, asks for eight). More rules, or shorter runs, would mark the chart
of a steady hand too often: these two mark at most one in ten of 30 reeds (`tests/answers/test_steadiness.py` measures
it). Measures that lean to one side, as an opening does that cannot be less than nothing, have a longer tail there: the
limit on that side is moved out by the skewness (Chan and Cui 2003, Naval Research Logistics 50:555-573, from memory).

A measure read to the nearest half millimetre is not known better than that. So the standard deviation is never less
than that of rounding, a step divided by the root of 12; a point is beyond the limits only if it still is when it is
read half a step nearer; and one within half a step of the mean is on neither side.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import pairwise
from math import log2, sqrt
from statistics import fmean
from typing import TYPE_CHECKING

from reedkin.bench.bench import Bench
from reedkin.domain import as_json
from reedkin.domain.figures import plural, tag_list
from reedkin.domain.known import number
from reedkin.domain.pitch import parse_pitch
from reedkin.domain.reeds import Reed, Step
from reedkin.domain.words import spelt
from reedkin.errors import InputError

if TYPE_CHECKING:
    from reedkin.contract.making import SteadyChartJson

D2 = 1.128
"""The mean range of two values of a normal distribution, in standard deviations."""
D4 = 3.267
"""The upper limit of a moving range of two, in mean moving ranges."""
ONE_SIDE = 10
SKEWNESS_SHARE, SKEWNESS_MOST = 1.5, 2.0
"""The skewness is that of the values without the one furthest out, which must not hide itself; by how much that falls
short of the skewness of all (measured on gamma distributions); and the most that is believed."""
SKEWNESS_NEEDS = 20
"""With fewer values their skewness is mostly chance, and the limits stay those of the handbooks."""
STEPS = (10.0, 5.0, 2.0, 1.0, 0.5, 0.25, 0.2, 0.1, 0.05, 0.02, 0.01)
"""Steps in which measures are usually read."""
LATEST = 30
"""The chart shows as many of the latest reeds."""
NEEDS = 8
"""With fewer values there are no limits to speak of."""


@dataclass(frozen=True, slots=True)
class Measure:
    """A measure that is charted: the kind of event and the fact it is, its words, its unit, whether the maker's
    tolerance is meant for it, and which of her targets, by default that of the fact's name."""

    name: str
    words: str
    kind: str
    fact: str
    unit: str = "mm"
    tolerated: bool = False
    aim: str = ""

    def show(self, value: float) -> str:
        return f"{value:+.0f} cents" if self.unit == "cents" else f"{value:.2f} {self.unit}"

    def show_range(self, value: float) -> str:
        """How far one value is from another."""
        return self.show(value).lstrip("+")


MEASURES = (
    Measure("tied", "overall length when tied", "tied", "overall_mm", tolerated=True),
    Measure("finished", "overall length when first played", "played", "overall_mm", tolerated=True, aim="finished_mm"),
    Measure("tip", "start of the tip", "measured", "tip_from_mm", tolerated=True),
    Measure("heart", "bottom of the heart", "measured", "heart_from_mm", tolerated=True),
    Measure("opening", "opening", "measured", "opening_mm"),
    Measure("gouge", "gouge", "tied", "gouge_mm"),
    Measure("crow", "crow, from the target", "crowed", "crow", unit="cents"),
)


@dataclass(frozen=True, slots=True)
class Point:
    """The value of a reed, when it was had, and what is out of the ordinary about it: one of MARKS each."""

    reed: Reed
    at: datetime
    value: float
    marks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Limits:
    """The limits of an individuals chart, in the unit of the values, which were read in such steps (0: exactly)."""

    mean: float
    lower: float
    upper: float
    sigma: float
    range_mean: float
    range_upper: float
    step: float = 0.0


@dataclass(frozen=True, slots=True)
class Chart:
    """
    points             in the order of time.
    limits             that the values set themselves; None with fewer than NEEDS of them, and where all are the same,
                       as when every reed is noted with the length that was meant.
    target, tolerance  what the maker aims at and how far it may stray; None where she has none.
    """

    instrument: str
    measure: Measure
    points: tuple[Point, ...]
    limits: Limits | None
    target: float | None
    tolerance: float | None

    @property
    def values(self) -> list[float]:
        return [point.value for point in self.points]

    @property
    def ranges(self) -> list[float]:
        """The moving ranges: how far each value is from the one before."""
        return moving_ranges(self.values)

    @property
    def marked(self) -> list[Point]:
        return [point for point in self.points if point.marks]

    @property
    def off_target(self) -> list[Point]:
        """The points that stray further from the target than the tolerance."""
        if self.target is None or self.tolerance is None:
            return []
        return [p for p in self.points if abs(p.value - self.target) > self.tolerance + 1e-9]


def moving_ranges(values: Sequence[float]) -> list[float]:
    """How far each value is from the one before."""
    return [abs(after - before) for before, after in pairwise(values)]


def step_of(values: Sequence[float]) -> float:
    """The widest of STEPS in which all these values can have been read; 0 if there is none."""
    return next((step for step in STEPS if all(abs(v / step - round(v / step)) < 1e-6 for v in values)), 0.0)


def limits(values: Sequence[float], step: float = 0.0) -> Limits:
    """The limits that two or more values, read in such steps, set themselves. Raises ValueError for fewer."""
    if len(values) < 2:
        raise ValueError("limits need two values or more")
    mean, range_mean = fmean(values), fmean(moving_ranges(values))
    sigma = max(range_mean / D2, step / sqrt(12))
    return Limits(mean, mean - 3 * sigma, mean + 3 * sigma, sigma, range_mean, D4 * range_mean, step)


def leaning(found: Limits, values: Sequence[float]) -> Limits:
    """The same limits, the one on the side of the longer tail moved out by the skewness k of the values: by
    4/3 k / (1 + k^2 / 5) standard deviations (Chan and Cui 2003). The other stays, and
    both do where the values are too few to tell a leaning from chance."""
    if len(values) < SKEWNESS_NEEDS:
        return found
    rest = sorted(values, key=lambda value: abs(value - found.mean))[:-1]
    mean = fmean(rest)
    square = fmean((value - mean) ** 2 for value in rest)
    if square < 1e-12:
        return found
    skewness = SKEWNESS_SHARE * fmean((value - mean) ** 3 for value in rest) / square**1.5
    skewness = min(max(skewness, -SKEWNESS_MOST), SKEWNESS_MOST)
    out = 4 / 3 * skewness / (1 + skewness**2 / 5) * found.sigma
    return replace(found, lower=found.lower + min(out, 0.0), upper=found.upper + max(out, 0.0))


def marks(values: Sequence[float], found: Limits) -> list[tuple[str, ...]]:
    """What is out of the ordinary about each value: "beyond" the limits; the tenth or a later one in a row on one
    "side" of the mean."""
    half = found.step / 2 + 1e-9
    sides = [0 if abs(value - found.mean) <= half else 1 if value > found.mean else -1 for value in values]
    told = []
    for value, side, run in zip(values, sides, _runs(sides), strict=True):
        said = []
        if not found.lower - half <= value <= found.upper + half:
            said.append("beyond")
        if side and run >= ONE_SIDE:
            said.append("side")
        told.append(tuple(said))
    return told


def _runs(signs: Sequence[int]) -> list[int]:
    """How many of the same sign in a row there are up to each place."""
    runs: list[int] = []
    for place, sign in enumerate(signs):
        runs.append(runs[-1] + 1 if place and sign == signs[place - 1] else 1)
    return runs


def chart(bench: Bench, instrument: str, measure: Measure, latest: int = LATEST) -> Chart:
    """The chart of a measure of an instrument's reeds. Each reed has one value: of how it was tied, or the last that
    was measured or crowed before it served."""
    targets = bench.settings.targets(instrument)
    crow = _pitch(targets.crow, bench.settings.a4)
    found = []
    for reed in bench.reeds():
        step = _step(reed, measure) if reed.instrument == instrument and not reed.joined else None
        value = None if step is None else _number(step, measure, crow, bench.settings.a4)
        if step is not None and value is not None:
            found.append(Point(reed, step.at, value))
    points = sorted(found, key=lambda point: point.at)[-latest:]
    values = [point.value for point in points]
    tell = len(values) >= NEEDS and len(set(values)) > 1
    set_by = leaning(limits(values, step_of(values)), values) if tell else None
    if set_by is not None:
        points = [replace(p, marks=said) for p, said in zip(points, marks(values, set_by), strict=True)]
    target = 0.0 if measure.name == "crow" else float(getattr(targets, measure.aim or measure.fact))
    tolerance = targets.tolerance_mm if measure.tolerated else None
    return Chart(instrument, measure, tuple(points), set_by, target, tolerance)


def charts(bench: Bench, instrument: str) -> list[Chart]:
    """The charts of all measures that reeds of this instrument have."""
    return [found for measure in MEASURES if (found := chart(bench, instrument, measure)).points]


def _step(reed: Reed, measure: Measure) -> Step | None:
    """The last event before the reed served that has the measure."""
    served = reed.first("played")
    if measure.kind == "played":
        return served
    made = (step for step in reed.of_kind(measure.kind) if measure.fact in step.facts)
    steps = [step for step in made if served is None or step.at <= served.at]
    return steps[-1] if steps else None


def _number(step: Step, measure: Measure, crow: float | None, a4: float) -> float | None:
    if measure.kind == "played":
        return step.before.overall_mm
    if measure.fact != "crow":
        return number(step.facts, measure.fact)
    sounds = _pitch(str(step.facts["crow"]), a4)
    return 1200 * log2(sounds / crow) if sounds and crow else None


def _pitch(text: str, a4: float) -> float | None:
    """The frequency of a pitch; None if the text is none."""
    try:
        return parse_pitch(text).frequency(a4)
    except InputError:
        return None


def chart_text(found: Chart) -> list[str]:
    """A chart in plain lines: the scatter, the target, and what is more than scatter."""
    measure = found.measure
    title = f"{spelt(found.instrument)}, {measure.words}: {plural(len(found.points), 'reed')}"
    if found.limits is None and len(found.points) < NEEDS:
        return [title, f"  too few for limits: {NEEDS} are needed"]
    if found.limits is None:
        each = f"  each is noted as {measure.show(found.values[0])}, as it was meant to be"
        return [title, each, "  what was measured on each tells how steady the hand is"]
    mean, lower, upper = (measure.show(v) for v in (found.limits.mean, found.limits.lower, found.limits.upper))
    moved, most = (measure.show_range(v) for v in (found.limits.range_mean, found.limits.range_upper))
    lines = [
        title,
        f"  mean {mean}; nearly all lie within {lower} to {upper}",
        f"  from one to the next it moves {moved} on average, seldom more than {most}",
    ]
    if found.target is not None:
        off = f"; {len(found.off_target)} stray by more than {found.tolerance:g} mm" if found.tolerance else ""
        lines.append(f"  target {measure.show(found.target)}{off}" if found.target else "  target 0 cents")
    for mark, words in MARKS.items():
        reeds = [point.reed.label for point in found.points if mark in point.marks]
        if reeds:
            lines.append(f"  {words}: {'reed' if len(reeds) == 1 else 'reeds'} {tag_list(reeds)}")
    if not found.marked:
        lines.append("  steady: nothing beyond its own scatter")
    return lines


MARKS = {
    "beyond": "beyond the limits",
    "side": f"{ONE_SIDE} or more in a row on one side of the mean, up to",
}


def chart_as_dict(found: Chart) -> SteadyChartJson:
    """A chart as JSON takes it."""
    set_by = found.limits
    return {
        "instrument": found.instrument,
        "measure": found.measure.name,
        "unit": found.measure.unit,
        "points": [
            {"tag": p.reed.label, "at": as_json.moment(p.at), "value": p.value, "range": moved, "marks": list(p.marks)}
            for p, moved in zip(found.points, [None, *found.ranges], strict=False)
        ],
        "mean": set_by.mean if set_by else None,
        "limits": [set_by.lower, set_by.upper] if set_by else None,
        "range_mean": set_by.range_mean if set_by else None,
        "range_limit": set_by.range_upper if set_by else None,
        "target": found.target,
        "tolerance": found.tolerance,
        "off_target": [point.reed.label for point in found.off_target],
    }
