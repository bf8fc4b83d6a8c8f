"""How sure a fair trial is with each of its reeds that wears out, and when that is enough.

The evidence is reckoned anew whenever a reed of the trial wears out. It holds at every look (see `evidence`), so the
first time that it is sure enough the trial is settled, on that day, whether somebody looked then or not; what happens
later does not unsettle it. With the planned number worn out it is over in any case.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from reedkin.bench.trials import Assignment, Trial
from reedkin.study.follow_up import minute
from reedkin.study.lives import Life
from reedkin.survival import CoxFit, Evidence, RiskSets, StatisticsError, fit, logrank
from reedkin.survival.two_ways import SETTLED, evidence_of_ways

LARGE_LOT = 10
"""Lots with fewer reeds of a trial tell little by themselves. By simulation, where lives end 2.5 times as fast and 40
reeds are worn out, by a test at 5%: within lots of 6, 60 of 100 trials find it, and within the instrument alone 63 to
79, the more the less the lots differ; within lots of 12, 74 do, and within the instrument 71 to 82."""
_IN_LARGE_LOTS = 0.8
"""Reeds are compared within lots where at least this part of them is of large lots with both ways."""
FEWEST_WORN = 5
"""With fewer reeds worn out nothing is said of a trial."""
_FAR_FROM_SETTLED = 7.0
"""A log-rank chi-square below this is far from settling anything: it takes one of 12 or more, however many reeds. Such
moments are passed over, which saves a regression for each."""


@dataclass(frozen=True, slots=True)
class Settling:
    """
    evidence  that one way is the better, when the last of its reeds wore out; None if nothing can be said.
    over      when the trial was settled, or the planned number of its reeds was worn out; None while neither is.
    settled   whether it is settled.
    """

    evidence: Evidence | None
    over: datetime | None
    settled: bool


def settling(
    trial: Trial, assigned: Sequence[Assignment], of_life: Sequence[Assignment], lives: Sequence[Life]
) -> Settling:
    """Go through the reeds of a trial as they wore out. `of_life` are the assignments of the `lives`."""
    worn = sorted(life.reed.retirement.at for life in lives if life.worn_out and life.reed.retirement is not None)
    found = None
    for number, moment in enumerate(worn, start=1):
        if number >= FEWEST_WORN and (number == len(worn) or moment < worn[number] or number == trial.planned):
            found = _evidence(moment, assigned, of_life, lives, number in (len(worn), trial.planned))
        if found is not None and found.chance >= SETTLED:
            return Settling(found, moment, True)
        if number == trial.planned:
            return Settling(found, moment, False)
    return Settling(found, None, False)


def _evidence(
    moment: datetime, assigned: Sequence[Assignment], of_life: Sequence[Assignment], lives: Sequence[Life], always: bool
) -> Evidence | None:
    """What is to be believed by what was known at a moment. None if nothing can be said, or, unless it is `always`
    wanted, where that is far from settling it."""
    _, codes = strata([one for one in assigned if one.reed.begun <= moment])
    until = minute(moment)
    served = [
        (one.way, codes[one.reed.id], played, _worn_by(life, until))
        for one, life in zip(of_life, lives, strict=True)
        if one.reed.id in codes and (played := _played(life, until))
    ]
    if not served:
        return None
    ways, stratum, stop, event = (np.array(column) for column in zip(*served, strict=True))
    try:
        if not always and logrank(stop, event, ways, None, stratum).chi2 < _FAR_FROM_SETTLED:
            return None
        return _of(fit(RiskSets.of(stop, event, None, stratum), ways))
    except StatisticsError:
        return None


def _of(model: CoxFit) -> Evidence:
    return evidence_of_ways(model.likelihood_ratio.chi2**0.5, 1.0 / float(model.se[0]) ** 2)


def _played(life: Life, until: int) -> int:
    """Minutes of playing by a moment, of a life that was seen from its beginning."""
    return max((played.after for played in life.played if played.stop <= until), default=0)


def _worn_by(life: Life, until: int) -> bool:
    retired = life.reed.retirement
    return life.worn_out and retired is not None and minute(retired.at) <= until


def strata(assigned: Sequence[Assignment]) -> tuple[str, dict[str, int]]:
    """
    What reeds have to share to be compared, and its code for each reed by id. It is settled by what was assigned alone,
    never by how the reeds lasted.
    """
    ways: dict[object, list[int]] = {}
    for one in assigned:
        ways.setdefault(one.stratum, []).append(one.way)
    large = sum(len(own) for own in ways.values() if len(own) >= LARGE_LOT and len(set(own)) == 2)
    if len(ways) > 1 and large >= _IN_LARGE_LOTS * len(assigned):
        codes = {stratum: code for code, stratum in enumerate(ways)}
        return "instrument and lot", {one.reed.id: codes[one.stratum] for one in assigned}
    instruments = sorted({one.reed.instrument for one in assigned})
    return "instrument", {one.reed.id: instruments.index(one.reed.instrument) for one in assigned}
