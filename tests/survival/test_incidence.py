"""Competing causes: complete data, lifelines, and the ways of saying that nothing has ended a reed yet."""

from __future__ import annotations

import math

import numpy as np
import pytest
from lifelines import AalenJohansenFitter

from reedkin.survival import cumulative_incidence, kaplan_meier


def test_without_censoring_it_is_the_share_and_its_binomial_error() -> None:
    rng = np.random.default_rng(3)
    time = rng.integers(1, 12, 60)
    cause = rng.choice(["worn", "cracked", "lost"], 60)
    found = cumulative_incidence(time, cause)
    assert list(found.incidence) == ["cracked", "lost", "worn"]
    for name in found.incidence:
        share = np.array([np.mean((cause == name) & (time <= when)) for when in found.time])
        assert found.incidence[name] == pytest.approx(share)
        assert found.se[name] == pytest.approx(np.sqrt(share * (1 - share) / 60), abs=1e-12)


@pytest.mark.parametrize("seed", range(3))
def test_against_lifelines(seed: int) -> None:
    """At distinct times only: lifelines shifts tied ones at random."""
    rng = np.random.default_rng(seed)
    time = rng.permutation(120) + 1.0
    cause = rng.integers(0, 3, 120)
    found = cumulative_incidence(time, cause)
    for name in (1, 2):
        theirs = AalenJohansenFitter(calculate_variance=True).fit(time, cause, event_of_interest=name)
        curve = theirs.cumulative_density_.iloc[:, 0]
        assert found.incidence[name] == pytest.approx(curve.loc[found.time].to_numpy(), abs=1e-12)
        assert found.at(name, 60.5) == pytest.approx(float(curve.loc[:60.5].iloc[-1]))


@pytest.mark.parametrize("seed", range(3))
def test_all_shares_add_up_with_late_entry(seed: int) -> None:
    rng = np.random.default_rng(seed)
    entry = rng.integers(0, 5, 50)
    time = entry + rng.integers(1, 15, 50)
    cause = rng.integers(0, 4, 50)
    found = cumulative_incidence(time, cause, entry)
    curve = kaplan_meier(time, cause > 0, entry)
    assert found.survival == pytest.approx(curve.survival)
    assert sum(found.incidence.values()) + found.survival == pytest.approx(np.ones(len(found.time)))
    assert sum(found.counts.values()) == curve.events.sum()


def test_one_cause_alone_has_the_error_of_the_curve() -> None:
    """Greenwood's formula is the case of one cause."""
    time, event = [1, 2, 2, 3, 5, 6, 7, 9], [1, 1, 1, 0, 1, 0, 1, 0]
    found, curve = cumulative_incidence(time, event), kaplan_meier(time, event)
    assert found.incidence[1] == pytest.approx(1 - curve.survival)
    assert found.se[1] == pytest.approx(curve.se)


def test_still_under_observation_in_any_words() -> None:
    for still in (None, "", 0, False, math.nan):
        found = cumulative_incidence([1, 2, 3], ["worn", still, "lost"])
        assert dict(found.counts) == {"lost": 1, "worn": 1}
        assert found.incidence["worn"] == pytest.approx([1 / 3, 1 / 3])
        assert found.at("lost", 0.5) == 0.0


def test_none_ended() -> None:
    found = cumulative_incidence([1, 2], [None, None])
    assert len(found.time) == 0
    assert dict(found.incidence) == {}


def test_all_watched_ended_while_others_were_to_come() -> None:
    found = cumulative_incidence([3, 6, 8], ["worn", "lost", "worn"], [0, 4, 4])
    assert found.start == 3.0
    assert found.warnings
    assert found.incidence["lost"] == pytest.approx([0.5, 0.5])
    assert dict(found.counts) == {"lost": 1, "worn": 1}
