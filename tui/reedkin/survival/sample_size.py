"""How many retirements it takes before a difference of a given size can be seen."""

from __future__ import annotations

import math

from reedkin.survival.distributions import normal_quantile
from reedkin.survival.errors import StatisticsError


def events_needed(
    hazard_ratio: float,
    *,
    share: float | None = None,
    variance: float | None = None,
    power: float = 0.8,
    alpha: float = 0.05,
) -> int | None:
    """
    Retirements needed to find `hazard_ratio` with this power in a two-sided test at level alpha.

    With two groups, `share` is the part of the reeds in one of them: Schoenfeld 1983, Biometrics 39:499-503,
    (z_alpha/2 + z_power)^2 / (share (1 - share) log(hazard_ratio)^2). With a measured habit, `variance` is its variance
    and `hazard_ratio` is for one unit of it: Hsieh & Lavori 2000, Controlled Clinical Trials 21:552-560. Give exactly
    one of the two. None for a hazard ratio of 1, which no number of retirements would find.
    """
    if not (math.isfinite(hazard_ratio) and hazard_ratio > 0.0):
        raise StatisticsError(f"A hazard ratio must be a finite number above 0, and {hazard_ratio} is not.")
    if (share is None) == (variance is None):
        raise StatisticsError("Give either the share of one group or the variance of the habit.")
    if share is not None:
        if not 0.0 < share < 1.0:
            raise StatisticsError(f"The share of one group must lie between 0 and 1, and {share} does not.")
        spread = share * (1.0 - share)
    else:
        assert variance is not None
        if not (math.isfinite(variance) and variance > 0.0):
            raise StatisticsError("A habit that never varies cannot be studied: its variance must be above 0.")
        spread = variance
    effect = math.log(hazard_ratio)
    if effect == 0.0:
        return None
    reach = normal_quantile(1.0 - alpha / 2.0) + normal_quantile(power)
    needed = (reach / effect) ** 2 / spread
    return math.ceil(needed) if math.isfinite(needed) else None
