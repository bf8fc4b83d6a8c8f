"""Everything the maker has, in one place, and the acts that both the bench and the playing share."""

from __future__ import annotations

from dataclasses import dataclass, field
from random import Random

from demo_logs.maker.diary import Diary
from demo_logs.maker.effects import Effects
from demo_logs.maker.manner import BAD, PLAIN, Manner
from demo_logs.maker.reed import DRYING, GONE, SERVICE, SimReed
from demo_logs.maker.supplies import Cane, Orders, Tags, Tubes

FAILING = 0.7
"""The share of its wear from which a reed shows that it is failing."""


def half_points(score: float) -> float:
    """A score as she gives it: 0 to 10 in half points."""
    return min(20, max(0, round(2 * score))) / 2


@dataclass
class Workshop:
    """The state of a run.

    `limit`: how many blanks are tied in all, None for as many as she needs. `loss`: the share that never serves.
    `case`: reeds of each of her two instruments that she likes to have in service or coming. `scatter`: how unevenly
    she ties, beside the usual. `bad_thicker`: by how many mm she gouges a bad lot thicker. `alike`: where batches, how
    far the lives of one evening all differ, as a standard deviation of the log hazard.
    """

    rng: Random
    diary: Diary
    effects: Effects
    limit: int | None
    loss: float
    case: float
    failing_is_touched_up: bool
    tags: Tags
    tubes: Tubes
    cane: Cane
    orders: Orders
    manner: Manner = PLAIN
    began: int = 0  # day
    scatter: float = 1.0
    bad_thicker: float = 0.0
    alike: float = 0.8
    lot_wear: dict[str, float] = field(default_factory=dict)  # log hazard ratio of each lot, where lots drive
    lot_ways: dict[str, tuple[float, float]] = field(default_factory=dict)  # mm more tied, mm more gouge, likewise
    batch_ways: dict[int, tuple[float, float, float, int]] = field(default_factory=dict)
    reeds: list[SimReed] = field(default_factory=list)  # all of them
    living: list[SimReed] = field(default_factory=list)  # with her: drying, ready or in service
    away: list[SimReed] = field(default_factory=list)  # lent
    tied: int = 0
    named: int = 0

    def lot_way(self, lot: str) -> tuple[float, float]:
        """How much longer and how much thicker she makes reeds of a lot; its wear is drawn with it."""
        if lot not in self.lot_ways:
            self.lot_wear[lot] = self.rng.gauss(0, 0.8)
            lean = self.lot_wear[lot]  # she makes up for soft cane, and so the two go together
            self.lot_ways[lot] = 0.6 * lean + self.rng.gauss(0, 0.2), 0.012 * lean + self.rng.gauss(0, 0.004)
        return self.lot_ways[lot]

    def batch_way(self, day: int) -> tuple[float, float, float, int]:
        """Of what is tied on one evening: the log hazard ratio, how much longer and thicker it is, and for how many
        days it rests; which have nothing to do with one another."""
        if day not in self.batch_ways:
            self.batch_ways[day] = (
                self.rng.gauss(0, self.alike),
                self.rng.gauss(0, 0.5),
                self.rng.gauss(0, 0.012),
                self.rng.choices((1, 2, 3, 4, 6), (4, 4, 3, 2, 1))[0],
            )
        return self.batch_ways[day]

    def seasons_gone(self, day: int) -> int:
        """How many quarters of a year have gone by since she began."""
        return max(day - self.began, 0) // 91

    def add(self, reed: SimReed) -> None:
        self.reeds.append(reed)
        self.living.append(reed)

    def in_state(self, state: str, instrument: str) -> list[SimReed]:
        return [reed for reed in self.living if reed.state == state and reed.profile.instrument == instrument]

    def drying(self) -> list[SimReed]:
        return [reed for reed in self.living if reed.state == DRYING]

    def retire(self, reed: SimReed, cause: str, after: int) -> None:
        """Write the end of a reed; its tag and tube come free."""
        self.diary.write(reed, "retired", after, cause=cause)
        reed.state, reed.cause = GONE, cause
        self.living.remove(reed)
        self.tags.release(reed.tag)
        self.tubes.release(reed.instrument, reed.tube)

    def hand_over(self, reed: SimReed, terms: str, to: str) -> None:
        """Write that a reed goes to someone else. Its tag and tube go with it."""
        self.diary.write(reed, "handed over", self.rng.randrange(1, 4), terms=terms, to=to)
        self.living.remove(reed)
        reed.state = GONE

    def clip(self, reed: SimReed, wanted: float, after: int) -> None:
        """Clip about `wanted` mm, in tenths, as far as there is tip left to clip."""
        spare = reed.overall - reed.profile.tip_from_mm - 2.5
        clip = round(min(wanted, spare), 1)
        if clip < 0.1:
            return
        reed.overall = round(reed.overall - clip, 1)
        if reed.state == DRYING:
            reed.clipped = round(reed.clipped + clip, 1)
        if self.rng.random() < 0.1:
            self.diary.write(reed, "clipped", after, overall_mm=reed.overall)
        else:
            self.diary.write(reed, "clipped", after, clip_mm=clip)

    def touch_up(self, reed: SimReed) -> None:
        """Scrape or clip a reed in use a little."""
        before = len(self.diary.rows)
        if self.rng.random() < 0.25:
            self.clip(reed, self.rng.choice((0.1, 0.2, 0.2, 0.3)), self.rng.randrange(2, 5))
        if len(self.diary.rows) == before:
            minutes = self.rng.randrange(1, 6)
            where = self.rng.choice(("tip", "tip", "heart", "back", "rails"))
            self.diary.write(reed, "scraped", minutes + 1, where=where, minutes=minutes)
        reed.touch_ups += 1

    def wants_touch_up(self, reed: SimReed, share: float, share_failing: float) -> bool:
        """Whether she touches it up now: a matter of chance, of a larger one if it shows that it is failing."""
        if self.manner.touches_up and reed.of_late is not None and reed.of_late < BAD:
            return self.rng.random() < 0.6
        failing = self.failing_is_touched_up and reed.worn_share > FAILING
        return self.rng.random() < (share_failing if failing else share)

    def clean(self, reed: SimReed) -> None:
        how = self.diary.unless_forgotten(self.rng.choice(("water", "feather", "peroxide")), 8)
        self.diary.write(reed, "cleaned", self.rng.randrange(1, 4), how=how)
        reed.cleanings += reed.state == SERVICE
