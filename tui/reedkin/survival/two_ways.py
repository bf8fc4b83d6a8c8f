"""Two ways compared in reeds that chance gave one or the other: how sure, and how many it takes.

The evidence is that of any habit (see `evidence`), so it may be looked at after every reed. With about as many reeds of
either way, what says which way a reed has got has a standard deviation of a half.
"""

from __future__ import annotations

import math

from reedkin.survival.distributions import normal_quantile
from reedkin.survival.evidence import USUAL_BELIEF, Evidence, evidence, information_needed

SETTLED = 0.95
"""The chance from which it is settled that one way is the better."""
POWER = 0.8
"""In so many cases of all a difference is to be found."""
_SD = 0.5
_STRONGEST = 40.0
"""Standard errors: no estimate lies further from none."""


def evidence_of_ways(z: float, information: float) -> Evidence:
    """What is to be believed of an estimate of z standard errors; information: 1 / (standard error)^2 of the log hazard
    ratio of the one way to the other."""
    return evidence(z, information / _SD**2)


def finds(worn_out: int) -> float:
    """How many times as fast lives must end with one way, for so many reeds worn out to settle it in four cases of
    five."""
    low, high = 0.0, _STRONGEST
    while high - low > 1e-6:
        middle = (low + high) / 2
        low, high = (low, middle) if evidence(middle, worn_out).chance >= SETTLED else (middle, high)
    return math.exp((high + normal_quantile(POWER)) / math.sqrt(worn_out) / _SD)


def worn_out_needed(times: float) -> int | None:
    """How many reeds must be worn out to settle in four cases of five that lives end so many times as fast with one
    way. None where no number would."""
    needed = information_needed(math.log(times) * _SD, SETTLED, POWER)
    return None if needed is None else math.ceil(needed)


def reach(information: float, level: float = 0.05) -> float:
    """
    How many standard errors about an estimate hold the truth at every look, ever, in all but `level` of logs.

    The limits are the effects that the e-value of the usual size does not speak against by 1 / level: Robbins 1970,
    Annals of Mathematical Statistics 41:1397-1409 (from memory); information as for `evidence_of_ways`.
    """
    told = information / _SD**2 * USUAL_BELIEF.size**2
    return math.sqrt(2.0 * (1.0 + told) / told * (math.log(1.0 / level) + math.log1p(told) / 2.0))
