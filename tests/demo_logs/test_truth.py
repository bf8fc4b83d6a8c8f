"""The simulated lives follow the stated hazards, and the planted effects can be found again from the rows alone."""

from __future__ import annotations

from dataclasses import fields
from datetime import datetime
from itertools import pairwise

import pandas as pd
import pytest
from demo_logs.maker.effects import UNITS, Effects
from demo_logs.maker.reed import LIFE_SHAPE
from demo_logs.maker.trade import PROFILES
from demo_logs.simulate import Scenario, simulate, three_seasons
from lifelines import CoxTimeVaryingFitter, KaplanMeierFitter
from scipy.stats import mannwhitneyu, weibull_min

from reedkin.domain.words import WEAR_CAUSES

LAG = 8 * 60


def sittings(scenario: Scenario) -> pd.DataFrame:
    """One line a playing, from the rows alone: minutes (start, stop], `event` if the reed was worn out in it, and
    habits as they were known before it."""
    lines = []
    reeds: list[list[dict]] = []
    bearing: dict[str, list[dict]] = {}
    for row in scenario.rows:
        if row["kind"] in ("tied", "joined"):
            bearing[row["tag"]] = []
            reeds.append(bearing[row["tag"]])
        bearing[row["tag"]].append(row)
    for number, rows in enumerate(reeds):
        first = rows[0]
        minutes = round(60 * first.get("hours_before", 0))
        last: float | None = None
        early = 0
        touched: list[int] = []
        served = first["kind"] == "joined"
        own: list[dict] = []
        for row in rows:
            if row["kind"] in ("scraped", "clipped") and served:
                touched.append(minutes)
            if row["kind"] != "played":
                continue
            served = True
            end = datetime.fromisoformat(row["at"]).timestamp() / 60
            start = end - row["minutes"]
            own.append(
                {
                    "reed": number,
                    "instrument": first["instrument"],
                    "joined": first["kind"] == "joined",
                    "start": minutes,
                    "stop": minutes + row["minutes"],
                    "event": 0,
                    "extra_mm": first["overall_mm"] - PROFILES[first["instrument"]].tied_mm,
                    "bad_lot": float(first.get("lot") in scenario.bad_lots),
                    "short_rest": float(last is not None and start - last < 24 * 60),
                    "early": (early or 40) / 30,
                    "touched": len(touched),
                    "touched_long_ago": sum(minutes - at >= LAG for at in touched),
                }
            )
            if minutes < 180:
                early = max(early, row["minutes"])
            minutes += row["minutes"]
            last = end
        if own and rows[-1].get("cause") in WEAR_CAUSES:
            own[-1]["event"] = 1
        lines += own
    return pd.DataFrame(lines)


def fit(lines: pd.DataFrame, *habits: str) -> pd.DataFrame:
    """Cox regression of lifelines on (start, stop] rows, stratified by instrument."""
    columns = ["reed", "start", "stop", "event", "instrument", *habits]
    model = CoxTimeVaryingFitter()
    model.fit(lines[columns], id_col="reed", event_col="event", strata=["instrument"])
    return model.summary


def test_without_effects_lives_follow_the_baseline() -> None:
    lines = sittings(simulate(11, reeds=200, effects=Effects.none(), loss=0.0))
    for instrument, own in lines.groupby("instrument"):
        lives = own.groupby("reed").agg(entry=("start", "min"), end=("stop", "max"), event=("event", "max"))
        curve = KaplanMeierFitter().fit(lives.end / 60, lives.event, entry=lives.entry / 60)
        scale = PROFILES[instrument].life_scale
        for hours in (6.0, 12.0, 18.0):
            true = weibull_min.sf(hours, LIFE_SHAPE, scale=scale)
            assert curve.predict(hours) == pytest.approx(true, abs=0.1)


