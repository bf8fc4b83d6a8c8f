"""What is known of each reed before its lineage is read, and quick answers to questions about all of them."""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from itertools import islice
from typing import TypeVar

from reedkin.domain.facts import Facts
from reedkin.domain.known import number

Key = TypeVar("Key", str, tuple[datetime, str])


@dataclass(frozen=True, slots=True)
class Heading:
    """What is known of a reed before its lineage is read. `over` is True where it is surely retired, `away` where it is
    surely with somebody else unless it is over, `void` where its beginning was struck, `handed` where it may have been
    handed over, `played` where it may have been played; `written` are the facts of its beginning as first written,
    where these may differ from what they are now."""

    reed: str
    tag: str
    at: datetime
    facts: Facts
    over: bool = False
    away: bool = False
    void: bool = False
    handed: bool = False
    played: bool = True
    written: Facts | None = None


class Headings:
    """The headings of a log by the id of the reed, in order, and by what they say. The reeds that were are gone
    through oldest first; those whose beginning was struck are held besides. Nothing here looks at all of them but the
    first `known` or `on_tube` after a beginning was taken out or changed."""

    def __init__(self, headings: Iterable[Heading] = ()) -> None:
        self._all = {heading.reed: heading for heading in headings}
        there = [heading for heading in self._all.values() if not heading.void]
        self._by_age = sorted((heading.at, heading.reed) for heading in there)
        self._by_uid = sorted(heading.reed for heading in there)
        self._known: dict[str, dict[str, None]] = {}
        self._saying: dict[str, dict[str, list[str]]] = {}

    def put(self, heading: Heading) -> None:
        """Take in a heading, in place of the one that the reed had."""
        self._take_out(heading.reed)
        self._all[heading.reed] = heading
        if heading.void:
            return
        latest = not self._by_uid or heading.reed > self._by_uid[-1]
        _put_in_order(self._by_age, (heading.at, heading.reed))
        _put_in_order(self._by_uid, heading.reed)
        if not latest:
            self._known.clear()
        for fact, words in self._known.items():
            _put_last(words, heading.facts.get(fact))
        for fact, reeds in self._saying.items():
            if word := _word(heading, fact):
                insort(reeds.setdefault(word, []), heading.reed, key=lambda reed: (self._all[reed].at, reed))

    def _take_out(self, reed: str) -> None:
        heading = self._all.get(reed)
        if heading is None or heading.void:
            return
        del self._by_age[bisect_left(self._by_age, (heading.at, reed))]
        del self._by_uid[bisect_left(self._by_uid, reed)]
        self._known.clear()
        self._saying.clear()

    # One reed

    def __contains__(self, reed: str) -> bool:
        return reed in self._all

    def __getitem__(self, reed: str) -> Heading:
        return self._all[reed]

    def instrument(self, reed: str) -> str | None:
        """The instrument of a reed; None where it is not known."""
        heading = self._all.get(reed)
        instrument = heading.facts.get("instrument") if heading is not None else None
        return str(instrument) if instrument is not None else None

    # All of them

    def __len__(self) -> int:
        return len(self._by_uid)

    def __iter__(self) -> Iterator[Heading]:
        return (self._all[reed] for _, reed in self._by_age)

    def reeds(self) -> list[str]:
        """The ids of the reeds that were, the one begun first first."""
        return [reed for _, reed in self._by_age]

    def all(self) -> list[Heading]:
        """All headings, in no order: those of reeds whose beginning was struck among them."""
        return list(self._all.values())

    def ever(self) -> list[str]:
        """The ids of all reeds that were recorded, in no order: those whose beginning was struck among them."""
        return list(self._all)

    def untied(self) -> list[str]:
        """The ids of the reeds whose beginning was struck, in the order in which they were recorded."""
        return sorted(heading.reed for heading in self._all.values() if heading.void)

    # The latest of them

    def latest(self, count: int) -> Iterator[Heading]:
        """The last `count` that were recorded, the last first."""
        return (self._all[reed] for reed in islice(reversed(self._by_uid), count))

    def latest_instrument(self) -> str | None:
        """The instrument of the reed that was recorded last."""
        return self.instrument(self._by_uid[-1]) if self._by_uid else None

    # By what they say

    def known(self, fact: str) -> list[str]:
        """The words used so far for a fact of the making (lot, tube, shape, ...), latest first."""
        if fact not in self._known:
            words: dict[str, None] = {}
            for reed in self._by_uid:
                _put_last(words, self._all[reed].facts.get(fact))
            self._known[fact] = words
        return list(reversed(self._known[fact]))

    def called(self, name: str) -> list[Heading]:
        """The reeds that were given a name when they were begun, oldest first."""
        return self._which_say("name", name)

    def look_back(self) -> None:
        """Go through all of them for the words that the entry line asks for at every key."""
        for fact in ("name", "tube"):
            self._which_say(fact, "")
        for fact in ("instrument", "name", "tube", "lot", "shape", "thread"):
            self.known(fact)

    def take_over(self, other: Headings) -> None:
        """Keep what was found in the very same headings; the others are given up."""
        self._known, self._saying = other._known, other._saying

    def on_tube(self, tube: str) -> list[Heading]:
        """The reeds that a tube carried, oldest first: in ten years they are many."""
        return self._which_say("tube", tube)

    def _which_say(self, fact: str, word: str) -> list[Heading]:
        if fact not in self._saying:
            reeds = self._saying[fact] = {}
            for _, reed in self._by_age:
                if said := _word(self._all[reed], fact):
                    reeds.setdefault(said, []).append(reed)
        return [self._all[reed] for reed in self._saying[fact].get(word.casefold(), ())]

    def tube_length(self, tube: str) -> float | None:
        """The length in mm that was last given for a tube."""
        for heading in sorted(self.on_tube(tube), key=lambda heading: heading.reed, reverse=True):
            length = number(heading.facts, "tube_mm")
            if length is not None:
                return length
        return None


def _put_in_order(kept: list[Key], key: Key) -> None:
    """Put a key in its place, which is nearly always the last."""
    if not kept or kept[-1] < key:
        kept.append(key)
    else:
        insort(kept, key)


def _word(heading: Heading, fact: str) -> str:
    return str(heading.facts.get(fact, "")).casefold()


def _put_last(words: dict[str, None], word: object) -> None:
    """Put a word behind all others; `words` keeps the order in which they were put."""
    if isinstance(word, str):
        words.pop(word, None)
        words[word] = None
