"""
How much less sure a survival curve is of lives that share more than is known.

Greenwood's variance takes each life for one by itself. Of reeds begun on one evening that is not so: where their
hazards are all multiplied by a number of the evening's own (`cox_model/frailty.py`), each evening moves the curve as
one. Its logarithm falls by d / (n (n - d)) for each reed of the evening that is at risk at a moment, out of n of whom d
end; what an evening's reeds have summed up so by t, squared, less the squares of what each has by itself, is what the
variance of that number adds to Greenwood's.
"""

from __future__ import annotations

import numpy as np

from reedkin.survival.arrays import FloatArray, IntArray, tally
from reedkin.survival.cox_model.frailty import LessSure, shared_alone
from reedkin.survival.risk_sets import RiskSets


def less_sure_curve(risk: RiskSets, member: IntArray, together: IntArray, skip: int) -> LessSure:
    """
    What it makes of the variance of the logarithm of a curve, at each time of the risk sets but the first `skip` (at
    which a curve with late entry may not have begun). member, together (n,): for each row that the risk sets were made
    of, the reed that it belongs to, and what that was made with. Of times at which none are left it says nothing: 1.
    """
    deaths, at_risk = risk.deaths.astype(np.float64), risk.at_risk.astype(np.float64)
    left = at_risk - deaths
    terms = np.where(left > 0, deaths / (at_risk * np.maximum(left, 1.0)), 0.0)
    terms[:skip] = 0.0
    greenwood = np.cumsum(terms)
    more = squares_by(risk, together, terms) - squares_by(risk, member, terms)
    known = (left > 0) & (greenwood > 0.0)
    judged = shared_alone(risk, member, together).less_sure(more[known] / greenwood[known])
    factors = np.ones(risk.sets)
    factors[known] = judged.factors
    return LessSure(factors[skip:], judged.df)


def squares_by(risk: RiskSets, group: IntArray, terms: FloatArray) -> FloatArray:
    """
    (sets,) just after each risk set, the sum over groups (n,) of the square of what their rows at risk have summed up
    of `terms` (sets,) by then.

    Between two moments at which a row of a group comes or goes, its sum grows by its number of rows at risk times the
    terms: it is b + n A, A being the running sum of these. So no table of groups and times is needed.
    """
    running = np.concatenate(([0.0], np.cumsum(terms)))
    of = np.unique(group[risk.rows], return_inverse=True)[1]
    at = np.concatenate((risk.first, risk.last))
    order = np.lexsort((at, np.tile(of, 2)))
    at, of = at[order], np.tile(of, 2)[order]
    # All rows of a group that come also go, so the count is none again where the next group begins.
    rows = np.cumsum(np.repeat([1, -1], len(risk.rows))[order]).astype(np.float64)
    last = np.concatenate((of[1:] != of[:-1], [True])) if len(of) else np.zeros(0, dtype=bool)
    until = np.where(last, risk.sets, np.concatenate((at[1:], [risk.sets])))
    summed = np.concatenate(([0.0], np.cumsum(rows * (running[until] - running[at]))))[:-1]
    begins = np.concatenate(([True], last[:-1]))
    offset = summed - summed[begins][of] - rows * running[at]

    def by_set(values: FloatArray) -> FloatArray:
        change = tally(at, values, risk.sets + 1) - tally(until, values, risk.sets + 1)
        return np.cumsum(change[: risk.sets])

    after = running[1:]
    return by_set(offset**2) + 2.0 * after * by_set(offset * rows) + after**2 * by_set(rows**2)
