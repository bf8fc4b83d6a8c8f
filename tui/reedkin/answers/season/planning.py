"""What to tie in which week, so that every engagement reaches a level with the fewest blanks.

One engagement after the other: where the chance is too low, blanks are added in the week in which they help most, of
those in which they are enough the latest, until it is high enough or a further one helps no more; so many at once as
there must be at the least. Then what is not needed is left out, and each week's tying is put off as far as may be.

Every change is reckoned from the week on in which it is made, with the draws of all others, and those that are tried
side by side; how the reeds stand as the weeks begin is kept. Small cases are checked against every possible plan.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from reedkin.answers.season.course import WEEK, SeasonCourse, SeenAhead, Standing
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
_FELT = 8
"""So many weeks a blank more or less is felt, and half of them a day sooner or later; what it does beyond is looked at
in the end."""
_LATER = (2, 4, 6)
"""So many days into its week a tying is tried to be put off."""
_ROUNDS = 12
"""So often it is looked whether an engagement was left just short."""
_KEPT = 10
"""Of so many weeks it is kept how the reeds stand as they begin."""

Own = dict[int, tuple[int, int]]
"""What is tied of one instrument: by week on which day, and how many."""


@dataclass
class Weeks:
    """One instrument's course by the plan as it grows, and how its reeds stand as the weeks begin."""

    course: SeasonCourse
    own: Own = field(default_factory=dict)
    _standing: dict[int, Standing] = field(default_factory=dict)

    def standing(self, week: int) -> Standing:
        """How they stand as a week begins, by what is tied before it."""
        known = max((one for one in self._standing if one <= week), default=None)
        found = self.course.begun if known is None else self._standing[known]
        while found.week < week:
            found = self.course.week_on(found, self.own.get(found.week))
            self._standing[found.week] = found
            self._standing.pop(found.week - _KEPT, None)
        return found

    def tie(self, week: int, day: int, count: int) -> None:
        """So many are tied in a week, in place of what was."""
        self.own.pop(week, None)
        if count:
            self.own[week] = (day, count)
        self._standing = {one: found for one, found in self._standing.items() if one <= week}

    def seen(
        self, week: int, each: Sequence[Own], until: int | None = None, before: int | None = None
    ) -> list[SeenAhead]:
        """What is seen from a week on by each of these plans, which differ from it in that week or later only."""
        end = min(self.course.weeks if before is None else before, self._week_of(until) + 1)
        later = [{at: tied for at, tied in one.items() if week <= at < end} for one in each]
        return self.course.seen_from(self.standing(week), later, until, before)

    def _week_of(self, place: int | None) -> int:
        """In which week an engagement is; after all of them if none is named."""
        return self.course.weeks if place is None else self.course.days[place] // WEEK


