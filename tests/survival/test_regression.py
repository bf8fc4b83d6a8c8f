"""Cox regression without penalty: published values, the plain definition, lifelines and statsmodels."""

from __future__ import annotations

from typing import Any, Literal

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lifelines import CoxPHFitter
from lifelines.datasets import load_rossi, load_stanford_heart_transplants
from statsmodels.duration.hazard_regression import PHReg
from tests.survival import brute_force
from tests.survival.published import Spells, appendix_e_1, appendix_e_2, freireich

from reedkin.survival import CoxFit, cox

Ties = Literal["efron", "breslow"]


def plain(data: Spells, ties: Ties = "efron") -> CoxFit:
    return cox(data.stop, data.event, data.x, start=data.start, ties=ties, firth=False)


# Therneau & Grambsch 2000, Modeling Survival Data, appendix E: all but the last are printed there, that is R's.
@pytest.mark.parametrize(
    ("data", "ties", "coefficient"),
    [
        (appendix_e_1(), "breslow", np.log((3 + np.sqrt(33)) / 2)),
        (appendix_e_1(), "efron", 1.676857),
        (appendix_e_2(), "breslow", -0.084526),
        (appendix_e_2(), "efron", -0.021105),
    ],
)
def test_textbook_values(data: Spells, ties: Ties, coefficient: float) -> None:
    assert plain(data, ties).coef == pytest.approx([coefficient], abs=1e-6)


# Freireich et al. 1963, Blood 21:699-716; values of R's survival 3.5-3.
@pytest.mark.parametrize(
    ("ties", "coefficient", "se", "log_likelihood"),
    [("breslow", -1.509191, 0.409564, -86.379622), ("efron", -1.572125, 0.412397, -85.008425)],
)
def test_leukaemia(ties: Ties, coefficient: float, se: float, log_likelihood: float) -> None:
    model = plain(freireich(), ties)
    assert model.coef == pytest.approx([coefficient], abs=1e-6)
    assert model.se == pytest.approx([se], abs=1e-6)
    assert model.log_likelihood == pytest.approx(log_likelihood, abs=1e-6)
    assert model.ci[0] == pytest.approx([coefficient - 1.959964 * se, coefficient + 1.959964 * se], abs=1e-5)
    assert (model.rows, model.events, model.penalised_log_likelihood) == (42, 30, None)


def heart() -> pd.DataFrame:
    return load_stanford_heart_transplants()


# Crowley & Hu 1977, JASA 72:27-36; values of R's survival 3.5-3.
def test_heart_transplants() -> None:
    data = heart()
    model = cox(
        data["stop"],
        data["event"],
        data[["age", "year", "surgery", "transplant"]],
        start=data["start"],
        firth=False,
    )
    assert model.coef == pytest.approx([0.0271666, -0.146346, -0.637210, -0.0102508], abs=1e-6)
    assert model.log_likelihood == pytest.approx(-290.565616, abs=1e-6)


# The same source.
def test_what_only_the_long_lived_receive_must_vary_in_time() -> None:
    """Immortal time: as if known from the start, a transplant seems to save lives; as it came about, it does not."""
    data = heart()
    truly = cox(data["stop"], data["event"], data["transplant"], start=data["start"], firth=False)
    assert truly.coef == pytest.approx([0.127141], abs=1e-6)
    assert truly.se == pytest.approx([0.301141], abs=1e-6)
    once = data.groupby("id").agg(stop=("stop", "max"), event=("event", "max"), ever=("transplant", "max"))
    # These data count the day of acceptance as the first. The published value counts it as none, and leaves out the
    # candidate who died on it.
    later = once[once["stop"] > 1]
    assert len(once) - len(later) == 1
    naive = cox(later["stop"], later["event"], later["ever"], firth=False)
    assert naive.coef == pytest.approx([-1.302267], abs=1e-6)


# Rossi et al. 1980, in the form of Allison, Survival Analysis Using SAS (from memory); values of R's survival 3.5-3.
def test_recidivism() -> None:
    data = load_rossi()
    names = ["fin", "age", "race", "wexp", "mar", "paro", "prio"]
    model = cox(data["week"], data["arrest"], data[names], firth=False)
    published = [-0.379422, -0.0574377, 0.313900, -0.149796, -0.433704, -0.0848711, 0.0914971]
    assert model.coef == pytest.approx(published, abs=1e-6)
    assert model.log_likelihood == pytest.approx(-658.747659, abs=1e-6)
    theirs = CoxPHFitter().fit(data, "week", "arrest")
    assert model.se == pytest.approx(theirs.standard_errors_[names].to_numpy(), abs=2e-5)
    assert model.p == pytest.approx(theirs.summary.loc[names, "p"].to_numpy(), abs=1e-4)
    test = theirs.log_likelihood_ratio_test()
    ours = model.likelihood_ratio
    assert (ours.chi2, ours.df, ours.p) == (
        pytest.approx(test.test_statistic, abs=1e-4),
        7,
        pytest.approx(test.p_value, abs=1e-6),
    )


