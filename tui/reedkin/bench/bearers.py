"""Which reeds bore which tag: a tag is used again, so reeds of one tag are told apart by their place in its order."""

from __future__ import annotations

from bisect import insort
from datetime import datetime

from reedkin.bench.beside import Beside

TAGS_TABLE = "tags"
"""Where it is said that a reed bears another tag than the one it was begun with; the subject is the reed."""


class Bearers:
    """The reeds by tag, those of one tag in the order in which they were begun."""

    def __init__(self) -> None:
        self._by_tag: dict[str, list[tuple[datetime, str]]] = {}
        self._place: dict[str, tuple[int, int]] = {}

    def of(self, tag: str) -> list[str]:
        """The ids of the reeds that bore a tag, oldest first."""
        return [reed for _, reed in self._by_tag.get(tag.casefold(), ())]

    def place(self, reed: str) -> tuple[int, int]:
        """Which bearer of its tag a reed is, from 1, and how many there were."""
        return self._place.get(reed, (1, 1))

    def put(self, tag: str, begun: datetime, reed: str) -> list[str]:
        """Take in a bearer; the ids of those whose place that settles or changes."""
        bearers = self._by_tag.setdefault(tag.casefold(), [])
        insort(bearers, (begun, reed))
        return self._renumbered(bearers)

    def take_out(self, tag: str, begun: datetime, reed: str) -> list[str]:
        """Take out a bearer; the ids of those whose place that changes."""
        bearers = self._by_tag[tag.casefold()]
        bearers.remove((begun, reed))
        return self._renumbered(bearers)

    def _renumbered(self, bearers: list[tuple[datetime, str]]) -> list[str]:
        changed = []
        for number, (_, reed) in enumerate(bearers, start=1):
            place = (number, len(bearers))
            if self._place.get(reed) != place:
                self._place[reed] = place
                changed.append(reed)
        return changed


def given_tags(beside: Beside) -> dict[str, str]:
    """The tags that reeds were given in place of their first, by reed."""
    return {reed: str(said["tag"]) for reed, said in beside.subjects(TAGS_TABLE).items() if "tag" in said}
