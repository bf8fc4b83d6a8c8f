"""What the maker keeps beside the reeds: tags in use, tubes, cane lots, and orders."""

from __future__ import annotations

from collections import Counter
from datetime import date
from random import Random
from typing import Any

from demo_logs.maker.town import season
from demo_logs.maker.trade import BASS, CUSTOMERS, DAMORE, EH, OBOE, PROFILES


class Tags:
    """Numbers from 1, begun again each season; a number that a living reed bears is passed over."""

    def __init__(self) -> None:
        self._in_use: set[str] = set()
        self._bearers: Counter[str] = Counter()
        self._next = 1
        self._season: int | None = None

    def take(self, day: int) -> tuple[str, int]:
        """The next free tag, and the how-manieth reed to bear it this is."""
        if season(day) != self._season:
            self._season, self._next = season(day), 1
        while str(self._next) in self._in_use:
            self._next += 1
        return self.claim(str(self._next))

    def claim(self, tag: str) -> tuple[str, int]:
        self._in_use.add(tag)
        self._bearers[tag] += 1
        return tag, self._bearers[tag]

    def release(self, tag: str) -> None:
        self._in_use.discard(tag)


class Tubes:
    """Tubes by instrument. A tube comes free when its reed is retired; when none is free a new one is bought."""

    def __init__(self) -> None:
        self._free: dict[str, list[str]] = {instrument: [] for instrument in PROFILES}
        self._uses: Counter[str] = Counter()
        self.bought: list[dict[str, Any]] = []
        for instrument, count in ((EH, 14), (OBOE, 14), (DAMORE, 4), (BASS, 3)):
            for _ in range(count):
                self._buy(instrument)

    def _buy(self, instrument: str) -> None:
        profile = PROFILES[instrument]
        name = f"{profile.tube_letter}{1 + sum(t['instrument'] == instrument for t in self.bought)}"
        self.bought.append({"tube": name, "tube_mm": profile.tube_mm, "instrument": instrument})
        self._free[instrument].append(name)

    def take(self, instrument: str, rng: Random) -> tuple[str, int]:
        """A free tube, and how many reeds it has carried before."""
        free = self._free[instrument]
        if not free:
            self._buy(instrument)
        tube = free.pop(rng.randrange(len(free)))
        self._uses[tube] += 1
        return tube, self._uses[tube] - 1

    def release(self, instrument: str, tube: str) -> None:
        if tube:
            self._free[instrument].append(tube)


class Cane:
    """Two open lots for each instrument, so that lot and season do not go together; a spent lot is replaced.

    The second lot of English horn cane, and every fourth after it, is a bad one.
    """

    def __init__(self, rng: Random) -> None:
        self._rng = rng
        self._open: dict[str, list[dict[str, Any]]] = {instrument: [] for instrument in PROFILES}
        self._left: dict[str, int] = {}
        self._count: Counter[str] = Counter()
        self.lots: list[dict[str, Any]] = []
        self.bad: set[str] = set()

    def _buy(self, instrument: str, day: int) -> None:
        rng, profile = self._rng, PROFILES[instrument]
        pieces = rng.randrange(36, 72, 4)
        number = len(self.lots) + 3
        name = str(number) if rng.random() < 0.8 else f"{rng.choice(('hill', 'river', 'south'))}{number}"
        self._count[instrument] += 1
        if instrument == EH and self._count[instrument] % 4 == 2:
            self.bad.add(name)
        bought = date.fromordinal(day)
        lot = {
            "lot": name,
            "instrument": instrument,
            "source": rng.choice(("the hill grower", "the river grower", "a colleague's cupboard")),
            "diameter_mm": profile.cane_mm,
            "grams": pieces * rng.randrange(5, 8),
            "harvest": f"winter {bought.year - rng.randrange(2, 4)}",
            "price": round(pieces * rng.uniform(0.9, 1.6), 2),
            "pieces": pieces,
            "bought": bought.isoformat(),
            "note": rng.choice(("", "", "yellow, even", "some warped", "hard to the nail")),
        }
        self.lots.append(lot)
        self._open[instrument].append(lot)
        self._left[name] = round(pieces * 0.85)  # the rest splits or warps before it is tied

    def take(self, instrument: str, day: int) -> tuple[str, bool]:
        """A piece of cane: the name of its lot, and whether that lot is bad."""
        while len(self._open[instrument]) < 2:
            self._buy(instrument, day)
        lots = self._open[instrument]
        lot = lots[0] if self._rng.random() < 0.6 else lots[1]
        name = str(lot["lot"])
        self._left[name] -= 1
        if not self._left[name]:
            lots.remove(lot)
        return name, name in self.bad


class Orders:
    """Orders that others place, filled one reed at a time as reeds are finished."""

    def __init__(self, rng: Random) -> None:
        self._rng = rng
        self.placed: list[dict[str, Any]] = []
        self._wanting: list[list[Any]] = []  # [order, instrument, reeds still to be set aside]

    def place(self, day: int, weeks: int) -> None:
        instrument = self._rng.choice((EH, OBOE, OBOE))
        count = self._rng.randrange(1, 4)
        order = str(len(self.placed) + 1)
        self.placed.append(
            {
                "order": order,
                "who": self._rng.choice(CUSTOMERS),
                "instrument": instrument,
                "count": count,
                "placed": date.fromordinal(day).isoformat(),
                "due": date.fromordinal(day + 7 * weeks).isoformat(),
                "note": "",
            }
        )
        self._wanting.append([order, instrument, count])

    def set_aside(self, instrument: str) -> str:
        """The order that a reed just finished goes to; '' if none wants it or she keeps it herself."""
        for line in self._wanting:
            if line[1] == instrument and self._rng.random() < 0.5:
                line[2] -= 1
                if not line[2]:
                    self._wanting.remove(line)
                return str(line[0])
        return ""
