"""Kaplan-Meier curves: published values, late entry by hand, lifelines, and what may be asked of a curve."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lifelines import KaplanMeierFitter
from lifelines.utils import restricted_mean_survival_time
from tests.survival.published import LATE_ENTRY, LATE_EVENT, LATE_EXIT, PLACEBO, SIX_MP, SIX_MP_RELAPSED

from reedkin.survival import SurvivalCurve, kaplan_meier

ALL = [1] * 21


def six_mp() -> SurvivalCurve:
    return kaplan_meier(SIX_MP, SIX_MP_RELAPSED)


# Freireich et al. 1963, Blood 21:699-716; values of R's survival 3.5-3.
def test_published_curve() -> None:
    curve = six_mp()
    assert curve.time.tolist() == [6, 7, 10, 13, 16, 22, 23]
    assert curve.at_risk.tolist() == [21, 17, 15, 12, 11, 7, 6]
    assert curve.events.tolist() == [3, 1, 1, 1, 1, 1, 1]
    assert curve.censored.tolist() == [6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35]
    assert curve.at([6, 10, 23]) == pytest.approx([0.857143, 0.752941, 0.448179], abs=1e-6)
    some = np.searchsorted(curve.time, [6, 10, 23])
    assert curve.se[some] == pytest.approx([0.0763604, 0.0963497, 0.134591], abs=1e-6)
    assert curve.lo[some] == pytest.approx([0.619718, 0.503200, 0.188052], abs=1e-6)
    assert curve.hi[some] == pytest.approx([0.951552, 0.889362, 0.680143], abs=1e-6)


# The same source.
def test_published_medians() -> None:
    assert (six_mp().median, six_mp().median_ci) == (23.0, (13.0, None))
    placebo = kaplan_meier(PLACEBO, ALL)
    assert (placebo.median, placebo.median_ci) == (8.0, (4.0, 11.0))


# The same source.
def test_published_restricted_means() -> None:
    placebo, treated = kaplan_meier(PLACEBO, ALL).restricted_mean(20), six_mp().restricted_mean(20)
    assert (placebo.value, placebo.se) == pytest.approx((8.428571, 1.268083), abs=1e-6)
    assert (treated.value, treated.se) == pytest.approx((16.116527, 1.251560), abs=1e-6)
    assert placebo.lo < placebo.value < placebo.hi <= 20


def test_median_where_the_curve_is_exactly_one_half() -> None:
    """R takes the midpoint of the flat stretch, 2.5; ours, like lifelines, is the first time, 2."""
    curve = kaplan_meier([1, 2, 3, 4], [1, 1, 1, 1])
    assert curve.median == 2.0 == KaplanMeierFitter().fit([1, 2, 3, 4]).median_survival_time_
    # Nine tenths of eight ninths of ... is one half in fractions, and a hair more in floats.
    assert kaplan_meier(range(1, 11), [1] * 10).median == 5.0


def test_late_entry_by_hand() -> None:
    """
    At 3 the reeds that entered at 0 and 2 are watched (one that enters at 3 is not yet): 1/2. At 6, five of which one
    goes: 4/5; at 7, five (one has entered): 4/5; at 9, four: 3/4; at 10, three: 2/3; at 11, two: 1/2.
    """
    curve = kaplan_meier(LATE_EXIT, LATE_EVENT, LATE_ENTRY)
    assert curve.time.tolist() == [3, 6, 7, 9, 10, 11]
    assert curve.at_risk.tolist() == [2, 5, 5, 4, 3, 2]
    assert curve.survival == pytest.approx([0.5, 0.4, 0.32, 0.24, 0.16, 0.08], abs=1e-12)
    assert curve.warnings == ()
    assert curve.start == 0.0


def test_a_first_risk_set_of_one_does_not_end_the_curve() -> None:
    curve = kaplan_meier([3, 6, 8, 9], [1, 1, 0, 1], [0, 3, 3, 4])
    assert curve.start == 3.0
    assert curve.time.tolist() == [6, 9]
    assert curve.survival == pytest.approx([2 / 3, 0.0])
    assert curve.n == 3
    assert len(curve.warnings) == 1
    assert "The only reed under observation at 3" in curve.warnings[0]


def test_everyone_gone_and_others_still_to_come() -> None:
    """Also later than the first risk set, also of more than one, also when the others come much later."""
    curve = kaplan_meier([5, 5, 4, 9, 12], [1, 1, 1, 1, 0], [0, 1, 2, 7, 8])
    assert curve.start == 5.0
    assert curve.survival == pytest.approx([0.5])
    assert "All 2 reeds under observation at 5" in curve.warnings[0]
    assert "from 5 to 7" in curve.warnings[1]


def test_nothing_is_known_before_the_first_entry() -> None:
    curve = kaplan_meier([8, 9, 12], [1, 1, 0], [5, 6, 5])
    assert curve.start == 5.0
    assert "before 5" in curve.warnings[0]


def test_without_retirements_there_is_no_median() -> None:
    curve = kaplan_meier([3, 4], [0, 0])
    assert len(curve.time) == 0
    assert curve.at([0, 10]).tolist() == [1, 1]
    assert (curve.median, curve.median_ci) == (None, (None, None))
    assert curve.restricted_mean().value == 4.0


def test_one_reed() -> None:
    curve = kaplan_meier([7], [1])
    assert curve.survival.tolist() == [0.0]
    assert (curve.lo.tolist(), curve.hi.tolist(), curve.se.tolist()) == ([0.0], [1.0], [0.0])
    assert (curve.median, curve.median_ci) == (7.0, (None, None))


def test_a_curve_at_nothing_keeps_its_last_upper_limit() -> None:
    curve = kaplan_meier(PLACEBO, ALL)
    assert curve.survival[-1] == curve.lo[-1] == curve.se[-1] == 0.0
    assert curve.hi[-1] == curve.hi[-2] > 0.0


def test_what_lies_before_a_reed_of_some_age() -> None:
    """The curve of those that lasted to 10 is the curve of them alone, watched from 10."""
    older = six_mp().lasting(10)
    alone = kaplan_meier(*zip(*[(t, e) for t, e in zip(SIX_MP, SIX_MP_RELAPSED, strict=True) if t > 10], strict=True))
    assert older.survival == pytest.approx(alone.survival)
    assert older.lo == pytest.approx(alone.lo)
    assert (older.median, older.median_ci, older.n) == (alone.median, alone.median_ci, alone.n)
    assert older.at(23) == pytest.approx(six_mp().at(23) / six_mp().at(10))
    assert older.restricted_mean(20).value == pytest.approx(alone.restricted_mean(20).value)


def test_steps_hold_from_their_time_on() -> None:
    curve = six_mp()
    assert curve.at(5.999) == 1.0
    assert curve.at(6.0) == curve.at(6.9) == pytest.approx(18 / 21)
    lo, hi = curve.limits_at([0.0, 6.0])
    assert (lo[0], hi[0]) == (1.0, 1.0)
    assert (lo[1], hi[1]) == (curve.lo[0], curve.hi[0])
    assert curve.quantile(0.8) == 10.0
    assert curve.quantile(0.1) is None


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("late", [False, True])
def test_against_lifelines(seed: int, late: bool) -> None:
    rng = np.random.default_rng(seed)
    entry = rng.integers(0, 5, 80).astype(float) if late else None
    time = rng.integers(1, 30, 80) + (0.0 if entry is None else entry)
    event = rng.random(80) < 0.6
    ours = kaplan_meier(time, event, entry)
    theirs = KaplanMeierFitter().fit(time, event, entry=entry)
    assert not ours.warnings
    assert ours.survival == pytest.approx(theirs.predict(ours.time).to_numpy(), abs=1e-12)
    alive = ours.survival > 0
    limits = theirs.confidence_interval_.loc[ours.time[alive]].to_numpy()
    assert ours.lo[alive] == pytest.approx(limits[:, 0], abs=1e-9)
    assert ours.hi[alive] == pytest.approx(limits[:, 1], abs=1e-9)
    if not late:
        horizon = float(np.median(time))
        expected = restricted_mean_survival_time(theirs, t=horizon)
        assert ours.restricted_mean(horizon).value == pytest.approx(expected, abs=1e-9)


LIVES = st.lists(st.tuples(st.integers(0, 20), st.integers(1, 20), st.booleans()), min_size=1, max_size=25)


@settings(derandomize=True, max_examples=60, deadline=None)
@given(LIVES)
def test_any_curve_is_a_curve(lives: list[tuple[int, int, bool]]) -> None:
    entry = [begun for begun, _, _ in lives]
    time = [begun + lasted for begun, lasted, _ in lives]
    curve = kaplan_meier(time, [retired for _, _, retired in lives], entry)
    assert np.all(np.diff(curve.time) > 0)
    assert np.all(np.diff(curve.survival, prepend=1.0) < 0)
    assert np.all((curve.lo >= 0) & (curve.lo <= curve.survival))
    assert np.all((curve.survival <= curve.hi) & (curve.hi <= 1))
    assert np.all(np.isfinite(curve.se))
    assert np.all(curve.survival[:-1] > 0)
    assert len(curve.time) == 0 or curve.survival[-1] > 0 or curve.time[-1] == max(time)
    assert curve.n == curve.events.sum() + len(curve.censored)


@settings(derandomize=True, max_examples=40, deadline=None)
@given(LIVES, st.integers(1, 19))
def test_watching_a_life_in_two_spells_changes_nothing(lives: list[tuple[int, int, bool]], cut: int) -> None:
    whole = [(begun, begun + lasted, retired) for begun, lasted, retired in lives]
    split = [
        spell
        for begun, ended, retired in whole
        for spell in (
            [(begun, cut, False), (cut, ended, retired)] if begun < cut < ended else [(begun, ended, retired)]
        )
    ]
    once, twice = (
        kaplan_meier([s[1] for s in rows], [s[2] for s in rows], [s[0] for s in rows]) for rows in (whole, split)
    )
    assert once.time.tolist() == twice.time.tolist()
    assert once.survival == pytest.approx(twice.survival)
    assert once.lo == pytest.approx(twice.lo)
