"""The limits of curves of lives that share something: the plain definition, and how often they hold."""

from __future__ import annotations

import numpy as np
import pytest
from tests.survival import brute_force
from tests.survival.published import freireich

from reedkin.survival import RiskSets, StatisticsError, kaplan_meier
from reedkin.survival.curve_together import squares_by


def summed_plainly(risk: RiskSets, group: np.ndarray, terms: np.ndarray) -> list[float]:
    """What `squares_by` gives, row by row and set by set."""
    found = []
    for last in range(risk.sets):
        sums: dict[int, float] = {}
        for place, row in enumerate(risk.rows):
            seen = slice(risk.first[place], min(risk.last[place], last + 1))
            sums[group[row]] = sums.get(group[row], 0.0) + float(terms[seen].sum())
        found.append(sum(one * one for one in sums.values()))
    return found


def test_what_groups_have_summed_up_by_each_time() -> None:
    """Ties, late entry, and groups of which one member comes when another has gone."""
    data = brute_force.spells(np.random.default_rng(4), 40, 1)
    risk = RiskSets.of(data["stop"], data["event"], data["start"])
    terms, group = np.random.default_rng(5).random(risk.sets), np.arange(40) % 7
    assert squares_by(risk, group, terms) == pytest.approx(summed_plainly(risk, group, terms))


def test_reeds_each_of_an_evening_of_its_own_have_greenwoods_limits() -> None:
    data = freireich()
    alone, apart = (kaplan_meier(data.stop, data.event, together=of) for of in (None, np.arange(len(data.stop))))
    assert apart.lo.tolist() == alone.lo.tolist()
    assert apart.hi.tolist() == alone.hi.tolist()
    assert apart.se.tolist() == alone.se.tolist()


def test_of_one_evening_alone_limits_say_next_to_nothing() -> None:
    data = freireich()
    lo, hi = kaplan_meier(data.stop, data.event, together=np.zeros(len(data.stop), dtype=int)).limits_at(10.0)
    assert (float(lo), float(hi)) == pytest.approx((0.0, 1.0), abs=0.01)


def evenings_of(rng: np.random.Generator, variance: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Times, ends and evenings of sixty lives of twelve evenings, whose hazards vary so much by evening; half of
    all such lives are over at 1, but for what the evening adds."""
    evening = rng.integers(0, 12, 60)
    hazard = rng.gamma(1 / variance, variance, 12)[evening]
    life, watched = (rng.exponential(size=60) / hazard) ** (1 / 2.3), rng.uniform(0.4, 3.0, 60)
    return np.minimum(life, watched), life <= watched, evening


def test_how_often_limits_hold_where_reeds_of_an_evening_last_alike() -> None:
    """
    A number of mean 1 and variance 1 (gamma), by which all hazards of an evening are multiplied: of all lives
    1 / (1 + H) last when H is the hazard lived through (Clayton 1978), so a half at 1. Of 100 limits 95 should hold
    that; taken for independent 80 to 85 do, and 95 less three standard errors is 88.
    """
    rng, held, alone = np.random.default_rng(12), 0, 0
    for _ in range(100):
        time, event, evening = evenings_of(rng, 1.0)
        for together in (None, evening):
            lo, hi = kaplan_meier(time, event, together=together).limits_at(1.0)
            inside = bool(lo <= 0.5 <= hi)
            held, alone = (held + inside, alone) if together is evening else (held, alone + inside)
    assert held >= 89
    assert alone <= 87


def test_what_rows_belong_to_is_given_for_each() -> None:
    for given in ({"together": np.zeros(3)}, {"together": np.zeros(2), "member": np.zeros(3)}):
        with pytest.raises(StatisticsError, match="one for each row"):
            kaplan_meier([1.0, 2.0], [True, True], **given)
