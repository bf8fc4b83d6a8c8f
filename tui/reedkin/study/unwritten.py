"""Stretches in which reeds were played, though no playing was written down: a tour, a busy spring.

A reed that served through such a stretch has more hours than its log; counted as it stands, it would have worn out
early, and so would all reeds that were made before it, in whatever way these were made. So the hours of a reed are not
known from the beginning of such a stretch on.

That nothing was played is no sign of one: there are summers. But reeds are not touched up, scored, cleaned and worn out
on one day after another while none is played.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from datetime import date
from itertools import pairwise

from reedkin.domain.reeds import IN_SERVICE, Reed, Step, end_is_wear
from reedkin.study.follow_up import DAY, minute

LONG = 28 * DAY
"""Minutes without a playing that may be such a stretch (common practice, no source)."""
_AFTER = 7 * DAY
"""What is done to a reed within so many minutes of a playing may be because of that."""
_DAYS = 3
"""On so many days at least something was done to reeds in service."""
Hidden = tuple[int, int]
"""A stretch by its ends, in minutes since the epoch."""
_DONE = frozenset(("scraped", "clipped", "scored", "cleaned", "crowed"))


def unwritten(reeds: Iterable[Reed], until: int) -> list[Hidden]:
    """The stretches, by the last playing before each and the next one (or `until`), in minutes since the epoch,
    ascending."""
    reeds = [reed for reed in reeds if not reed.void]
    played = sorted({minute(step.at) for reed in reeds for step in reed.of_kind("played")})
    moments = [*(moment for moment in played if moment <= until), until]
    without = [(last, following) for last, following in pairwise(moments) if following - last > LONG]
    if not without:  # as a rule, so that nobody looks at all that was done
        return []
    done = sorted({step.at for reed in reeds for step in reed.standing if _in_use(step)}, key=minute)

    def days(after: int, before: int) -> set[date]:
        """The days on which anything was done between two moments."""
        between = done[bisect_right(done, after, key=minute) : bisect_left(done, before, key=minute)]
        return {at.date() for at in between}

    return [(last, following) for last, following in without if len(days(last + _AFTER, following)) >= _DAYS]


def _in_use(step: Step) -> bool:
    """Whether it was done to a reed in service because that was played, or shows that it was."""
    worn = step.kind == "retired" and end_is_wear(step.after.cause)
    return step.before.stage == IN_SERVICE and (worn or step.kind in _DONE)
