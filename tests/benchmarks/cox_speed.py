"""
How long a Cox fit of 20,000 (start, stop] rows with 10 covariates takes, beside two general-purpose libraries.

Run it from the top of the repository as `python tests/benchmarks/cox_speed.py`. Medians of one run, so that all are
measured on the same machine in the same mood. statsmodels counts a row at its start too, so its coefficients differ
where a row ends and the next begins; it is here for its speed alone.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from statistics import median
from time import perf_counter

import numpy as np
import pandas as pd
from lifelines import CoxPHFitter
from statsmodels.duration.hazard_regression import PHReg

sys.path.insert(0, str(Path(__file__).parents[2] / "tui"))

from reedkin.survival import RiskSets, cox, fit

ROWS, COVARIATES = 20_000, 10


def rows(seed: int = 1) -> dict[str, np.ndarray]:
    """Spells in whole minutes, about half of which end in an event, at some 4,000 distinct times."""
    rng = np.random.default_rng(seed)
    x = rng.normal(size=(ROWS, COVARIATES))
    start = rng.integers(0, 3000, ROWS).astype(float)
    life = rng.exponential(1500 * np.exp(-x @ rng.normal(scale=0.2, size=COVARIATES)))
    watched = rng.exponential(2000, ROWS)
    return {"start": start, "stop": start + np.ceil(np.minimum(life, watched)), "event": life <= watched, "x": x}


def seconds(call: Callable[[], object], times: int = 3) -> float:
    """The median of so many calls."""
    taken = []
    for _ in range(times):
        begun = perf_counter()
        call()
        taken.append(perf_counter() - begun)
    return median(taken)


def main() -> None:
    data = rows()
    start, stop, event, x = data["start"], data["stop"], data["event"], data["x"]
    risk = RiskSets.of(stop, event, start)
    frame = pd.DataFrame(x).assign(start=start, stop=stop, event=event)
    frame.columns = frame.columns.map(str)
    measured = {
        "cox, without the penalty": seconds(lambda: cox(stop, event, x, start=start, firth=False), 9),
        "cox, with Firth's penalty": seconds(lambda: cox(stop, event, x, start=start), 9),
        "the same, intervals and p-values too": seconds(lambda: _told(cox(stop, event, x, start=start))),
        "risk sets alone": seconds(lambda: RiskSets.of(stop, event, start), 9),
        "one covariate on risk sets made before, all told": seconds(lambda: _told(fit(risk, x[:, 0])), 9),
        "lifelines": seconds(lambda: CoxPHFitter().fit(frame, "stop", "event", entry_col="start")),
        "statsmodels": seconds(lambda: PHReg(stop, x, event, entry=start, ties="efron").fit()),
    }
    base = measured["cox, without the penalty"]
    print(f"{ROWS} rows, {COVARIATES} covariates, {int(event.sum())} events at {risk.sets} times, Efron ties")
    print(f"{'':50}{'ms':>9}{'ratio':>9}")
    for name, taken in measured.items():
        print(f"{name:50}{taken * 1000:9.1f}{taken / base:9.2f}")


def _told(model: object) -> object:
    return model.ci, model.p  # type: ignore[attr-defined]


if __name__ == "__main__":
    main()
