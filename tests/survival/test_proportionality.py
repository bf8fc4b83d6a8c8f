"""The test of proportional hazards: the plain score test, lifelines, and an effect that fades."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
import pytest
from lifelines import CoxPHFitter
from lifelines.datasets import load_rossi
from lifelines.statistics import proportional_hazard_test
from numpy.typing import NDArray
from scipy.stats import rankdata
from tests.survival import brute_force

from reedkin.survival import StatisticsError, cox, proportionality

Array = NDArray[np.float64]


def widened(data: dict[str, Any]) -> dict[str, Any]:
    """The rows split at every retirement, each covariate times the rank of the time (0 to 1) beside them as another."""
    dead = data["stop"][data["event"]]
    rank = rankdata(dead)
    ranks = dict(zip(dead.tolist(), ((rank - rank.min()) / np.ptp(rank)).tolist(), strict=True))
    rows: dict[str, list[Any]] = {name: [] for name in data}
    for row in range(len(data["stop"])):
        inside = [t for t in sorted(ranks) if data["start"][row] < t <= data["stop"][row]]
        before = data["start"][row]
        for time in inside:
            rows["start"].append(before)
            rows["stop"].append(time)
            rows["event"].append(bool(data["event"][row]) and time == data["stop"][row])
            rows["strata"].append(data["strata"][row])
            rows["x"].append(np.concatenate((data["x"][row], data["x"][row] * ranks[time])))
            before = time
    return {name: np.array(column) for name, column in rows.items()}


def score_test(data: dict[str, Any], coef: Array, tested: list[int]) -> float:
    """
    Rao's test that the extra coefficients `tested` are 0, from the definition, at estimates of the others that need not
    be where the likelihood is highest: the score is freed of theirs (Neyman's C(alpha)).
    """
    wide, p = widened(data), len(coef)
    at = np.concatenate((coef, np.zeros(p)))
    step = 1e-5
    score = np.array(
        [
            (brute_force.partial_likelihood(wide, at + e)[0] - brute_force.partial_likelihood(wide, at - e)[0])
            / (2 * step)
            for e in np.eye(2 * p) * step
        ]
    )
    _, information = brute_force.partial_likelihood(wide, at)
    extra, own = [p + which for which in tested], list(range(p))
    across = information[np.ix_(extra, own)] @ np.linalg.inv(information[np.ix_(own, own)])
    freed = score[extra] - across @ score[own]
    variance = information[np.ix_(extra, extra)] - across @ information[np.ix_(own, extra)]
    return float(freed @ np.linalg.solve(variance, freed))


@pytest.mark.parametrize("firth", [False, True])
@pytest.mark.parametrize("seed", range(2))
def test_against_the_plain_score_test(seed: int, firth: bool) -> None:
    data = brute_force.spells(np.random.default_rng(seed), 40, 2, strata=2)
    model = cox(data["stop"], data["event"], data["x"], data["start"], data["strata"], firth=firth)
    found = proportionality(model)
    assert found.chi2 == pytest.approx(score_test(data, model.coef, [0, 1]), rel=1e-4)
    assert found.df == 2
    for which, test in enumerate(found.each):
        assert test.chi2 == pytest.approx(score_test(data, model.coef, [which]), rel=1e-4, abs=1e-6)
        assert test.df == 1


def test_recidivism() -> None:
    """
    lifelines takes the average covariance of the covariates for that at each time, and comes to the same verdicts. With
    three covariates, R's older form of the test had 6.54 for age and 7.13 in all (Fox & Weisberg, appendix on Cox
    regression to An R Companion to Applied Regression; from memory), with the Kaplan-Meier curve as the scale of time.
    """
    data = load_rossi()
    names = [name for name in data.columns if name not in ("week", "arrest")]
    theirs = proportional_hazard_test(CoxPHFitter().fit(data, "week", "arrest"), data, time_transform="rank")
    found = proportionality(cox(data["week"], data["arrest"], data[names], firth=False))
    surprising = {name for name, test in zip(names, found.each, strict=True) if test.p < 0.05}
    assert surprising == set(theirs.summary.index[theirs.summary["p"] < 0.05]) == {"age", "wexp"}
    three = proportionality(cox(data["week"], data["arrest"], data[["fin", "age", "prio"]], firth=False))
    assert three.each[1].chi2 == pytest.approx(6.54, abs=0.5)
    assert three.chi2 == pytest.approx(7.13, abs=0.3)


def test_an_effect_that_fades_is_seen_and_one_that_stays_is_not() -> None:
    rng = np.random.default_rng(1)
    x = rng.integers(0, 2, 600).astype(float)
    steady = np.ceil(rng.exponential(1000 * np.exp(-x)))
    # The hazard is e^2 times as high until 400 and alike after.
    spent = rng.exponential(1.0, 600)
    early = 400 * np.exp(2 * x) / 1000
    fading = np.ceil(np.where(spent < early, spent * 1000 / np.exp(2 * x), 400 + (spent - early) * 1000))
    event = np.ones(600, dtype=bool)
    assert proportionality(cox(steady, event, x)).p > 0.05
    faded = cox(fading, event, x)
    found = proportionality(faded)
    assert found.p < 1e-4
    assert faded.coef[0] > 0 > found.change[0]


def test_units_do_not_matter_and_one_age_is_not_enough() -> None:
    data = brute_force.spells(np.random.default_rng(9), 60, 1)
    one, other = (
        proportionality(cox(data["stop"], data["event"], data["x"] * unit, data["start"])) for unit in (1.0, 1000.0)
    )
    assert one.chi2 == pytest.approx(other.chi2)
    assert one.change == pytest.approx(other.change * 1000)
    with pytest.raises(StatisticsError, match="two or more different ages"):
        proportionality(cox([3, 3, 4, 5], [1, 1, 0, 0], [1, 0, 1, 0]))


def test_pandas_columns_are_taken() -> None:
    frame = pd.DataFrame({"t": [1, 2, 3, 4], "e": [1, 1, 1, 0], "x": [1, 0, 1, 0]})
    assert proportionality(cox(frame["t"], frame["e"], frame["x"])).df == 1
