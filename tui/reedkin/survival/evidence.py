"""
How likely it is that a habit matters: evidence that may be looked at every day.

Who looks at a growing log whenever she likes is misled by any test whose level holds for one look. Here most habits are
believed to do next to nothing, and some to matter by an amount of a usual size; the chance that a habit matters is then
what that belief has become after the log. Its Bayes factor is an e-value: for a habit of no effect, its mean is at most
1 at any moment, however often one looks and whenever one stops. So a harmless habit reaches a chance of 0.95 at some
look, ever, less often than the belief itself says. The mixture likelihood ratio is that of ter Schure, Perez-Ortiz, Ly
& Gruenwald 2024, The anytime-valid logrank test, New England Journal of Statistics in Data Science 2:190-214, doi
10.51387/24-NEJSDS65, which extends to ties and to Cox's regression.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from reedkin.survival.distributions import normal_cdf, normal_quantile
from reedkin.survival.errors import StatisticsError


@dataclass(frozen=True, slots=True)
class Belief:
    """
    What is believed before the log is asked. The usual one is common practice, no source.

    one_in  one habit in so many matters.
    size    the usual size of an effect that matters: the log hazard ratio for one standard deviation of the habit, the
            standard deviation of a normal distribution about none.
    """

    one_in: float = 5.0
    size: float = 0.35

    def __post_init__(self) -> None:
        if not (math.isfinite(self.one_in) and self.one_in > 1.0):
            raise StatisticsError(f"One habit in {self.one_in} cannot matter: give a number above 1.")
        if not (math.isfinite(self.size) and self.size > 0.0):
            raise StatisticsError(f"An effect that matters cannot have the size {self.size}: give a number above 0.")


USUAL_BELIEF = Belief()

_BEYOND_RECKONING = 1e9


@dataclass(frozen=True, slots=True)
class Evidence:
    """
    matters  the chance that the habit matters.
    sign     the chance that, if it does, it does so in the direction in which it seems to.
    """

    matters: float
    sign: float

    @property
    def chance(self) -> float:
        """The chance that the habit matters in the direction in which it seems to."""
        return self.matters * self.sign

    @property
    def against(self) -> float:
        """The chance that it matters in the other direction."""
        return self.matters * (1.0 - self.sign)


def log_e_value(z: float, information: float, size: float) -> float:
    """The log of the e-value, exp(z^2 I T^2 / (2 (1 + I T^2))) / sqrt(1 + I T^2), of an estimate that lies z standard
    errors from none; information: 1 / (standard error)^2, for one standard deviation of the habit."""
    told = information * size * size
    return z * z * told / (2.0 * (1.0 + told)) - math.log1p(told) / 2.0


def evidence(z: float, information: float, belief: Belief = USUAL_BELIEF, among: int = 1) -> Evidence:
    """
    What `belief` becomes after an estimate of z standard errors, as for `log_e_value`.

    among: of how many effects, of which one at most is believed to matter, this one was picked for being the largest;
    the belief is shared out among them. Raises StatisticsError for numbers that no estimate has.
    """
    if not (math.isfinite(z) and math.isfinite(information) and information >= 0.0 and among >= 1):
        raise StatisticsError(f"No evidence is had from z {z}, information {information}, one of {among}.")
    log_odds = log_e_value(z, information, belief.size) - math.log(belief.one_in - 1.0) - math.log(among)
    matters = 1.0 / (1.0 + math.exp(-log_odds)) if log_odds > -700 else 0.0
    told = information * belief.size**2
    return Evidence(matters, normal_cdf(abs(z) * math.sqrt(told / (1.0 + told))))


def information_needed(effect: float, chance: float, power: float = 0.8, belief: Belief = USUAL_BELIEF) -> float | None:
    """
    The information with which an effect (log hazard ratio for one standard deviation) comes to be told with this chance
    or a better one, in so many cases of all (`power`). None for no effect, or one too small to reckon with.
    """
    if not 0.0 < power < 1.0 or not 0.0 < chance < 1.0:
        raise StatisticsError("Give the chance and the power between 0 and 1.")
    slack = normal_quantile(power)

    def told(information: float) -> bool:
        z = max(abs(effect) * math.sqrt(information) - slack, 0.0)
        return evidence(z, information, belief).chance >= chance

    low, high = 0.0, 1.0
    while not told(high):
        low, high = high, 2.0 * high
        if high > _BEYOND_RECKONING:
            return None
    while high - low > 1e-3 * high:
        middle = (low + high) / 2.0
        low, high = (low, middle) if told(middle) else (middle, high)
    return high
