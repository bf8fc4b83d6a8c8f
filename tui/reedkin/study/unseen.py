"""Reeds that the log still has at work, though nothing has been written of them for so long that they must be gone.

The end of a reed is what is forgotten first: it goes into the bin, and the notebook lies elsewhere. The log then has it
in the case for ever, ready for the next concert. So a reed of which nothing was written for longer than nearly any that
was taken up again is not counted on, and is asked about.

How long is counted not in days but in days on which the others went on: a reed in service by days on which any of its
instrument was played, a blank by days on which blanks were worked on. So a summer without playing, or an instrument
that is wanted twice a year, makes no reed unseen. The maker's own reeds say what is long; before there are enough of
them, common practice does. A reed that is saved for something is meant to lie. Writing anything of a reed, were it a
note, shows that it is there.

Of invented logs in which four ends in ten were never written down, it finds 674 of 811 such reeds, and takes 2 for gone
that were played again later.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from reedkin.bench.bench import Bench
from reedkin.domain.reeds import IN_SERVICE, Reed

LEAST = timedelta(days=60)
"""A reed of which something was written since is there (common practice, no source)."""
_LEAST, _USUAL = 20, 40
"""The fewest days that are long; and what is long for a maker with few reeds (common practice, no source)."""
_NEARLY_ALL, _TIMES = 0.95, 1.5
"""Longer than the longest rest of so many of her reeds that were taken up again, and that by so much."""
_FEW = 10
"""Fewer reeds than these tell nothing of what is long."""
_LATEST = 100
"""So many reeds of an instrument are looked at, the latest."""
_BENCH_WORK = frozenset(("tied", "scraped", "clipped", "wired", "tubed", "crowed", "measured", "scored"))


@dataclass(slots=True)
class _Custom:
    """How an instrument's reeds of one kind, blanks or reeds in service, are gone on with: the days on which any was,
    and of each that was taken up again after a rest, the longest such rest, as the days on which something was written
    of it before and after."""

    active: set[date] = field(default_factory=set)
    rests: list[list[tuple[date, date]]] = field(default_factory=list)

    def lengths(self, days: Sequence[date]) -> list[int]:
        """How long each rest was, ascending."""
        return sorted(_between(days, *rest) for rests in self.rests for rest in rests)

    def limit(self, days: Sequence[date]) -> float:
        """More days on which the others went on than this are too long; `days` are those days, ascending."""
        longest = sorted(max(_between(days, *rest) for rest in rests) for rests in self.rests)
        if len(longest) < _FEW:
            return _USUAL
        return max(_TIMES * longest[int(_NEARLY_ALL * len(longest))], _LEAST)


@dataclass(frozen=True, slots=True)
class Sight:
    """
    unseen  the reeds at work that must be gone, though nobody wrote it down, oldest first.
    doubt   by id, how likely any other reed in service is gone; one that is not named is there.
    """

    unseen: tuple[Reed, ...] = ()
    doubt: Mapping[str, float] = field(default_factory=dict)


def sight_of(bench: Bench) -> Sight:
    """What is still there. Reads the lineages of what is at work, and of the latest reeds that were played."""
    now = bench.clock.now()
    silent = [reed for reed in bench.at_work() if _may_be_gone(reed, now)]
    if not silent:
        return Sight()
    ways: dict[tuple[str, bool], _Custom] = defaultdict(_Custom)
    looked_at = list(_looked_at(bench))
    for reed in looked_at:
        _learn(reed, ways, now)
    days = {kind: sorted(found.active) for kind, found in ways.items()}
    limits = {kind: found.limit(days[kind]) for kind, found in ways.items()}

    def lain(reed: Reed) -> int:
        kind = reed.instrument, reed.stage == IN_SERVICE
        return _between(days.get(kind, ()), _day(reed.last.at, now), now.date())

    gone = [r for r in silent if lain(r) > limits.get((r.instrument, r.stage == IN_SERVICE), _USUAL)]
    doubt: dict[str, float] = {}
    for instrument in {reed.instrument for reed in gone if reed.stage == IN_SERVICE}:
        own = [reed for reed in looked_at if reed.instrument == instrument]
        custom = ways[instrument, True]
        serving = [reed for reed in own if reed.stage == IN_SERVICE and reed not in gone and not _is_saved(reed, now)]
        untold = sum(reed.stage == IN_SERVICE for reed in gone if reed.instrument == instrument)
        told = sum(_ended(reed, now - LEAST) for reed in own)
        rests = custom.lengths(days[instrument, True])
        doubt |= {reed.id: _doubt(lain(reed), rests, untold, told) for reed in serving}
    return Sight(tuple(gone), doubt)


def _doubt(lain: int, rests: Sequence[int], untold: int, told: int) -> float:
    """
    The chance that a reed which has lain for so long is gone, by Bayes' rule: either it ended with its last playing and
    nobody told, as likely as that happens, or it rests, and not many rests are so long. `rests`: the lengths of those
    that ended with another playing, ascending; `untold` ends of `told` and untold ones were not written down.
    """
    ended = untold / (len(rests) + untold + told)
    still = (len(rests) - bisect_left(rests, lain) + 0.5) / (len(rests) + 1) * len(rests) / (len(rests) + untold + told)
    return ended / (ended + still)


def _ended(reed: Reed, before: datetime) -> bool:
    end = reed.retirement
    return end is not None and end.at <= before and end.before.stage == IN_SERVICE


def _may_be_gone(reed: Reed, now: datetime) -> bool:
    return not _is_saved(reed, now) and now - reed.last.at > LEAST


def _is_saved(reed: Reed, now: datetime) -> bool:
    return reed.now.saved_for is not None and (reed.now.saved_until is None or reed.now.saved_until >= now.date())


def _looked_at(bench: Bench) -> Iterable[Reed]:
    """The latest reeds of each instrument that may have been played, and what is at work."""
    found = {reed.id: reed for reed in bench.at_work()}
    count: dict[str | None, int] = defaultdict(int)
    for heading in reversed(list(bench.headings)):
        instrument = bench.headings.instrument(heading.reed)
        if (heading.played or bench.lineages.added(heading.reed)) and count[instrument] < _LATEST:
            count[instrument] += 1
            found[heading.reed] = bench.reed(heading.reed)
    return found.values()


def _learn(reed: Reed, ways: dict[tuple[str, bool], _Custom], now: datetime) -> None:
    """Take in when a reed was gone on with. That it was retired, or came back from somebody, tells nothing of rests."""
    rests: dict[bool, list[tuple[date, date]]] = {False: [], True: []}
    for before, after in _pairs(reed, now):
        serving = before.serving or reed.joined
        if after.kind not in ("retired", "returned", "handed over"):
            rests[serving].append((before.day, after.day))
    for step in reed.standing:
        if step.at <= now and (step.kind == "played" or step.kind in _BENCH_WORK):
            ways[reed.instrument, step.kind == "played"].active.add(_day(step.at, now))
    for serving, own in rests.items():
        if own:
            ways[reed.instrument, serving].rests.append(own)


@dataclass(frozen=True, slots=True)
class _Touch:
    day: date
    kind: str
    serving: bool


def _pairs(reed: Reed, now: datetime) -> Iterator[tuple[_Touch, _Touch]]:
    before = None
    for step in reed.standing:
        after = _Touch(_day(step.at, now), step.kind, step.after.stage == IN_SERVICE)
        if before is not None:
            yield before, after
        before = after


def _between(days: Sequence[date], first: date, last: date) -> int:
    """How many of these days, ascending, lie after one and before another."""
    return max(bisect_left(days, last) - bisect_right(days, first), 0)


def _day(at: datetime, now: datetime) -> date:
    return at.astimezone(now.tzinfo).date()
