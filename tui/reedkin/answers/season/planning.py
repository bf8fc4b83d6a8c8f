"""What to tie in which week, so that every engagement reaches a level with the fewest blanks.

One engagement after the other: where the chance is too low, a blank is added in the week in which it helps most, of
those in which it is enough the latest, until it is high enough or a further one helps no more. Then what is not needed
is left out, and each week's tying is put off as far as may be. Small cases are checked against every possible plan.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from reedkin.answers.season.course import WEEK, SeasonCourse, Tyings
from reedkin.study.ticks import Tick, no_tick
from reedkin.survival.arrays import FloatArray

LEADS = (0, 1, 2, 3, 4, 6)
"""How many whole weeks before an engagement a blank for it may be tied."""
ALIKE = 0.01
"""Chances that differ by no more are alike."""
HELPS = 0.004
"""A blank that adds less to the chance does not help."""
MOST_FOR_ONE = 24
"""More blanks than this are not asked of anyone for one engagement."""
_OFTEN_ENOUGH = 2
"""So many blanks in a row may fail to help before one gives up."""

Plan = Counter[tuple[str, int]]
"""How many blanks of an instrument are tied in a week."""


@dataclass
class Planner:
    """Looks for a plan for the courses of several instruments, who share the weeks of one maker."""

    courses: Mapping[str, SeasonCourse]
    reach: float
    most: int
    tick: Tick = no_tick
    plan: Plan = field(default_factory=Counter)
    _leads: dict[str, int] = field(default_factory=dict)

    def planned(self) -> dict[str, dict[int, tuple[int, int]]]:
        """The plan: by instrument and week the last day of tying, and how many blanks."""
        hopeless: set[tuple[str, int]] = set()
        chances = {name: self._chances(name) for name in self.courses}
        last = max((one.last for one in self.courses.values()), default=0)
        while True:
            short = [
                (self.courses[name].days[place], name, place)
                for name, chance in chances.items()
                for place in np.flatnonzero(chance < self.reach)
                if (name, int(place)) not in hopeless
            ]
            if not short:
                break
            day, name, place = min(short)
            self.tick(0.7 * day / max(last, 1))
            if not self._serve(name, int(place), float(chances[name][place])):
                hopeless.add((name, int(place)))
            chances[name] = self._chances(name)
        self._prune()
        return self._put_off()

    def tyings(self, name: str) -> dict[int, tuple[int, int]]:
        """What is planned for an instrument, each week's on its first day."""
        return {week: (week * WEEK, count) for (of, week), count in self.plan.items() if of == name and count > 0}

    def _chances(self, name: str) -> FloatArray:
        return self.courses[name].seen(self.tyings(name)).chance

    # Adding

    def _serve(self, name: str, place: int, now: float) -> bool:
        """Add blanks for an engagement until its chance is high enough; False where no more help, and then none of
        those that did not."""
        added: list[int] = []
        in_vain = 0
        while now < self.reach and len(added) < MOST_FOR_ONE and in_vain < _OFTEN_ENOUGH:
            tried = {week: self._with(name, place, week) for week in self._weeks(name, place)}
            if not tried:
                break
            best = max(tried.values())
            enough = [week for week, chance in tried.items() if chance >= self.reach]
            week = max(enough) if enough else max(week for week, chance in tried.items() if chance >= best)
            self._leads[name] = (self.courses[name].days[place] - 1) // WEEK - week
            self.plan[name, week] += 1
            added.append(week)
            in_vain = in_vain + 1 if best < now + HELPS else 0
            now = max(now, tried[week])
        if now >= self.reach:
            return True
        for week in added[len(added) - in_vain :]:
            self.plan[name, week] -= 1
        return False

    def _with(self, name: str, place: int, week: int) -> float:
        self.plan[name, week] += 1
        chance = float(self.courses[name].seen(self.tyings(name), until=place).chance[place])
        self.plan[name, week] -= 1
        return chance

    def _weeks(self, name: str, place: int) -> list[int]:
        """The weeks to try for an engagement: so long before it, and where those are full the ones before; where it was
        found already how long before is best, about as long."""
        day = self.courses[name].days[place]
        best = self._leads.get(name)
        leads = LEADS if best is None or day <= 3 * WEEK else (max(best - 1, 0), best, best + 1)
        found: dict[int, None] = {}
        for lead in leads:
            week = (day - 1) // WEEK - lead
            while week >= 0 and self.left(week) < 1:
                week -= 1
            if week >= 0:
                found[week] = None
        return list(found) or [w for w in range((day - 1) // WEEK + 1) if self.left(w) > 0][:1]

    def left(self, week: int) -> int:
        """How many more can be tied in a week."""
        return self.most - sum(count for (_, at), count in self.plan.items() if at == week)

    # Leaving out, and putting off

    def _prune(self) -> None:
        """Leave out every blank without which all that is reached still is, and nothing else is worse off."""
        places = sorted((key for key, count in self.plan.items() if count > 0), key=lambda key: key[1])
        for done, (name, week) in enumerate(places):
            self.tick(0.7 + 0.15 * done / len(places))
            before = self._chances(name)
            while self.plan[name, week] > 0:
                self.plan[name, week] -= 1
                if self._worse(before, self._chances(name)):
                    self.plan[name, week] += 1
                    break

    def _put_off(self) -> dict[str, dict[int, tuple[int, int]]]:
        """The plan with the last day of each week on which its tying still does."""
        found = {name: self.tyings(name) for name in self.courses}
        weeks = [(name, week) for name, of in found.items() for week in sorted(of, reverse=True)]
        for done, (name, week) in enumerate(weeks):
            self.tick(0.85 + 0.15 * done / len(weeks))
            course, own = self.courses[name], found[name]
            before = course.seen(own).chance
            first, count = own[week]
            low, high = 0, WEEK - 1
            while low < high:
                middle = (low + high + 1) // 2
                own[week] = (first + middle, count)
                after = course.seen(own).chance
                worse = (after < np.minimum(before - ALIKE, self.reach)) | (
                    (before >= self.reach) & (after < self.reach)
                )
                low, high = (low, middle - 1) if worse.any() else (middle, high)
            own[week] = (first + low, count)
        return found

    def _worse(self, before: FloatArray, after: FloatArray) -> bool:
        """Whether an engagement that is served is so no more, or one that is not has a lower chance still."""
        served = before >= self.reach
        return bool((after < np.where(served, self.reach, before - ALIKE)).any())


def blanks_in(plan: Mapping[str, Tyings]) -> int:
    """How many blanks a plan takes."""
    return sum(count for of in plan.values() for _, count in of.values())
