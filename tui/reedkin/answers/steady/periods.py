"""A measure year by year: where it lay and how far it scattered, each with what chance leaves open."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import fmean, stdev
from typing import TYPE_CHECKING

from reedkin.answers.steady.steadiness import NEEDS, Chart, Measure, chart
from reedkin.bench.bench import Bench
from reedkin.domain.figures import plural
from reedkin.domain.periods import period_name
from reedkin.domain.words import spelt
from reedkin.survival.distributions import LEVEL, chi_square_quantile, student_quantile

if TYPE_CHECKING:
    from reedkin.contract.making import SpellsJson

EVERY = 1_000_000
"""So many of the latest reeds are all."""


@dataclass(frozen=True, slots=True)
class Spell:
    """The `values` of a measure in a year or season, in the order of time."""

    name: str
    values: tuple[float, ...]

    @property
    def known(self) -> bool:
        """Whether there are enough to speak of."""
        return len(self.values) >= NEEDS

    @property
    def mean(self) -> tuple[float, float, float]:
        """The mean, and the limits that hold the true one in 19 of 20 such spells, by Student's t."""
        wide = student_quantile(0.5 + LEVEL / 2, len(self.values) - 1)
        middle, off = fmean(self.values), wide * stdev(self.values) / sqrt(len(self.values))
        return middle, middle - off, middle + off

    @property
    def scatter(self) -> tuple[float, float, float]:
        """The standard deviation, and such limits: of normal values its square goes as a chi-square does."""
        sd, df = stdev(self.values), len(self.values) - 1
        least, most = (sd * sqrt(df / chi_square_quantile(0.5 + of * LEVEL / 2, df)) for of in (1, -1))
        return sd, least, most


def spells(bench: Bench, instrument: str, measure: Measure, month: int) -> tuple[Chart, list[Spell]]:
    """A measure of an instrument's reeds in each year that begins with a month, the latest first."""
    found = chart(bench, instrument, measure, EVERY)
    groups: dict[str, list[float]] = {}
    for point in found.points:
        groups.setdefault(period_name(point.at.date(), month), []).append(point.value)
    return found, [Spell(name, tuple(values)) for name, values in sorted(groups.items(), reverse=True)]


def spells_text(found: Chart, of: Sequence[Spell]) -> list[str]:
    """The same in plain lines."""
    measure = found.measure
    lines = [f"{spelt(found.instrument)}, {measure.words}:"]
    for one in of:
        if not one.known:
            lines.append(f"  {one.name}: {plural(len(one.values), 'reed')}, too few to tell ({NEEDS} are needed)")
            continue
        middle, low, high = (measure.show(value) for value in one.mean)
        scatter, least, most = (measure.show_range(value) for value in one.scatter)
        lines.append(
            f"  {one.name}: {len(one.values)} reeds, mean {middle} ({low} to {high}), scatter {scatter} "
            f"({least} to {most})"
        )
    return lines


def spells_as_dict(found: Chart, of: Sequence[Spell]) -> SpellsJson:
    """The same as JSON takes it; null where there are too few."""
    return {
        "instrument": found.instrument,
        "measure": found.measure.name,
        "unit": found.measure.unit,
        "periods": [
            {
                "name": one.name,
                "n": len(one.values),
                "mean": one.mean[0] if one.known else None,
                "mean_ci": list(one.mean[1:]) if one.known else None,
                "sd": one.scatter[0] if one.known else None,
                "sd_ci": list(one.scatter[1:]) if one.known else None,
            }
            for one in of
        ],
    }
