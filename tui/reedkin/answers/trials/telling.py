"""How a trial of two ways is told: a chance as people say it, and a ratio from the way that is the better."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf


def in_ten(chance: float) -> str:
    """A chance as people say it: "9 in 10", and near one "97 in 100"."""
    if chance >= 0.95:
        return f"{min(int(100 * chance + 1e-9), 99)} in 100"
    return f"{max(round(10 * chance), 1)} in 10" if chance >= 0.05 else "less than 1 in 20"


def from_one_up(
    ratio: float, limits: tuple[float, float], ways: Sequence[str]
) -> tuple[float, tuple[float, float], str, str]:
    """A hazard ratio of the second way and its limits, turned so that it is 1 or more; the better way; the other."""
    lo, hi = limits
    if ratio >= 1:
        return ratio, limits, ways[0], ways[1]
    turned = [1 / value if value else inf for value in (ratio, hi, lo)]
    return turned[0], (turned[1], turned[2]), ways[1], ways[0]
