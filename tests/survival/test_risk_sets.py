"""The structure that is sorted once: leaving rows out, idle rows, and sums over ranges."""

from __future__ import annotations

import numpy as np
import pytest
from tests.survival import brute_force

from reedkin.survival import RiskSets, StatisticsError, cox, fit
from reedkin.survival.range_tree import RangeTree


@pytest.mark.parametrize("seed", range(5))
def test_leaving_rows_out_is_as_never_having_had_them(seed: int) -> None:
    rng = np.random.default_rng(seed)
    data = brute_force.spells(rng, 90, 2, strata=3)
    risk = RiskSets.of(data["stop"], data["event"], data["start"], data["strata"])
    x = data["x"].copy()
    known = rng.random(90) < 0.6
    x[~known] = np.nan
    kept = fit(risk.keep(known), x)
    alone = cox(*(data[name][known] for name in ("stop", "event", "x", "start", "strata")))
    assert kept.coef == pytest.approx(alone.coef)
    assert kept.ci == pytest.approx(alone.ci)
    assert (kept.rows, kept.events) == (alone.rows, alone.events)
    twice = risk.keep(known).keep(np.arange(90) % 3 > 0)
    once = risk.keep(known & (np.arange(90) % 3 > 0))
    assert twice.rows.tolist() == once.rows.tolist()
    assert twice.time.tolist() == once.time.tolist()
    assert risk.keep(np.ones(90, dtype=bool)) is risk


def test_rows_that_live_through_no_retirement_are_left_out() -> None:
    risk = RiskSets.of([2, 3, 9, 5], [0, 1, 0, 1], [0, 0, 6, 3])
    assert risk.rows.tolist() == [1, 3]
    assert risk.time.tolist() == [3, 5]
    assert risk.at_risk.tolist() == [1, 1]


def test_strata_have_sets_of_their_own() -> None:
    risk = RiskSets.of([3, 3, 4, 3], [1, 1, 1, 0], strata=["oboe", "english horn", "oboe", "english horn"])
    assert risk.strata == ("english horn", "oboe")
    assert list(zip(risk.stratum.tolist(), risk.time.tolist(), risk.at_risk.tolist(), strict=True)) == [
        (0, 3, 2),
        (1, 3, 2),
        (1, 4, 1),
    ]


def test_a_mask_must_fit() -> None:
    risk = RiskSets.of([1, 2], [1, 1])
    for mask in (np.array([True]), np.array([0, 1])):
        with pytest.raises(StatisticsError, match="mask"):
            risk.keep(mask)  # type: ignore[arg-type]


@pytest.mark.parametrize("size", [1, 2, 3, 7, 8, 33])
def test_sums_over_ranges(size: int) -> None:
    rng = np.random.default_rng(size)
    first = rng.integers(0, size, 40)
    last = first + 1 + (rng.random(40) * (size - first)).astype(int)
    tree = RangeTree(first, last, size)
    covers = (first[:, None] <= np.arange(size)) & (np.arange(size) < last[:, None])
    by_row, by_place = rng.normal(size=40), rng.normal(size=size)
    assert tree.sums(by_row) == pytest.approx(by_row @ covers)
    assert tree.totals(by_place) == pytest.approx(covers @ by_place)
    assert tree.largest(by_row) == pytest.approx(np.where(covers, by_row[:, None], -np.inf).max(axis=0))
