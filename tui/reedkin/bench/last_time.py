"""What was done the last time, for 'as last time': the facts of the latest event of a kind on an instrument."""

from __future__ import annotations

from reedkin.bench.headings import Headings
from reedkin.bench.lineages import Lineages
from reedkin.bench.whereabouts import Whereabouts
from reedkin.domain.events import Event
from reedkin.domain.facts import Facts

LOOK_BACK = 60
"""How many of the latest reeds have their lineages read for what was done last time, and for what is usual."""


class LastTime:
    """What was done last, by kind and instrument, among the reeds that are alive and those that were begun last."""

    def __init__(self, headings: Headings, lineages: Lineages, whereabouts: Whereabouts) -> None:
        self._headings, self._lineages, self._whereabouts = headings, lineages, whereabouts
        self._last: dict[tuple[str, str], tuple[str, Facts]] = {}

    def facts(self, kind: str, instrument: str) -> Facts | None:
        """The facts of the latest event of a kind on this instrument."""
        key = kind, instrument
        if key not in self._last:
            recent = (h.reed for h in self._headings.latest(LOOK_BACK))
            reeds = {r.id: r for r in self._whereabouts.at_work() if r.instrument == instrument}
            reeds |= {r: self._lineages.reed(r) for r in recent if self._headings.instrument(r) == instrument}
            steps = (s for r in reeds.values() for s in r.of_kind(kind) if _can_repeat(kind, s.facts))
            last = max(steps, key=lambda s: s.event.uid, default=None)
            self._last[key] = (last.event.uid, last.facts) if last is not None else ("", {})
        uid, facts = self._last[key]
        return facts if uid else None

    def add(self, event: Event) -> None:
        """Bring what was gathered up to date with a further event."""
        if not _can_repeat(event.kind, event.facts):
            return
        for (kind, instrument), (uid, _) in list(self._last.items()):
            if kind == event.kind and uid < event.uid and self._headings.instrument(event.reed) == instrument:
                self._last[kind, instrument] = event.uid, event.facts

    def clear(self) -> None:
        """Gather anew when next asked: a reed was corrected."""
        self._last.clear()


def _can_repeat(kind: str, facts: Facts) -> bool:
    """Whether "as last time" can mean an event: not the taking off of a wire or of tubing."""
    if kind == "wired":
        return facts.get("wire", "on") == "on"
    return kind != "tubed" or facts.get("tubing_mm") != 0