@dataclass
class Planner:
    """Looks for a plan for the courses of several instruments, who share the weeks of one maker."""

    courses: Mapping[str, SeasonCourse]
    reach: float
    most: int
    tick: Tick = no_tick
    _weeks: dict[str, Weeks] = field(init=False)
    _leads: dict[str, int] = field(default_factory=dict)
    _hopeless: set[tuple[str, int]] = field(default_factory=set)

    def __post_init__(self) -> None:
        self._weeks = {name: Weeks(course) for name, course in self.courses.items()}

    def planned(self) -> dict[str, Own]:
        """The plan: by instrument and week the last day of tying, and how many blanks."""
        self._add(0.0, 0.6)
        self._leave_out()
        self._add(0.8, 0.85)
        self._put_off()
        self._make_sure()
        return {name: dict(sorted(one.own.items())) for name, one in self._weeks.items()}

    # Adding

    def _add(self, begin: float, end: float) -> None:
        """Add blanks for every engagement that is short, the first ones first."""
        every = sorted(
            (day, name, place) for name, course in self.courses.items() for place, day in enumerate(course.days)
        )
        for done, (_, name, place) in enumerate(every):
            self.tick(begin + (end - begin) * done / len(every))
            if (name, place) not in self._hopeless and not self._serve(name, place):
                self._hopeless.add((name, place))

    def _serve(self, name: str, place: int) -> bool:
        """Add blanks for an engagement until its chance is high enough; False where no more help, and then none of
        those that did not."""
        weeks, course = self._weeks[name], self.courses[name]
        last = max(course.days[place] - 1, 0) // WEEK
        seen = weeks.seen(last, [weeks.own], until=place)[0]
        now, many = self._told(seen, place)
        added: list[tuple[int, int]] = []
        in_vain = 0
        while now < self.reach and sum(count for _, count in added) < MOST_FOR_ONE and in_vain < _OFTEN_ENOUGH:
            tried = self._to_try(name, place)
            if not tried:
                break
            more = [min(many, self.left(week)) for week in tried]
            each = [_with(weeks.own, week, count) for week, count in zip(tried, more, strict=True)]
            told = [self._told(one, place) for one in weeks.seen(min(tried), each, until=place)]
            best = max(chance for chance, _ in told)
            enough = [nth for nth, (chance, _) in enumerate(told) if chance >= self.reach]
            nth = max(enough or [nth for nth, (chance, _) in enumerate(told) if chance >= best], key=tried.__getitem__)
            week, count = tried[nth], more[nth]
            self._leads[name] = last - week
            weeks.tie(week, week * WEEK, each[nth][week][1])
            added.append((week, count))
            # One that is short of several may be no likelier for the first of them.
            in_vain = in_vain + 1 if best < now + HELPS and many <= 1 else 0
            now, many = max(now, told[nth][0]), told[nth][1]
        if now >= self.reach:
            return True
        for week, count in added[len(added) - in_vain :]:
            weeks.tie(week, week * WEEK, weeks.own[week][1] - count)
        return False

    def _told(self, seen: SeenAhead, place: int) -> tuple[float, int]:
        """The chance of an engagement, and how many blanks it takes at the least: as many as are wanted beyond those
        that there are with the chance that is to be reached, since no blank becomes more than one reed."""
        sure = float(np.quantile(seen.there[place], 1.0 - self.reach, method="lower"))
        return float(seen.chance[place]), max(int(seen.wanted[place] - sure), 1)

    def _to_try(self, name: str, place: int) -> list[int]:
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
        return sorted(found) or [w for w in range((day - 1) // WEEK + 1) if self.left(w) > 0][:1]

    def left(self, week: int) -> int:
        """How many more can be tied in a week."""
        return self.most - sum(one.own.get(week, (0, 0))[1] for one in self._weeks.values())

    # Leaving out, and putting off

    def _leave_out(self) -> None:
        """Leave out every blank without which all that is reached still is, and nothing else is worse off."""
        chances = self._as_planned()
        for done, (week, name) in enumerate(places := self._places()):
            self.tick(0.6 + 0.2 * done / len(places))
            weeks = self._weeks[name]
            while week in weeks.own:
                fewer = _with(weeks.own, week, -1)
                after = self._chances(name, week, [fewer], _FELT)[0]
                if self._worse(chances[name], after):
                    break
                weeks.tie(week, week * WEEK, fewer.get(week, (0, 0))[1])
                chances[name] = np.where(np.isnan(after), chances[name], after)

    def _put_off(self) -> None:
        """Tie in each week on the last day on which it still does."""
        chances = self._as_planned()
        for done, (week, name) in enumerate(places := self._places()):
            self.tick(0.85 + 0.1 * done / len(places))
            weeks = self._weeks[name]
            count = weeks.own[week][1]
            each = [{**weeks.own, week: (week * WEEK + late, count)} for late in _LATER]
            after = self._chances(name, week, each, _FELT // 2)
            still = [nth for nth, one in enumerate(after) if not self._worse(chances[name], one)]
            if still:
                weeks.tie(week, week * WEEK + _LATER[still[-1]], count)
                chances[name] = np.where(np.isnan(after[still[-1]]), chances[name], after[still[-1]])

    def _make_sure(self) -> None:
        """Where one that was served is just short, all being reckoned through: tie for it as early as can be, and if
        that was so already, more."""
        for name, course in self.courses.items():
            weeks = self._weeks[name]
            for _ in range(_ROUNDS):
                self.tick(0.95)
                chance = course.seen(weeks.own).chance
                short = [nth for nth in np.flatnonzero(chance < self.reach) if (name, int(nth)) not in self._hopeless]
                if not short:
                    break
                last = course.days[short[0]] // WEEK
                late = [at for at, (day, _) in weeks.own.items() if last - _FELT <= at <= last and day > at * WEEK]
                for at in late:
                    weeks.tie(at, at * WEEK, weeks.own[at][1])
                if not late and not self._serve(name, int(short[0])):
                    self._hopeless.add((name, int(short[0])))

    def _as_planned(self) -> dict[str, FloatArray]:
        """The chances of all engagements by the plan as it is."""
        return {name: course.seen(self._weeks[name].own).chance for name, course in self.courses.items()}

    def _places(self) -> list[tuple[int, str]]:
        return sorted((week, name) for name, one in self._weeks.items() for week in one.own)

    def _chances(self, name: str, week: int, each: Sequence[Own], felt: int) -> list[FloatArray]:
        """The chances in so many weeks from one on, by each of these plans."""
        return [seen.chance for seen in self._weeks[name].seen(week, each, before=week + felt)]

    def _worse(self, before: FloatArray, after: FloatArray) -> bool:
        """Whether an engagement that is served is so no more, or one that is not has a lower chance still; those that
        were not looked at again (nan) do not say so."""
        served = before >= self.reach
        return bool((after < np.where(served, self.reach, before - ALIKE)).any())


def _with(own: Own, week: int, more: int) -> Own:
    """A plan with so many more blanks in a week, or fewer."""
    day, count = own.get(week, (week * WEEK, 0))
    found = {at: tied for at, tied in own.items() if at != week}
    return {**found, week: (day, count + more)} if count + more else found
