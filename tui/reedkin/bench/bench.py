"""The whole log as the maker thinks of it: small read models, each of one thing, that follow what is recorded.

A lineage is read and folded only when it is asked for, so a log of ten years opens as fast as a new one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from pathlib import Path

from reedkin.bench.bearers import TAGS_TABLE, Bearers, given_tags
from reedkin.bench.beside import Beside
from reedkin.bench.headings import Heading, Headings
from reedkin.bench.last_time import LastTime
from reedkin.bench.lineages import Lineages
from reedkin.bench.own_ranges import OwnRanges
from reedkin.bench.sessions import WorkSessions
from reedkin.bench.settings import Settings
from reedkin.bench.tags import Tags
from reedkin.bench.whereabouts import Whereabouts
from reedkin.domain.clock import Clock
from reedkin.domain.events import REED_TABLE, Event, Record, Statement, Strike, table_of
from reedkin.domain.reeds import Reed, fold


class Bench:
    """
    The state of a log, in parts. What nearly everybody asks is answered here as well: `find`, `reed`, `reeds` and
    `at_work`.

    lineage, statements  give the records of a reed, and those of the tables beside
    headings     what is known of each reed before its lineage is read
    lineages     the records of each reed, and the reed that they make
    whereabouts  which reeds are at work, and which are with somebody else
    tags         the reed that a tag means, and the tags that are free
    beside       what was said of the things beside the reeds
    sessions     the sittings at the bench
    settings     what the maker set, and the targets that she aims at
    last_time    what was done the last time
    own_ranges   what is usual for this maker
    """

    def __init__(
        self,
        clock: Clock,
        headings: Iterable[Heading] = (),
        lineage: Callable[[str], Iterable[Record]] = lambda reed: (),
        statements: Iterable[Statement | Strike] = (),
    ) -> None:
        self.clock = clock
        self.beside = Beside(statements)
        self.sessions, self.settings = WorkSessions(self.beside), Settings(self.beside)
        self._given = given_tags(self.beside)
        self.headings = Headings(map(self._as_given, headings))
        self._bearers = Bearers((heading.tag, heading.at, heading.reed) for heading in self.headings)
        self.lineages = Lineages(lineage, self.headings, self._bearers)
        self.whereabouts = Whereabouts(self.headings, self.lineages)
        self.tags = Tags(self.headings, self._bearers, self.lineages, self.whereabouts)
        self.last_time = LastTime(self.headings, self.lineages, self.whereabouts)
        self.own_ranges = OwnRanges(self.headings, self.lineages)
        self.circle: Path | None = None
        """Where the files of a circle of makers lie, beside the log; None for a bench that is of no log."""
        self.changes = 0
        """How often records were taken in since: what was reckoned at another count is out of date."""

    @classmethod
    def of(cls, clock: Clock, records: Iterable[Record] = ()) -> Bench:
        """A bench that holds these records in memory."""
        bench = cls(clock)
        bench.add(records)
        return bench

    # What nearly everybody asks

    def __contains__(self, reed: str) -> bool:
        """Whether there is a reed with this id, be it one whose beginning was struck."""
        return reed in self.headings

    def __len__(self) -> int:
        return len(self.headings)

    def reed(self, reed: str) -> Reed:
        """The reed with this id. Raises KeyError if there is none."""
        return self.lineages.reed(reed)

    def reeds(self) -> list[Reed]:
        """Every reed that was, oldest first. Reads the whole log."""
        return self.lineages.all()

    def at_work(self) -> list[Reed]:
        """The reeds on the bench and in the case, oldest first."""
        return self.whereabouts.at_work()

    def find(self, text: str) -> Reed | None:
        """The reed that a tag or a name means."""
        return self.tags.find(text)

    def look_back(self) -> None:
        """Read the lineages that "as last time" and the usual ranges are learnt from, and gather the words that were
        used: a moment's work in a long log, which is better done before a key has to wait for it."""
        for instrument in dict.fromkeys(reed.instrument for reed in self.at_work()):
            self.last_time.facts("scraped", instrument)
            self.own_ranges.look_back("scraped", instrument)
        self.headings.look_back()

    # For another thread

    def snapshot(self) -> Callable[[], Bench]:
        """What is known now, to be made into a bench of its own by another thread while entries are recorded here."""
        headings, statements = self.headings.all(), self.beside.records()
        lineages, whereabouts, changes = self.lineages.held(), self.whereabouts.held(), self.changes

        def make() -> Bench:
            bench = Bench(self.clock, headings, self.lineages.source, statements)
            bench.lineages.hold(*lineages)
            bench.whereabouts.hold(*whereabouts)
            bench.changes, bench.circle = changes, self.circle
            return bench

        return make

    def take_over(self, other: Bench) -> None:
        """Keep what a bench made from a snapshot looked back at, if nothing was recorded here since."""
        if other.changes == self.changes:
            self.headings.take_over(other.headings)
            self.lineages.take_over(other.lineages.folded())

    # Taking in

    def add(self, records: Iterable[Record]) -> None:
        """Take records into account that were written after the bench was made, in any order."""
        self.changes += 1
        corrected: dict[str, None] = {}
        touched: dict[str, None] = {}
        retagged = False
        for record in records:
            table = table_of(record)
            if table.startswith(REED_TABLE):
                reed = table.removeprefix(REED_TABLE)
                touched.setdefault(reed)
                if self._corrects(reed, record):
                    corrected.setdefault(reed)
            else:
                assert isinstance(record, (Statement, Strike))
                self.beside.add(record)
                retagged = retagged or table == TAGS_TABLE
        if retagged:
            before, self._given = self._given, given_tags(self.beside)
            corrected.update(dict.fromkeys((*before, *self._given)))
        for reed in corrected:
            self._correct(reed)
        for reed in touched:
            self.whereabouts.settle(reed)

    def _corrects(self, reed: str, record: Record) -> bool:
        """Take in a record of a reed. Whether it changes what was there: a further event does not, unless it is the
        beginning that the others had waited for."""
        self.lineages.add(reed, record)
        self.whereabouts.add(reed, record)
        if not isinstance(record, Event):
            return True
        begins = record.uid == reed and reed not in self.headings
        if begins:
            self._enter(Heading(reed, record.tag, record.at, record.facts))
        self.last_time.add(record)
        self.own_ranges.add(record)
        return begins and len(self.lineages.added(reed)) > 1

    def _enter(self, heading: Heading) -> None:
        """Take in a heading that is new, or in place of one that was taken out of its tag's order."""
        heading = self._as_given(heading)
        self.headings.put(heading)
        self.whereabouts.put(heading)
        if not heading.void:
            self.lineages.forget(self._bearers.put(heading.tag, heading.at, heading.reed))

    def _as_given(self, heading: Heading) -> Heading:
        """A heading with the tag that its reed was given later."""
        given = self._given.get(heading.reed)
        return heading if given is None else replace(heading, tag=given)

    def _correct(self, reed: str) -> None:
        """After an amendment, a strike or a new tag: a reed may be void or not, alive again, or elsewhere in its tag's
        order."""
        self.last_time.clear()
        self.own_ranges.clear()
        if reed not in self.headings:
            return
        before = self.headings[reed]
        if not before.void:
            self.lineages.forget(self._bearers.take_out(before.tag, before.at, reed))
        self.lineages.forget([reed])
        self.whereabouts.unsettle()
        whole = fold(reed, self.lineages.records(reed))
        begun = whole.steps[0]
        self._enter(Heading(reed, whole.tag, begun.at, begun.facts, void=whole.void, written=begun.event.facts))
