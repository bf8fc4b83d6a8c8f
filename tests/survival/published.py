"""Data from the literature that several tests of survival use."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, eq=False)
class Spells:
    """Rows (start, stop] with an event flag and covariates (n, p)."""

    start: NDArray[np.float64]
    stop: NDArray[np.float64]
    event: NDArray[np.bool_]
    x: NDArray[np.float64]


SIX_MP = [6, 6, 6, 6, 7, 9, 10, 10, 11, 13, 16, 17, 19, 20, 22, 23, 25, 32, 32, 34, 35]
SIX_MP_RELAPSED = [1, 1, 1, 0, 1, 0, 1, 0, 0, 1, 1, 0, 0, 0, 1, 1, 0, 0, 0, 0, 0]
PLACEBO = [1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23]
"""Freireich et al. 1963, Blood 21:699-716: weeks in remission on 6-mercaptopurine, and on placebo (all relapsed)."""


def freireich() -> Spells:
    """Both arms together; x is 1 for 6-mercaptopurine."""
    return Spells(
        start=np.zeros(42),
        stop=np.array(SIX_MP + PLACEBO, dtype=float),
        event=np.array(SIX_MP_RELAPSED + [1] * 21, dtype=bool),
        x=np.repeat([1.0, 0.0], 21)[:, None],
    )


def appendix_e_1() -> Spells:
    """Test 1 of Therneau & Grambsch 2000, Modeling Survival Data, appendix E."""
    return Spells(
        start=np.zeros(6),
        stop=np.array([1.0, 1, 6, 6, 8, 9]),
        event=np.array([1, 0, 1, 1, 0, 1], dtype=bool),
        x=np.array([[1.0, 1, 1, 0, 0, 0]]).T,
    )


def appendix_e_2() -> Spells:
    """Test 2 of the same, with rows that enter late."""
    return Spells(
        start=np.array([1.0, 2, 5, 2, 1, 7, 3, 4, 8, 8]),
        stop=np.array([2.0, 3, 6, 7, 8, 9, 9, 9, 14, 17]),
        event=np.array([1, 1, 1, 1, 1, 1, 1, 0, 0, 0], dtype=bool),
        x=np.array([[1.0, 0, 0, 1, 0, 1, 1, 1, 0, 0]]).T,
    )


LATE_ENTRY = [0, 2, 3, 4, 4, 5, 6, 7]
LATE_EXIT = [3, 6, 8, 9, 7, 12, 11, 10]
LATE_EVENT = [1, 1, 0, 1, 1, 0, 1, 1]
"""Eight lives with late entry, worked by hand in `test_survival_curves`."""
