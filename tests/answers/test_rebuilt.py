"""The report rebuilt by other means: from the rows of an export, by the definitions alone, with lifelines."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from datetime import datetime, timedelta
from itertools import pairwise
from statistics import fmean
from typing import Any

import numpy as np
import pandas as pd
import pytest
from demo_logs.build import HERE
from lifelines import CoxPHFitter, KaplanMeierFitter

from reedkin.answers.habits.report import HabitsReport, habits_report
from reedkin.answers.lives.lifespans import lifespans
from reedkin.domain.clock import Clock
from reedkin.store.log import Log
from reedkin.store.transfer.exporting import reeds_as_text
from reedkin.study.habits import habit_named
from reedkin.study.study import Study
from reedkin.survival import cox

WEAR = {"worn", "closed up", "cracked", "mouldy", "leaking", "flat"}
LAG = 8 * 60
USE = {
    "rest_days": "rest", "rest_under_day": "soon", "last_two_days": "two_days", "longest_playing": "longest",
    "touch_ups": "touched_so_far", "cleanings": "cleaned_so_far",
}  # fmt: skip
MAKING = {"tied_mm": "tied", "gouge_mm": "gouge", "clipped_mm": "clipped", "wired_before_crow": "wired_first"}


def rebuilt(lines: Iterator[str]) -> tuple[pd.DataFrame, pd.DataFrame]:
    """The lives, and the playings of them, that the rows of an export tell of."""
    reeds: dict[str, list[dict[str, Any]]] = {}
    for row in map(json.loads, lines):
        reeds.setdefault(row["reed"], []).append({**row, "at": datetime.fromisoformat(row["at"])})
    lives, playings = [], []
    for reed, rows in reeds.items():
        rows.sort(key=lambda row: (row["uid"] != reed, row["at"], row["uid"]))
        life, played = life_of(rows)
        if played:
            lives.append(life)
            playings += [{**life, **one, "event": life["event"] and one is played[-1]} for one in played]
    return pd.DataFrame(lives), pd.DataFrame(playings)


def life_of(rows: list[dict[str, Any]]) -> tuple[dict[str, Any], list[dict[str, Any]]]:
    first, entry = rows[0], round(rows[0].get("hours_before", 0) * 60)
    hours, length, clipped, away, cause, worked = entry, first.get("overall_mm"), 0.0, False, None, set()
    before_service: list[str] = []
    played: list[dict[str, Any]] = []
    for row in rows:
        kind = row["kind"]
        if kind == "retired":
            cause = None if away else row.get("cause")
            break
        away = (away or kind == "handed over") and kind not in ("returned", "played")
        if kind == "played":
            one = {"start": row["at"] - timedelta(minutes=row["minutes"]), "stop": row["at"], "begun": hours,
                   "minutes": row["minutes"], "touched": bool(worked & {"scraped", "clipped"}),
                   "cleaned": "cleaned" in worked}  # fmt: skip
            played.append(one)
            hours += row["minutes"]
            one["ended"] = hours
            one.update(habits_in_use(played, entry))
            worked = set()
        elif played:
            worked.add(kind)
        else:
            before_service.append(kind)
            if kind == "clipped":
                after = row.get("overall_mm", (length or 0) - row.get("clip_mm", 0))
                clipped, length = clipped + row.get("clip_mm", max((length or 0) - after, 0)), after
    wired_first = None
    if {"wired", "crowed"} <= set(before_service):
        wired_first = float(before_service.index("wired") < before_service.index("crowed"))
    new = first["kind"] == "tied"
    life = {"instrument": first["instrument"], "entry": entry, "exit": hours, "event": cause in WEAR,
            "tied": first.get("overall_mm") if new else None, "gouge": first.get("gouge_mm"),
            "clipped": clipped if new else None, "wired_first": wired_first}  # fmt: skip
    return life, played


def habits_in_use(played: list[dict[str, Any]], entry: int) -> dict[str, float | None]:
    """What counts when the last of these playings begins."""
    this = played[-1]
    lagged = [one for one in played if one["begun"] <= this["begun"] - LAG]
    rests = [(after["start"] - before["stop"]) / timedelta(days=1) for before, after in pairwise(lagged)]
    rests = [rest for rest in rests if rest >= 0]
    dense = [
        sum(one["minutes"] for one in lagged[:place] if one["stop"] >= then["start"] - timedelta(days=2))
        for place, then in enumerate(lagged)
        if not entry or then["start"] - played[0]["start"] >= timedelta(days=2)
    ]
    return {
        "rest": fmean(min(rest, 7) for rest in rests) if rests else None,
        "soon": fmean(100.0 * (rest < 1) for rest in rests) if rests else None,
        "two_days": fmean(dense) if dense else None,
        "longest": max(one["minutes"] for one in lagged[:-1]) if lagged[1:] and not entry else None,
        "touched_so_far": None if entry else sum(one["touched"] for one in lagged),
        "cleaned_so_far": None if entry else sum(one["cleaned"] for one in lagged),
    }


@pytest.fixture(scope="module")
def three_seasons() -> Iterator[tuple[Study, pd.DataFrame, pd.DataFrame]]:
    with Log(HERE / "three_seasons.jsonl", Clock(), read_only=True) as log:
        lives, playings = rebuilt(iter(reeds_as_text(log.bench.reeds(), log.bench, "jsonl").splitlines()))
        yield Study.of_bench(log.bench), lives, playings


@pytest.fixture(scope="module")
def report(three_seasons: tuple[Study, pd.DataFrame, pd.DataFrame]) -> HabitsReport:
    return habits_report(three_seasons[0], "hours", habits=tuple(map(habit_named, [*MAKING, *USE])))


def table_of(seasons: tuple[Study, pd.DataFrame, pd.DataFrame], name: str) -> pd.DataFrame:
    """The rows that a habit is known of, as they were rebuilt: its value, from when to when (minutes of playing), how
    it ended, the instrument."""
    _, lives, playings = seasons
    frame, spell = (lives, ["entry", "exit"]) if name in MAKING else (playings, ["begun", "ended"])
    column = (MAKING | USE)[name]
    return frame[[column, *spell, "event", "instrument"]].set_axis(
        ["value", "start", "stop", "event", "instrument"], axis=1
    ).astype({"value": float}).dropna()  # fmt: skip


@pytest.mark.parametrize("name", [*MAKING, *USE])
def test_each_habit(three_seasons: tuple[Study, pd.DataFrame, pd.DataFrame], report: HabitsReport, name: str) -> None:
    """Row by row: what a regression makes of the same rows is looked at with one of each kind (below)."""
    study, habit = three_seasons[0], habit_named(name)
    table = table_of(three_seasons, name)
    rows = study.rows_for(habit, "hours")
    values = study.numbers(habit, rows)
    ours = np.column_stack((60 * rows.start, 60 * rows.stop, rows.event, values))[values == values]
    assert ours == pytest.approx(table[["start", "stop", "event", "value"]].to_numpy(float), abs=1e-6)
    found = next(one for one in report.findings if one.habit is habit)
    assert found.effect.retired == int(table.event.sum())


@pytest.mark.parametrize("name", ["tied_mm", "rest_days"])
def test_its_effect(three_seasons: tuple[Study, pd.DataFrame, pd.DataFrame], report: HabitsReport, name: str) -> None:
    study, habit = three_seasons[0], habit_named(name)
    table = table_of(three_seasons, name)
    table.value /= habit.scale
    fitted = CoxPHFitter().fit(
        table, "stop", "event", strata="instrument", entry_col="start", fit_options={"precision": 1e-12}
    )
    rows = study.rows_for(habit, "hours")
    values = study.numbers(habit, rows)
    known = values == values
    ours = cox(rows.stop[known], rows.event[known], values[known] / habit.scale, rows.start[known],
               rows.stratum[known], firth=False)  # fmt: skip
    assert ours.coef[0] == pytest.approx(fitted.params_["value"], abs=1e-4)
    if name in MAKING:
        # With some fifty to ninety retirements the penalty moves little. A habit in use has more beside it.
        found = next(one for one in report.findings if one.habit is habit)
        assert math.log(found.effect.hazard_ratio) == pytest.approx(fitted.params_["value"], abs=0.03)


def test_how_long_reeds_last(three_seasons: tuple[Study, pd.DataFrame, pd.DataFrame]) -> None:
    study, lives, _ = three_seasons
    report = lifespans(study)
    assert sum(group.n for group in report.groups) == len(lives)
    for group in report.groups:
        own = lives[lives.instrument == group.name]
        curve = KaplanMeierFitter().fit(own.exit / 60, own.event, entry=own.entry / 60)
        assert (group.n, group.retired) == (len(own), own.event.sum())
        assert group.curve.median == (pytest.approx(curve.median_survival_time_) if group.curve.median else None)
        assert group.curve.survival == pytest.approx(np.ravel(curve.predict(group.curve.time)), abs=1e-9)