def test_planted_effects_are_found_with_their_size() -> None:
    planted = Effects.only(overall_mm=0.6, bad_lot=0.9, rest_under_day=0.7, early_longest_half_hour=0.5)
    scenario = simulate(2, reeds=300, effects=planted, loss=0.0)
    lines = sittings(scenario)
    found = fit(lines[~lines.joined], "extra_mm", "bad_lot", "short_rest", "early")
    true = {"extra_mm": 0.6, "bad_lot": 0.9, "short_rest": 0.7, "early": 0.5}
    for habit, effect in true.items():
        estimate, error = found.loc[habit, ["coef", "se(coef)"]]
        assert abs(estimate - effect) < 3 * error, habit
        assert estimate > 3 * error, habit


def test_a_strong_effect_shows_to_an_ordinary_comparison() -> None:
    scenario = simulate(5, reeds=200, effects=Effects.only(bad_lot=1.6), loss=0.0)
    lives = sittings(scenario).groupby("reed")[["stop", "event", "bad_lot", "instrument"]].max()
    worn = lives[(lives.event == 1) & (lives.instrument == "english horn")]
    bad, good = worn[worn.bad_lot == 1].stop, worn[worn.bad_lot == 0].stop
    assert bad.median() < 0.7 * good.median()
    assert mannwhitneyu(bad, good).pvalue < 0.001


def test_touch_ups_follow_failing_and_a_lag_sees_through_it() -> None:
    lines = sittings(simulate(7, reeds=300, effects=Effects.none(), loss=0.0, touch_ups_follow_failing=True))
    found = fit(lines, "touched")
    assert found.loc["touched", "z"] > 5  # as if touching up wore reeds, which it does not
    assert abs(fit(lines, "touched_long_ago").loc["touched_long_ago", "z"]) < 2.5
    lines = sittings(simulate(7, reeds=300, effects=Effects.none(), loss=0.0, touch_ups_follow_failing=False))
    assert abs(fit(lines, "touched").loc["touched", "z"]) < 2.5


def test_scores_fall_towards_the_end() -> None:
    rows = three_seasons().rows
    scores: dict[str, list[float]] = {}
    drops = []
    for row in rows:
        if row["kind"] in ("tied", "joined"):
            scores[row["tag"]] = []
        if row["kind"] == "played" and "score" in row:
            scores[row["tag"]].append(row["score"])
        own = scores[row["tag"]]
        if row.get("cause") in WEAR_CAUSES and len(own) >= 8:
            thirds = [own[:3], own[len(own) // 2 - 1 : len(own) // 2 + 2], own[-3:]]
            drops.append([sum(third) / 3 for third in thirds])
    means = [sum(column) / len(drops) for column in zip(*drops, strict=True)]
    assert all(later < earlier for earlier, later in pairwise(means))
    assert means[0] - means[2] > 2


def test_shares_and_lives_are_such_as_players_quote() -> None:
    # Common practice, no source: 10 to 15 hours of playing, up to 20 to 25 for a good reed.
    lives = three_seasons().lives
    new = [life for life in lives if not life.entry]
    never = sum(not life.served and life.cause is not None for life in new) / len(new)
    assert 0.28 < never < 0.42
    worn = sorted(life.minutes / 60 for life in lives if life.served and life.cause in WEAR_CAUSES)
    assert 9 < worn[len(worn) // 2] < 15
    assert sum(3 <= hours <= 26 for hours in worn) / len(worn) > 0.9
    accidents = sum(life.served and life.cause in ("chipped", "dropped", "lost") for life in lives)
    assert 0.04 < accidents / len(worn) < 0.25


def test_every_habit_has_a_stated_truth() -> None:
    names = {field.name for field in fields(Effects)}
    assert names == set(UNITS) == {planted.habit for planted in Effects().truth()}
    assert all(planted.log_hazard_ratio == 0 for planted in Effects.none().truth())
    assert [p.habit for p in Effects.only(cleaning=0.2).truth() if p.log_hazard_ratio] == ["cleaning"]
