"""Which reeds bore which tag: a tag is used again, so reeds of one tag are told apart by their place in its order."""

from __future__ import annotations

from bisect import insort
from collections.abc import Iterable
from datetime import datetime

from reedkin.bench.beside import Beside
from reedkin.domain.characters import looks_like, plain_word

TAGS_TABLE = "tags"
"""Where it is said that a reed bears another tag than the one it was begun with; the subject is the reed."""


class Bearers:
    """The reeds by tag, those of one tag in the order in which they were begun. `oldest_first` are those that are known
    to begin with: tag, when it was begun, and id of each."""

    def __init__(self, oldest_first: Iterable[tuple[str, datetime, str]] = ()) -> None:
        self._by_tag: dict[str, list[tuple[datetime, str]]] = {}
        self._tags: dict[str, str] = {}
        for tag, begun, reed in oldest_first:
            self._bearers(tag, reed).append((begun, reed))

    def of(self, tag: str) -> list[str]:
        """The ids of the reeds that bore a tag, oldest first."""
        return [reed for _, reed in self._by_tag.get(tag_key(tag), ())]

    def place(self, reed: str) -> tuple[int, int]:
        """Which bearer of its tag a reed is, from 1, and how many there were."""
        bearers = self.of(self._tags.get(reed, ""))
        return (bearers.index(reed) + 1, len(bearers)) if reed in bearers else (1, 1)

    def put(self, tag: str, begun: datetime, reed: str) -> list[str]:
        """Take in a bearer; the ids of all that bear its tag, each of whose places that settles or changes."""
        insort(self._bearers(tag, reed), (begun, reed))
        return self.of(tag)

    def take_out(self, tag: str, begun: datetime, reed: str) -> list[str]:
        """Take out a bearer; the ids of the others, each of whose places that changes."""
        self._bearers(tag, reed).remove((begun, reed))
        return self.of(tag)

    def _bearers(self, tag: str, reed: str) -> list[tuple[datetime, str]]:
        """Those that bear a tag, which a reed is to be known by."""
        tag = self._tags[reed] = tag_key(tag)
        if tag not in self._by_tag:
            self._by_tag[tag] = []
        return self._by_tag[tag]


def tag_key(tag: str) -> str:
    """What a tag is known by, in upper or lower case and by whatever keyboard it was typed: é is one letter or two, and
    １２ is 12."""
    return tag.lower() if tag.isascii() else plain_word(looks_like(tag.casefold()))


def given_tags(beside: Beside) -> dict[str, str]:
    """The tags that reeds were given in place of their first, by reed."""
    return {reed: str(said["tag"]) for reed, said in beside.subjects(TAGS_TABLE).items() if "tag" in said}
