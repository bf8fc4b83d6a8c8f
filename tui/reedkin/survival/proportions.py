"""Shares: so many out of so many."""

from __future__ import annotations

import math

from reedkin.survival.distributions import Z
from reedkin.survival.errors import StatisticsError


def wilson_interval(k: int, n: int) -> tuple[float, float]:
    """
    The 95% score interval of the share k / n: Wilson 1927, JASA 22:209-212.

    Raises StatisticsError unless 0 <= k <= n and n is at least 1.
    """
    if n < 1 or not 0 <= k <= n:
        raise StatisticsError(f"A share needs 0 <= k <= n with n at least 1, and not k = {k}, n = {n}.")
    share = k / n
    shrink = 1.0 + Z * Z / n
    centre = (share + Z * Z / (2.0 * n)) / shrink
    half = Z * math.sqrt(share * (1.0 - share) / n + Z * Z / (4.0 * n * n)) / shrink
    # At the ends the formula is exactly 0 or 1; rounding must not put it a hair beyond.
    low = 0.0 if k == 0 else max(centre - half, 0.0)
    high = 1.0 if k == n else min(centre + half, 1.0)
    return low, high


def fisher_exact(k: int, n: int, other_k: int, other_n: int) -> float:
    """
    The two-sided p-value that the shares k / n and other_k / other_n are of one chance: Fisher 1935, The Design of
    Experiments, chapter 2. The sum over all tables with these margins that are no likelier than the one seen.

    Raises StatisticsError unless 0 <= k <= n and 0 <= other_k <= other_n.
    """
    if not (0 <= k <= n and 0 <= other_k <= other_n):
        raise StatisticsError(f"Shares need 0 <= k <= n, and not {k} of {n} and {other_k} of {other_n}.")
    total = k + other_k
    ways = {
        one: math.comb(n, one) * math.comb(other_n, total - one)
        for one in range(max(0, total - other_n), min(n, total) + 1)
    }
    return sum(way for way in ways.values() if way <= ways[k]) / sum(ways.values())
