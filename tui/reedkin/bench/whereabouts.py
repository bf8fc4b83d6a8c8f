"""Which reeds are at work and which are with somebody else, without looking at all that ever were."""

from __future__ import annotations

from bisect import insort
from collections.abc import Iterator

from reedkin.bench.headings import Heading, Headings
from reedkin.bench.lineages import Lineages
from reedkin.domain.events import Event, Record
from reedkin.domain.reeds import HANDED_OVER, RETIRED, Reed


class Whereabouts:
    """The reeds of a log by where they are."""

    def __init__(self, headings: Headings, lineages: Lineages) -> None:
        self._headings, self._lineages = headings, lineages
        self._over: set[str] = set()
        self._away: set[str] = set()
        self._handed: set[str] = set()
        self._at_work: list[str] | None = None
        for heading in headings.all():
            self.put(heading)

    def at_work(self) -> list[Reed]:
        """The reeds on the bench and in the case, oldest first."""
        if self._at_work is None:
            self._at_work = [reed.id for reed in self._maybe_here() if reed.at_work]
        return [self._lineages.reed(one) for one in self._at_work]

    def handed_over(self) -> list[Reed]:
        """The reeds that are with somebody else, oldest first."""
        return [reed for reed in self.ever_handed_over() if reed.stage == HANDED_OVER]

    def any_went_out(self) -> bool:
        """Whether a reed was ever with somebody else; reads none."""
        return bool(self._handed)

    def ever_handed_over(self) -> list[Reed]:
        """The reeds that are or were with somebody else, oldest first, and maybe some that were not. Reads no other."""
        return [self._lineages.reed(one) for one in self._headings.reeds() if one in self._handed]

    def surely_over(self, reed: str) -> bool:
        """Whether a reed is known to be retired. One that is not may be, too; its lineage tells."""
        return reed in self._over

    def surely_gone(self, reed: str) -> bool:
        """Whether a reed is known to be retired or with somebody else, and so is not at work."""
        return reed in self._over or reed in self._away

    def _maybe_here(self) -> Iterator[Reed]:
        """The reeds that may be at work, oldest first. Those seen to be retired are not looked at again."""
        for one in self._headings.reeds():
            if not self.surely_gone(one):
                reed = self._lineages.reed(one)
                if reed.stage == RETIRED:
                    self._over.add(one)
                else:
                    yield reed

    # Taking in

    def put(self, heading: Heading) -> None:
        """Take in what a heading says of where its reed is."""
        if heading.over:
            self._over.add(heading.reed)
        if heading.away:
            self._away.add(heading.reed)
        if heading.handed:
            self._handed.add(heading.reed)

    def add(self, reed: str, record: Record) -> None:
        """Take in a further record of a reed: it may be alive again, or have gone out or come back."""
        self._over.discard(reed)
        self._away.discard(reed)
        if isinstance(record, Event) and record.kind == "handed over":
            self._handed.add(reed)

    def settle(self, reed: str) -> None:
        """Put a reed in its place among those at work, or take it out of them, so that nobody looks at all reeds."""
        if self._at_work is None:
            return
        others = [other for other in self._at_work if other != reed]
        if reed in self._headings and self._lineages.reed(reed).at_work:
            insort(others, reed, key=lambda one: (self._lineages.reed(one).begun, one))
        self._at_work = others

    def unsettle(self) -> None:
        """Look anew for those at work when they are next asked for: a reed was corrected."""
        self._at_work = None

    # For another thread

    def held(self) -> tuple[set[str], set[str], set[str]]:
        """The ids of those that are surely over, of those that are surely away, and of those that may have been handed
        over, for a snapshot."""
        return set(self._over), set(self._away), set(self._handed)

    def hold(self, over: set[str], away: set[str], handed: set[str]) -> None:
        """Take what other whereabouts `held`, and keep it."""
        self._over, self._away, self._handed = over, away, handed