@pytest.mark.parametrize("ties", ["efron", "breslow"])
@pytest.mark.parametrize("seed", range(3))
def test_against_the_plain_definition(seed: int, ties: Ties) -> None:
    """Late entry, strata and ties: the likelihood, its slope (zero) and its curvature at the fit."""
    data = brute_force.spells(np.random.default_rng(seed), 60, 3, strata=2)
    model = fit_of(data, ties)
    value, information = brute_force.partial_likelihood(data, model.coef, ties)
    assert model.log_likelihood == pytest.approx(value, abs=1e-9)
    assert model.information == pytest.approx(information, rel=1e-8, abs=1e-6)
    assert model.covariance == pytest.approx(np.linalg.inv(information), rel=1e-7, abs=1e-7)
    null, _ = brute_force.partial_likelihood(data, np.zeros(3), ties)
    assert model.null_log_likelihood == pytest.approx(null, abs=1e-9)
    for step in np.eye(3) * 1e-4:
        up, down = (brute_force.partial_likelihood(data, model.coef + s, ties)[0] for s in (step, -step))
        assert max(up, down) < value
        assert (up - down) / 2e-4 == pytest.approx(0.0, abs=1e-5)


@pytest.mark.parametrize("seed", range(3))
def test_against_lifelines(seed: int) -> None:
    data = brute_force.spells(np.random.default_rng(100 + seed), 150, 2, strata=3)
    frame = pd.DataFrame(
        {"a": data["x"][:, 0], "b": data["x"][:, 1]}
        | {name: data[name] for name in ("start", "stop", "event", "strata")}
    )
    theirs = CoxPHFitter().fit(frame, "stop", "event", entry_col="start", strata=["strata"])
    model = fit_of(data)
    assert model.coef == pytest.approx(theirs.params_.to_numpy(), abs=1e-4)
    assert model.se == pytest.approx(theirs.standard_errors_.to_numpy(), abs=1e-4)


@pytest.mark.parametrize("ties", ["efron", "breslow"])
def test_against_statsmodels(ties: Ties) -> None:
    """Without late entry: its own counts rows at both ends of a spell."""
    data = brute_force.spells(np.random.default_rng(7), 150, 2, late=False, strata=2)
    theirs = PHReg(data["stop"], data["x"], data["event"], strata=data["strata"], ties=ties).fit()
    model = fit_of(data, ties)
    assert model.coef == pytest.approx(theirs.params, abs=1e-6)
    assert model.se == pytest.approx(theirs.bse, abs=1e-6)
    assert model.log_likelihood == pytest.approx(theirs.llf, abs=1e-8)


def test_two_groups_and_the_score_test_is_the_log_rank() -> None:
    """Without ties the log-rank test is the score test of the model (Cox 1972), near which the Wald test is."""
    model = plain(freireich(), "breslow")
    assert model.coef[0] / model.se[0] == pytest.approx(-np.sqrt(13.578), abs=1e-2)


@settings(derandomize=True, max_examples=15, deadline=None)
@given(st.integers(0, 10_000), st.booleans())
def test_what_must_not_matter(seed: int, firth: bool) -> None:
    """Order of rows, a watch kept in two spells, units, origin, and times in any unit."""
    rng = np.random.default_rng(seed)
    data = brute_force.spells(rng, 60, 2, strata=2)
    model = fit_of(data, firth=firth)
    order = rng.permutation(60)
    assert fit_of({name: column[order] for name, column in data.items()}, firth=firth).coef == pytest.approx(model.coef)
    cut = np.floor((data["start"] + data["stop"]) / 2)
    cuts = cut > data["start"]
    early, late = (
        {name: column[cuts] for name, column in data.items()}
        | {"stop": cut[cuts], "event": np.zeros(cuts.sum(), bool)},
        data | {"start": np.where(cuts, cut, data["start"])},
    )
    split = {name: np.concatenate((early[name], late[name])) for name in data}
    assert fit_of(split, firth=firth).coef == pytest.approx(model.coef)
    moved = fit_of(data | {"x": data["x"] * [1e-6, 1e6] + [5e3, -3e8]}, firth=firth)
    assert moved.coef * [1e-6, 1e6] == pytest.approx(model.coef, rel=1e-5, abs=1e-9)
    assert moved.log_likelihood == pytest.approx(model.log_likelihood, abs=1e-8)
    slower = fit_of(data | {"start": data["start"] * 60, "stop": data["stop"] * 60}, firth=firth)
    assert slower.coef == pytest.approx(model.coef)


def fit_of(data: dict[str, Any], ties: Ties = "efron", firth: bool = False) -> CoxFit:
    return cox(data["stop"], data["event"], data["x"], data["start"], data["strata"], ties, firth)
