"""Whether `replace soon` and its range hold, whoever makes and reports: `python -m tests.benchmarks.replace_soon`.

For each of many makers ten pupils play one reed each, for 300 days. Lives in days are drawn from a Weibull law of shape
2.3 (which is none of the program's), with a median of 30 days, each pupil's own longer or shorter by a factor (standard
deviation of its logarithm 0.25, unless they are all alike, or far apart: 0.6). Kinds of people differ in what they
report, and of makers in whether they give another reed when the program says so, or only when asked for one. A pupil
who was not told asks for the next reed a day after the last one ended. From the hundredth day on, the range of each
reed is looked at once, when it is first out for a week: whether its life, had it been left to end, lies within. Prints
a row for each kind, the share within once more with every maker counting alike and its standard error; `--write` puts
the table into `replace_soon.md`. Ends with 1 if the range holds in less than 60% of the reeds of any kind in which
somebody reports.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from itertools import repeat
from math import exp, log, sqrt
from pathlib import Path
from random import Random
from statistics import fmean, median, stdev

from tests.domain.maker import Maker

from reedkin.answers.people.question import reckoned
from reedkin.bench.orders import book

PUPILS, DAYS, BURN_IN, EVERY = 10, 300, 100, 7
SHAPE = 2.3
_FEWEST = 0.6
_PAGE = Path(__file__).with_suffix(".md")


@dataclass(frozen=True)
class Kind:
    """
    ends     the share of ends that are reported, and `late` by how many days on average.
    serving  the share of fortnights in which somebody says that a reed still serves.
    reacts   whether the maker gives another reed as soon as she is told to replace one.
    days     the median life.
    apart    how far lives with one pupil and with another lie apart, as the standard deviation of a logarithm.
    """

    ends: float
    serving: float = 0.0
    reacts: bool = False
    days: float = 30.0
    late: float = 0.0
    apart: float = 0.25

    @property
    def tells(self) -> bool:
        return self.ends > 0


KINDS: Mapping[str, Kind] = {
    "all is told, replaced when asked for": Kind(1.0, 0.5),
    "all is told, replaced when told": Kind(1.0, 0.5, reacts=True),
    "only bad news, replaced when asked for": Kind(1.0),
    "only bad news, replaced when told": Kind(1.0, reacts=True),
    "half the bad news, replaced when told": Kind(0.5, reacts=True),
    "bad news ten days late, replaced when told": Kind(1.0, reacts=True, late=10.0),
    "only good news, replaced when told": Kind(0.0, 0.5, reacts=True),
    "nothing is ever told, replaced when told": Kind(0.0, reacts=True),
    "lives of 60 days, only bad news, replaced when told": Kind(1.0, reacts=True, days=60.0),
    "lives of 60 days, all is told, replaced when told": Kind(1.0, 0.5, reacts=True, days=60.0),
    "lives of 15 days, only bad news, replaced when told": Kind(1.0, reacts=True, days=15.0),
    "pupils all alike, only bad news, replaced when told": Kind(1.0, reacts=True, apart=0.0),
    "pupils all alike, all is told, replaced when told": Kind(1.0, 0.5, reacts=True, apart=0.0),
    "pupils far apart, only bad news, replaced when told": Kind(1.0, reacts=True, apart=0.6),
    "pupils far apart, all is told, replaced when told": Kind(1.0, 0.5, reacts=True, apart=0.6),
}


@dataclass
class Seen:
    """What was seen of the reeds of a kind: on which side of its range each life ended, the middle over the life, the
    days without a good reed, and what of a life was left when it was replaced."""

    within: list[int] = field(default_factory=list)
    ratio: list[float] = field(default_factory=list)
    without: int = 0
    days: int = 0
    unused: list[float] = field(default_factory=list)


@dataclass
class _Held:
    """A reed that a pupil has: the day on which its life ends, and on which that is to be reported, if it is."""

    tag: str
    ends: datetime
    report: datetime | None


class _World:
    """A maker and her pupils, day by day."""

    def __init__(self, kind: Kind, seed: int) -> None:
        self.kind, self.chance, self.maker, self.seen = kind, Random(seed), Maker(), Seen()
        self.own = [exp(self.chance.gauss(0.0, kind.apart)) for _ in range(PUPILS)]
        self.held: list[_Held] = [self.give(pupil) for pupil in range(PUPILS)]
        self.ends = {one.tag: one.ends for one in self.held}
        self.looked: set[str] = set()

    def give(self, pupil: int) -> _Held:
        """Tie a reed and give it to a pupil."""
        tag = str(len(self.maker.bench.reeds()) + 1)
        self.maker.type(f"{tag} tie oboe 72", f"{tag} give to pupil {'abcdefghij'[pupil]}")
        scale = self.kind.days / log(2) ** (1 / SHAPE) * self.own[pupil]
        now = self.maker.clock.now()
        ends = now + timedelta(days=max(self.chance.weibullvariate(scale, SHAPE), 0.5))
        told = self.chance.random() < self.kind.ends
        late = self.chance.expovariate(1 / self.kind.late) if self.kind.late else 0.0
        return _Held(tag, ends, ends + timedelta(days=late) if told else None)

    def replace(self, pupil: int) -> None:
        self.held[pupil] = self.give(pupil)
        self.ends[self.held[pupil].tag] = self.held[pupil].ends

    def live(self, day: int) -> None:
        """A day: what is reported, what is asked for, and, now and then, a look at whose reed is to be replaced."""
        clock = self.maker.clock
        for pupil, one in enumerate(self.held):
            now = clock.now()
            if one.report is not None and one.report <= now:
                self.maker.type(f"{one.tag} heard worn out")
                one.report = None
            elif one.ends > now and day % 14 == pupil and self.chance.random() < self.kind.serving:
                self.maker.type(f"{one.tag} heard still plays it")
            if day >= BURN_IN:
                self.seen.days += 1
                self.seen.without += one.ends < now
            if one.ends + timedelta(days=1) < now:
                self.replace(pupil)
        if day % EVERY == 0:
            self.look(day)
        clock.forward(days=1)

    def look(self, day: int) -> None:
        now = self.maker.clock.now()
        holders = {one.tag: pupil for pupil, one in enumerate(self.held)}
        for out in reckoned(self.maker.bench, book(self.maker.bench)):
            tag = out.delivery.reed.tag
            if tag in holders and out.end is not None and tag not in self.looked and day >= BURN_IN:
                age = (now - out.delivery.at) / timedelta(days=1)
                if age >= 7:
                    self.looked.add(tag)
                    self._judge(out.end.lo, out.end.middle, out.end.hi, out.delivery.at, self.ends[tag])
            if out.soon and self.kind.reacts and tag in holders:
                left = (self.ends[tag] - now) / timedelta(days=1)
                if left > 0 and day >= BURN_IN:
                    self.seen.unused.append(left)
                self.replace(holders[tag])

    def _judge(self, lo: datetime, middle: datetime, hi: datetime, begun: datetime, ends: datetime) -> None:
        self.seen.within.append(-1 if ends < lo else 1 if ends > hi else 0)
        self.seen.ratio.append((middle - begun) / (ends - begun))


def lived(seed: int, name: str) -> Seen:
    world = _World(KINDS[name], seed)
    for day in range(DAYS):
        world.live(day)
    return world.seen


def row(name: str, found: Sequence[Seen]) -> str:
    within = [side for one in found for side in one.within]
    share = [within.count(side) / len(within) for side in (-1, 0, 1)]
    ratio = median(value for one in found for value in one.ratio)
    without = sum(one.without for one in found) / sum(one.days for one in found)
    unused = [left for one in found for left in one.unused]
    left = f"{fmean(unused):.0f}" if unused else "–"
    held = [one.within.count(0) / len(one.within) for one in found if one.within]
    error = f" ± {stdev(held) / sqrt(len(held)):.0%}" if len(held) > 1 else ""
    shares = (f"{share[0]:.0%}", f"{share[1]:.0%}", f"{fmean(held):.0%}{error}", f"{share[2]:.0%}")
    cells = (name, len(within), *shares, f"{ratio:.2f}", f"{without:.1%}", left)
    return f"| {' | '.join(map(str, cells))} |"


HEAD = (
    "| kind | reeds | ended before the range | within (80% is said) | the same, each maker alike | after "
    "| middle over life (median) | days without a good reed | days left when replaced |\n"
    "|---|---|---|---|---|---|---|---|---|"
)


def main() -> int:
    parser = argparse.ArgumentParser(prog="replace_soon", description=__doc__)
    parser.add_argument("--logs", type=int, default=12, help="makers of each kind")
    parser.add_argument("--only", default="", help="the kinds whose name holds this")
    parser.add_argument("--write", action="store_true", help="put the table into replace_soon.md")
    args = parser.parse_args()
    rows, failed = [HEAD], False
    print(HEAD, flush=True)
    with ProcessPoolExecutor() as pool:
        for name, kind in KINDS.items():
            if args.only in name:
                found = list(pool.map(lived, range(args.logs), repeat(name)))
                rows.append(row(name, found))
                print(rows[-1], flush=True)
                within = [side for one in found for side in one.within]
                failed |= kind.tells and within.count(0) / len(within) < _FEWEST
    if args.write:
        about = (__doc__ or "").split("\n\n", 1)[1]
        _PAGE.write_text(f"# Whose reed is to be replaced soon\n\n{about}\n" + "\n".join(rows) + "\n", encoding="utf-8")
    return int(failed)


if __name__ == "__main__":
    sys.exit(main())
