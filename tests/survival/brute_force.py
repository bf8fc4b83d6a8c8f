"""
The definitions as they stand in the books, by plain loops and general-purpose optimisers.

Slow, and sharing nothing with the package but the question.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq, minimize
from scipy.stats import chi2 as chi2_distribution

Array = NDArray[np.float64]


def spells(rng: np.random.Generator, n: int, p: int, late: bool = True, strata: int = 1) -> dict[str, Any]:
    """Random rows with many ties: start, stop, event, strata and covariates x (n, p)."""
    x = rng.normal(size=(n, p))
    x[:, 0] = rng.integers(0, 2, n)
    start = rng.integers(0, 4, n).astype(float) if late else np.zeros(n)
    life = np.ceil(rng.exponential(6.0 * np.exp(-0.4 * x.sum(axis=1))))
    watched = np.ceil(rng.exponential(10.0, n))
    return {
        "start": start,
        "stop": start + np.minimum(life, watched),
        "event": life <= watched,
        "strata": rng.integers(0, strata, n),
        "x": x,
    }


def partial_likelihood(data: dict[str, Any], beta: Array, ties: str = "efron") -> tuple[float, Array]:
    """The partial log likelihood and the information (p, p), event by event."""
    x, p = data["x"], data["x"].shape[1]
    weight = np.exp(x @ beta)
    total, information = 0.0, np.zeros((p, p))
    for stratum in set(data["strata"].tolist()):
        inside = data["strata"] == stratum
        for time in sorted(set(data["stop"][inside & data["event"]].tolist())):
            at_risk = np.flatnonzero(inside & (data["start"] < time) & (time <= data["stop"]))
            dead = [row for row in at_risk if data["event"][row] and data["stop"][row] == time]
            for number, row in enumerate(dead):
                gone = number / len(dead) if ties == "efron" else 0.0
                risk = np.array([weight[i] * (1.0 - gone if i in dead else 1.0) for i in at_risk])
                total += float(x[row] @ beta) - math.log(risk.sum())
                mean = risk @ x[at_risk] / risk.sum()
                apart = x[at_risk] - mean
                information += (apart * (risk / risk.sum())[:, None]).T @ apart
    return total, information


def penalised(data: dict[str, Any], beta: Array, ties: str = "efron") -> float:
    """The same with Firth's penalty."""
    value, information = partial_likelihood(data, beta, ties)
    sign, size = np.linalg.slogdet(information)
    return value + 0.5 * float(size) if sign > 0 else -math.inf


def highest(function: Callable[[Array], float], start: Array) -> tuple[Array, float]:
    """Where a function is greatest, and how great."""
    found = minimize(lambda b: -function(b), start, method="BFGS", options={"gtol": 1e-8})
    return found.x, -float(found.fun)


def profile_interval(data: dict[str, Any], which: int, best: Array, value: float) -> tuple[float, float]:
    """The 95% limits of one coefficient by its penalised profile likelihood."""
    target = value - chi2_distribution.ppf(0.95, 1) / 2.0

    def profile(at: float) -> float:
        def held(others: Array) -> float:
            return penalised(data, np.insert(others, which, at))

        start = np.delete(best, which)
        return held(start) if not len(start) else highest(held, start)[1]

    def limit(side: float) -> float:
        far = 1.0
        while profile(best[which] + side * far) > target:
            far *= 2.0
        low, high = sorted((best[which], best[which] + side * far))
        return float(brentq(lambda at: profile(at) - target, low, high, xtol=1e-8))

    return limit(-1.0), limit(1.0)


def logrank(data: dict[str, Any], group: NDArray[np.int_]) -> tuple[float, Array, Array]:
    """Chi-square, expected (g,) and variance (g, g), by a table of two rows for each retirement time."""
    kinds = sorted(set(group.tolist()))
    observed, expected = np.zeros(len(kinds)), np.zeros(len(kinds))
    variance = np.zeros((len(kinds), len(kinds)))
    for stratum in set(data["strata"].tolist()):
        inside = data["strata"] == stratum
        for time in sorted(set(data["stop"][inside & data["event"]].tolist())):
            at_risk = inside & (data["start"] < time) & (time <= data["stop"])
            dead = at_risk & data["event"] & (data["stop"] == time)
            n, d = int(at_risk.sum()), int(dead.sum())
            share = np.array([(at_risk & (group == kind)).sum() for kind in kinds]) / n
            observed += [(dead & (group == kind)).sum() for kind in kinds]
            expected += d * share
            if n > 1:
                variance += d * (n - d) / (n - 1) * (np.diag(share) - np.outer(share, share))
    difference = (observed - expected)[:-1]
    return float(difference @ np.linalg.solve(variance[:-1, :-1], difference)), expected, variance
