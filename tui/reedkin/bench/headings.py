"""What is known of each reed before its lineage is read, and quick answers to questions about all of them."""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from itertools import islice

from reedkin.domain.facts import Facts


@dataclass(frozen=True, slots=True)
class Heading:
    """What is known of a reed before its lineage is read. `over` is True where it is surely retired, `void` where its
    beginning was struck, `handed` where it may have been handed over; `written` are the facts of its beginning as first
    written, where these may differ from what they are now."""

    reed: str
    tag: str
    at: datetime
    facts: Facts
    over: bool = False
    void: bool = False
    handed: bool = False
    written: Facts | None = None


class Lookup:
    """The headings of a log, in order and by what they say. Nothing here looks at all of them but the first `known`
    or `on_tube` after a beginning was taken out or changed."""

    def __init__(self) -> None:
        self._by_age: list[tuple[datetime, str]] = []
        self._by_uid: list[str] = []
        self._headings: dict[str, Heading] = {}
        self._known: dict[str, dict[str, None]] = {}
        self._tubes: dict[str, list[str]] | None = None

    def __len__(self) -> int:
        return len(self._by_uid)

    def add(self, heading: Heading) -> None:
        """Take in a heading that is not there."""
        latest = not self._by_uid or heading.reed > self._by_uid[-1]
        insort(self._by_age, (heading.at, heading.reed))
        insort(self._by_uid, heading.reed)
        self._headings[heading.reed] = heading
        if not latest:
            self._known.clear()
        for fact, words in self._known.items():
            _put_last(words, heading.facts.get(fact))
        if self._tubes is not None and (tube := _tube(heading)):
            carried = self._tubes.setdefault(tube, [])
            insort(carried, heading.reed, key=lambda reed: (self._headings[reed].at, reed))

    def remove(self, heading: Heading) -> None:
        """Take out a heading that is there."""
        del self._by_age[bisect_left(self._by_age, (heading.at, heading.reed))]
        del self._by_uid[bisect_left(self._by_uid, heading.reed)]
        del self._headings[heading.reed]
        self._known.clear()
        self._tubes = None

    def by_age(self) -> list[str]:
        """The ids of the reeds, the one begun first first."""
        return [reed for _, reed in self._by_age]

    def latest(self, count: int) -> Iterator[str]:
        """The ids of the last `count` reeds that were recorded, the last first."""
        return islice(reversed(self._by_uid), count)

    def known(self, fact: str) -> list[str]:
        """The words that a fact has had, latest first."""
        if fact not in self._known:
            words: dict[str, None] = {}
            for reed in self._by_uid:
                _put_last(words, self._headings[reed].facts.get(fact))
            self._known[fact] = words
        return list(reversed(self._known[fact]))

    def on_tube(self, tube: str) -> list[str]:
        """The ids of the reeds that a tube carried, oldest first."""
        if self._tubes is None:
            self._tubes = {}
            for _, reed in self._by_age:
                if name := _tube(self._headings[reed]):
                    self._tubes.setdefault(name, []).append(reed)
        return list(self._tubes.get(tube.casefold(), ()))


def _tube(heading: Heading) -> str:
    return str(heading.facts.get("tube", "")).casefold()


def _put_last(words: dict[str, None], word: object) -> None:
    """Put a word behind all others; `words` keeps the order in which they were put."""
    if isinstance(word, str):
        words.pop(word, None)
        words[word] = None
