"""What the maker writes on her reeds: the reed that a tag means, and the tags that are free."""

from __future__ import annotations

from collections.abc import Container

from reedkin.bench.bearers import Bearers
from reedkin.bench.headings import Headings
from reedkin.bench.lineages import Lineages
from reedkin.bench.whereabouts import Whereabouts
from reedkin.domain.reeds import Reed

_LATEST = 30
"""How many of the latest reeds are looked at for the next tag."""


class Tags:
    """Reeds by tag."""

    def __init__(self, headings: Headings, bearers: Bearers, lineages: Lineages, whereabouts: Whereabouts) -> None:
        self._headings, self._bearers, self._lineages, self._whereabouts = headings, bearers, lineages, whereabouts

    def bearers(self, tag: str) -> list[str]:
        """The ids of the reeds that bore a tag, oldest first."""
        return self._bearers.of(tag)

    def find(self, text: str) -> Reed | None:
        """The reed that a tag means: "12" the living one or the last, "12/1" the first that bore it; else one at
        work with this name."""
        tag, slash, place = text.partition("/")
        bearers = self.bearers(tag)
        if slash:
            if len(place) > 9 or not place.isdecimal() or not 1 <= int(place) <= len(bearers):
                return None
            return self._lineages.reed(bearers[int(place) - 1])
        if not bearers:
            return self.named(text)
        maybe = (self._lineages.reed(one) for one in reversed(bearers) if not self._whereabouts.surely_gone(one))
        return next((reed for reed in maybe if reed.at_work), None) or self._lineages.reed(bearers[-1])

    def also_at_work(self, reed: Reed) -> list[Reed]:
        """Others at work that bear a reed's tag, oldest first: two logs that were merged may both have given it."""
        others = [one for one in self.bearers(reed.tag) if one != reed.id and not self._whereabouts.surely_gone(one)]
        return [other for other in map(self._lineages.reed, others) if other.at_work]

    def named(self, name: str) -> Reed | None:
        """The reed at work with this name; the one begun last, if there are several."""
        called = (heading.reed for heading in reversed(self._headings.called(name)))
        maybe = (self._lineages.reed(one) for one in called if not self._whereabouts.surely_gone(one))
        return next((reed for reed in maybe if reed.at_work), None)

    def is_free(self, tag: str) -> bool:
        """Whether a new reed may bear this tag: no reed at work bears it, nor one that is lent."""
        maybe = (self._lineages.reed(one) for one in self.bearers(tag) if not self._whereabouts.surely_over(one))
        return not any(reed.now.keeps_tag for reed in maybe)

    def next(self, besides: Container[str] = ()) -> str:
        """The number after the highest one that the latest reeds bear; one that is not in `besides`."""
        latest = (heading.tag for heading in self._headings.latest(_LATEST))
        tag = max((int(t) for t in latest if t.isdecimal() and len(t) < 10), default=0) + 1
        while str(tag) in besides or not self.is_free(str(tag)):
            tag += 1
        return str(tag)
