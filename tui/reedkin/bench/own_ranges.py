"""What is usual for this maker: the range that her own values of a fact lie in, so that what is odd is learnt from her
hand and not from ours.

A value is odd where its modified z-score, its distance from the median in units of 1.4826 times the median absolute
deviation, exceeds 3.5 (Iglewicz & Hoaglin 1993, How to Detect and Handle Outliers; also NIST/SEMATECH e-Handbook of
Statistical Methods, 1.3.5.17). Amounts with a long tail upwards, such as minutes, are judged by their logarithms, and
are odd beyond twice her most and half her least. What she entered twice before is never odd, nor is what a ruler could
not tell from the rest.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from math import exp, log

from reedkin.bench.headings import Headings
from reedkin.bench.last_time import LOOK_BACK
from reedkin.bench.lineages import Lineages
from reedkin.domain.checks import Usual
from reedkin.domain.events import Event
from reedkin.domain.facts import BEGINNINGS, Facts
from reedkin.domain.known import number
from reedkin.domain.reeds import State

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
_LOOK_FAR_BACK = 400
"""How many of the latest reeds are looked at where no lineage need be read."""


class OwnRanges:
    """The ranges of this maker's own values, by kind of event and instrument, over her latest reeds."""

    def __init__(self, headings: Headings, lineages: Lineages) -> None:
        self._headings, self._lineages = headings, lineages
        self._usual: dict[tuple[str, str], Mapping[str, Usual]] = {}

    def usual(self, kind: str, state: State | None, facts: Facts | None = None) -> Mapping[str, Usual]:
        """The ranges that this maker's own values of an event of this kind lie in, where her log shows them, on the
        instrument of a reed in this state, or of one that is begun with these facts."""
        instrument = state.instrument if state is not None else (facts or {}).get("instrument")
        if kind not in LEARNT or not isinstance(instrument, str):
            return {}
        key = kind, instrument
        if key not in self._usual:
            self._usual[key] = own_ranges(kind, self._own(kind, instrument))
        return self._usual[key]

    def look_back(self, kind: str, instrument: str) -> None:
        """Read the lineages that the ranges of a kind of event are learnt from."""
        for _ in self._own(kind, instrument):
            pass

    def _own(self, kind: str, instrument: str) -> Iterator[Facts]:
        """The facts of the maker's latest events of a kind on an instrument. How reeds were tied is known without
        reading their lineages, so that reaches back further."""
        latest = [h for h in self._headings.latest(_LOOK_FAR_BACK) if self._headings.instrument(h.reed) == instrument]
        if kind in BEGINNINGS:
            return (heading.facts for heading in latest)
        recent = (self._lineages.reed(heading.reed) for heading in latest[:LOOK_BACK])
        return (step.facts for reed in recent for step in reed.of_kind(kind))

    def add(self, event: Event) -> None:
        """Gather anew where a further event bears on what was gathered."""
        self._usual.pop((event.kind, self._headings.instrument(event.reed) or ""), None)

    def clear(self) -> None:
        """Gather anew when next asked: a reed was corrected."""
        self._usual.clear()


def own_ranges(kind: str, events: Iterable[Facts]) -> dict[str, Usual]:
    """The range of each learnt fact of a kind of event, from the facts of the maker's own events of it on one
    instrument; those with fewer than NEEDS values are left out."""
    names = LEARNT.get(kind, ())
    values: dict[str, list[float]] = {name: [] for name in names}
    for facts in events:
        for name in names:
            value = number(facts, name)
            if value is not None and value > 0:
                values[name].append(value)
    return {name: own_range(name, own) for name, own in values.items() if len(own) >= NEEDS}


def own_range(name: str, values: list[float]) -> Usual:
    """The range that two or more positive values of a fact make usual."""
    from statistics import median  # takes a while to import

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
