"""What is usual for this maker: the range that her own values of a fact lie in, so that what is odd is learnt from her
hand and not from ours.

A value is odd where its modified z-score, its distance from the median in units of 1.4826 times the median absolute
deviation, exceeds 3.5 (Iglewicz & Hoaglin 1993, How to Detect and Handle Outliers; also NIST/SEMATECH e-Handbook of
Statistical Methods, 1.3.5.17). Amounts with a long tail upwards, such as minutes, are judged by their logarithms, and
are odd beyond twice her most and half her least. What she entered twice before is never odd, nor is what a ruler could
not tell from the rest.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import exp, log
from statistics import median

from reedkin.domain.checks import Usual
from reedkin.domain.facts import Facts

LEARNT: Mapping[str, tuple[str, ...]] = {
    "tied": ("overall_mm", "tube_mm", "gouge_mm", "sink_min"),
    "scraped": ("minutes",),
    "clipped": ("clip_mm",),
    "wired": ("wire_mm",),
    "tubed": ("tubing_mm",),
    "measured": (
        "overall_mm", "tip_from_mm", "heart_from_mm", "opening_mm", "width_mm", "thick_tip_mm", "thick_heart_mm",
        "thick_back_mm",
    ),
    "played": ("minutes",),
}  # fmt: skip
"""The facts of each kind of event whose range is learnt."""

NEEDS = 15
"""Own values that a range needs."""
TOO_FAR = 3.5 * 1.4826
_LONG_TAILED = ("minutes", "clip_mm", "sink_min")
_RULER = {
    "gouge_mm": 0.02, "thick_tip_mm": 0.02, "thick_heart_mm": 0.02, "thick_back_mm": 0.02, "opening_mm": 0.2,
    "width_mm": 0.2, "clip_mm": 0.2, "wire_mm": 1.0, "sink_min": 3.0, "minutes": 10.0,
}  # fmt: skip
_RULER_MM = 0.5
"""Differences within which no value is odd, by fact; and for the lengths that a ruler tells."""


def own_ranges(kind: str, events: Iterable[Facts]) -> dict[str, Usual]:
    """The range of each learnt fact of a kind of event, from the facts of the maker's own events of it on one
    instrument; those with fewer than NEEDS values are left out."""
    names = LEARNT.get(kind, ())
    values: dict[str, list[float]] = {name: [] for name in names}
    for facts in events:
        for name in names:
            value = facts.get(name)
            if isinstance(value, (int, float)) and not isinstance(value, bool) and value > 0:
                values[name].append(float(value))
    return {name: own_range(name, own) for name, own in values.items() if len(own) >= NEEDS}


def own_range(name: str, values: list[float]) -> Usual:
    """The range that two or more positive values of a fact make usual."""
    ordered = sorted(values)
    middle = median(ordered)
    if name in _LONG_TAILED:
        reach = TOO_FAR * median(abs(log(value / middle)) for value in ordered)
        low, high = max(middle * exp(-reach), ordered[0] / 2), min(middle * exp(reach), ordered[-1] * 2)
    else:
        reach = TOO_FAR * median(abs(value - middle) for value in ordered)
        low, high = middle - reach, middle + reach
    ruler = _RULER.get(name, _RULER_MM)
    low, high = min(low, middle - ruler, ordered[1]), max(high, middle + ruler, ordered[-2])
    return Usual(max(low, 0.0), high, len(ordered))
