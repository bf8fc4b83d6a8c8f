"""A trial compared: as assigned, once, and with few false alarms."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pandas as pd
import pytest
from lifelines import CoxPHFitter, KaplanMeierFitter
from lifelines.statistics import logrank_test
from scipy.stats import fisher_exact as fisher_exact_of_scipy
from tests.answers.trial_logs import Maker, Plan, simulated

from reedkin.answers.trials.comparison import Comparison, compare, compare_all
from reedkin.answers.trials.size import needs, to_tie, wear_share
from reedkin.answers.trials.telling import in_ten
from reedkin.answers.trials.words import (
    comparison_lines,
    finding,
    need_lines,
    past_the_draw,
    progress,
    sure,
    uneven,
    verdict,
)
from reedkin.bench.trials import assignments
from reedkin.domain.events import Strike
from reedkin.domain.figures import date_words
from reedkin.survival import StatisticsError
from reedkin.survival.proportions import fisher_exact

NULL = Plan(planned=30, reeds=60, of_a_lot=20)
LOGS = 8


def compared(maker: Maker) -> Comparison:
    return compare(maker.trial, maker.bench)


@cache
def one_log(times: float = 2.0, planned: int = 40) -> Maker:
    return simulated(3, Plan(planned=planned, times=times))


def lives_by_hand(maker: Maker) -> list[dict[str, Any]]:
    """The reeds of a log with the hours they were played and whether they were worn out, read off the events alone."""
    found: dict[str, dict[str, Any]] = {}
    for record in maker.records:
        kind, facts = getattr(record, "kind", ""), getattr(record, "facts", {})
        row = found.setdefault(getattr(record, "reed", ""), {"minutes": 0, "worn": 0})
        if kind == "tied":
            row["lot"] = facts["lot"]
        elif kind == "assigned":
            row["after"] = int(facts["arm"] == "after")
        elif kind == "played":
            row["minutes"] += int(facts["minutes"])
        elif kind == "retired":
            row["worn"] = int(facts["cause"] == "worn")
    return [row for row in found.values() if row["minutes"]]


# Against other libraries


def test_the_comparison_is_that_of_reference_libraries() -> None:
    maker = simulated(5, Plan(planned=100, reeds=84, of_a_lot=28, times=1.5))
    found = compared(maker)
    assert not found.over
    assert found.within == "instrument and lot"
    table = pd.DataFrame(lives_by_hand(maker))
    # lifelines has no Firth's penalty; with 60 retirements it moves the estimate by a few hundredths.
    other = CoxPHFitter().fit(table, "minutes", "worn", strata=["lot"], formula="after")
    assert found.effect is not None
    assert np.log(found.effect.hazard_ratio) == pytest.approx(other.params_["after"], abs=0.05)
    for arm, after in zip(found.arms, (0, 1), strict=True):
        own = table[table["after"] == after]
        curve = KaplanMeierFitter().fit(own["minutes"] / 60, own["worn"])
        assert arm.curve is not None
        assert arm.curve.median == pytest.approx(curve.median_survival_time_)
        assert arm.worn == own["worn"].sum()
        assert arm.serving + arm.worn + arm.otherwise == len(own)


def test_without_lots_the_log_rank_test_is_that_of_lifelines() -> None:
    maker = simulated(6, Plan(planned=100, of_a_lot=2))
    found = compared(maker)
    assert found.within == "instrument"
    rows = lives_by_hand(maker)
    split = [[row for row in rows if row["after"] == after] for after in (0, 1)]
    (a, worn_a), (b, worn_b) = (([row["minutes"] for row in own], [row["worn"] for row in own]) for own in split)
    other = logrank_test(a, b, worn_a, worn_b)
    assert found.test is not None
    assert found.test.chi2 == pytest.approx(other.test_statistic, rel=1e-6)
    assert found.test.p == pytest.approx(other.p_value, rel=1e-6)


# Intention to treat


def test_a_reed_counts_for_the_way_it_was_assigned_however_it_was_made() -> None:
    # Every reed is made the other way than chance said, and `after` shortens lives: so it is those assigned `before`
    # that last less long, and the comparison has to say so.
    plan = Plan(planned=40, times=6.0)
    as_assigned, contrary = (
        compared(simulated(11, plan)),
        compared(simulated(11, plan, made_as=lambda way: 1 - way)),
    )
    assert as_assigned.effect is not None
    assert contrary.effect is not None
    assert as_assigned.effect.hazard_ratio > 1 > contrary.effect.hazard_ratio


def test_a_wire_put_on_after_all_does_not_move_a_reed() -> None:
    maker = Maker()
    maker.enter("trial start wire before or after eh for 20")
    maker.enter("1-8 tie eh 60 lot 7")
    before = {one.reed.tag for one in assignments(maker.trial, maker.bench) if one.way == 0}
    for tag in before:  # all that were to be wired before the first clip are clipped first
        maker.enter(f"{tag} clip .5; wire 28")
    found = compared(maker)
    assert {maker.bench.reed(reed).tag for reed in found.arms[0].reeds} == before
    assert sorted(found.arms[0].to_make) == sorted(before)


# What became of them


def test_what_became_of_each_reed_is_counted() -> None:
    maker = Maker()
    maker.enter("trial start wire before or after eh for 20")
    maker.enter("1-8 tie eh 60 lot 7")
    for line in (
        "1 play 60; retire worn", "2 play 60; retire dropped", "3 retire never came good", "4 play 60 8",
        "5 play 60; lend to a pupil", "6 give to a pupil",
    ):  # fmt: skip
        maker.enter(line, after=24)
    found = compared(maker)
    counts = Counter[str]()
    for arm in found.arms:
        counts.update(waiting=arm.waiting, serving=arm.serving, worn=arm.worn, otherwise=arm.otherwise, never=arm.never)
        assert arm.assigned == arm.waiting + arm.serving + arm.worn + arm.otherwise + arm.never
    assert counts == {"waiting": 2, "serving": 1, "worn": 1, "otherwise": 2, "never": 2}
    assert found.effect is None
    assert found.untold == "it takes 5 worn-out reeds with it noted; so far 1"
    assert found.chance is None


def test_a_struck_tying_is_not_compared() -> None:
    maker = simulated(3, Plan(planned=40, reeds=24))
    before = compared(maker)
    gone = maker.bench.reed(before.arms[0].reeds[0])
    maker.keep([Strike(maker.uids.new(), f"reed {gone.id}", gone.id, maker.clock.now(), "e")])
    assert compared(maker).assigned == before.assigned - 1


def test_reeds_that_never_came_to_serve_are_told_where_one_way_has_more() -> None:
    maker = Maker()
    maker.enter("trial start wire before or after eh for 20")
    maker.enter("1-24 tie eh 60 lot 7")
    for one in assignments(maker.trial, maker.bench):
        maker.enter(f"{one.reed.tag} {'play 60' if one.way else 'retire never came good'}")
    found = compared(maker)
    assert found.served_p < 0.001
    before, after = (arm.assigned for arm in found.arms)
    assert uneven(found) == (
        f"But {before} of {before} made “before” and 0 of {after} made “after” never came to serve, and lives are "
        "compared only of those that did."
    )
    assert uneven(compared(one_log())) == ""


@pytest.mark.parametrize(("k", "n", "other_k", "other_n"), [(3, 4, 1, 4), (0, 9, 4, 7), (5, 17, 0, 19), (0, 0, 0, 3)])
def test_fishers_exact_test_is_that_of_scipy(k: int, n: int, other_k: int, other_n: int) -> None:
    other = fisher_exact_of_scipy([[k, n - k], [other_k, other_n - other_k]])
    assert fisher_exact(k, n, other_k, other_n) == pytest.approx(other.pvalue)


def test_fishers_tea() -> None:
    # Fisher 1935: of four cups with milk first three are found, and one of the four others is taken for one. By chance
    # that or better comes in 17 of 70 orders, as seldom in the other direction: 34 of 70.
    assert fisher_exact(3, 4, 1, 4) == pytest.approx(34 / 70)
    with pytest.raises(StatisticsError, match="not 5 of 4"):
        fisher_exact(5, 4, 1, 4)


# Over, once


@pytest.mark.parametrize(("times", "settled"), [(1.0, False), (12.0, True)])
def test_what_it_says_is_of_the_moment_when_it_was_over_and_stays(times: float, settled: bool) -> None:
    maker = one_log(times)
    found = compared(maker)
    assert found.over
    assert (found.settled, found.due) == (settled, not settled)
    assert found.worn == 40 or (settled and found.worn < 40)
    assert found.as_of is not None
    assert sum(arm.serving + arm.waiting for arm in found.arms) > 0  # as it was then; all are gone by now
    # The log as it stood that minute says the same.
    then = Maker(3)
    then.keep([record for record in maker.records if getattr(record, "at", found.as_of) <= found.as_of])
    then.clock.moment = found.as_of
    earlier = compared(then)
    assert (earlier.settled, earlier.effect, earlier.as_of) == (found.settled, found.effect, found.as_of)
    assert earlier.evidence == found.evidence
    assert [arm.to_json() for arm in earlier.arms] == [arm.to_json() for arm in found.arms]
    assert (
        f"on {date_words(found.as_of)} with {found.worn} of 40 worn out; all that is said is of that day"
        in progress(found)
    )


def test_a_day_before_it_was_over_it_said_to_go_on() -> None:
    maker = one_log(12.0)
    over = compared(maker).as_of
    assert over is not None
    before = Maker(3)
    before.keep([record for record in maker.records if getattr(record, "at", over) < over])
    before.clock.moment = over
    found = compared(before)
    assert not found.over
    assert found.differs is None
    assert found.chance is not None
    assert found.chance < 0.95
    assert verdict(found).startswith("Go on: ")
    assert "worn out" in progress(found)


def test_a_trial_that_was_ended_goes_on_until_its_last_reed_is_gone() -> None:
    maker = Maker()
    for line in ("trial start wire before or after eh for 20", "1-12 tie eh 60 lot 7", "trial end wire"):
        maker.enter(line)
    assert verdict(compared(maker)).startswith("It draws no more, but goes on until its last reed is gone")
    for tag in range(1, 13):
        maker.enter(f"{tag} play {40 + tag}; retire worn", after=24)
    found = compared(maker)
    assert found.over
    assert not found.due
    assert found.as_of == maker.clock.now()
    assert "its last reed gone on 17 Jan 2026 with 12 of 20 worn out" in progress(found)
    assert verdict(found).startswith("Not settled: make them as you like.")
    assert "End the trial" not in verdict(found)


# False alarms and power on simulated logs


@cache
def trials_of(plan: Plan, first: int, logs: int) -> tuple[Comparison, ...]:
    return tuple(compared(simulated(seed, plan)) for seed in range(first, first + logs))


def test_two_equal_ways_are_hardly_ever_told_apart_though_every_reed_is_looked_at() -> None:
    found = trials_of(NULL, 110, LOGS)
    assert all(one.over for one in found)
    # At any look ever, at most 1 / 76 of trials (Ville's inequality: the e-value must reach 76): 0.1 of 8.
    assert sum(one.settled for one in found) <= 1
    # Limits that hold at every look hold at this one in 95 of 100 trials at least.
    assert sum(one.limits is not None and one.limits[0] < 1 < one.limits[1] for one in found) >= LOGS - 1


def test_an_effect_is_found() -> None:
    found = trials_of(replace(NULL, planned=45, reeds=80, times=8.0), 500, 3)
    assert sum(one.settled for one in found) >= 2
    assert all(verdict(one).startswith("Settled: make them “before”.") for one in found if one.settled)


# How many it takes


def test_how_many_reeds_stated_effects_take() -> None:
    found = needs(worn=70, at_work=10, share=0.5)
    assert [(one.times, one.worn_out, one.more, one.to_tie) for one in found] == [
        (1.5, 481, 411, 812), (2.0, 158, 88, 166), (3.0, 63, 0, 0),
    ]  # fmt: skip
    assert [one.to_tie for one in needs(30, 10, None)] == [None] * 3
    assert to_tie(5, 40, 0.5) == 0


def test_the_share_that_wears_out_is_told_from_the_reeds_before_the_trial() -> None:
    maker = Maker()
    maker.enter("1-12 tie eh 60; play 60")
    maker.enter("21-24 tie oboe 72")
    for tag in range(1, 9):
        maker.enter(f"{tag} retire worn")
    maker.enter("trial start wire before or after eh for 20")
    maker.enter("31-34 tie eh 60")
    assert wear_share(maker.trial, maker.bench) is None  # eight are gone: too few
    for tag in range(9, 13):
        maker.enter(f"{tag} retire dropped")
    maker.enter("31 play 60; retire worn")
    assert wear_share(maker.trial, maker.bench) == pytest.approx(8 / 12)


# In words


def test_a_verdict_is_told_in_the_direction_of_the_longer_lives() -> None:
    found = compared(simulated(11, Plan(planned=60, reeds=120, times=8.0), made_as=lambda way: 1 - way))
    assert found.differs
    assert "times as fast with “before” as with “after”" in finding(found)
    assert finding(found).startswith("Half last ")
    assert sure(found).startswith("The chance that it is “after” that makes reeds last, and not luck: 9")
    assert verdict(found) == (
        "Settled: make them “after”. Chance alone chose the ways, so it is the way that does it. "
        "End the trial: trial end wire."
    )
    assert found.effect is not None
    text = "\n".join(comparison_lines(found))
    for arm in found.arms:
        assert f"\n{arm.way}: assigned {arm.assigned}, not played {arm.waiting}, in service {arm.serving}, " in text
    assert f"hazard ratio of “after” {found.effect.hazard_ratio:.3g}" in text
    assert "look" not in text.replace("holds at every look", "")


def test_not_settled_is_not_told_as_no_difference() -> None:
    found = next(one for one in trials_of(NULL, 110, LOGS) if one.differs is False and (one.chance or 0) < 0.8)
    assert verdict(found).startswith("Not settled: make them as you like. If the ways do differ, lives end at most ")


def test_chances_as_people_say_them() -> None:
    assert [in_ten(chance) for chance in (0.01, 0.1, 0.52, 0.849, 0.949, 0.95, 0.978, 0.9999)] == [
        "less than 1 in 20", "1 in 10", "5 in 10", "8 in 10", "9 in 10", "95 in 100", "97 in 100", "99 in 100",
    ]  # fmt: skip


def test_what_went_past_the_draw_is_told() -> None:
    maker = Maker()
    for line in ("trial start length 72 or 74 ob for 40", "1 tie oboe 72 @2025-12-01", "2-5 tie oboe 72"):
        maker.enter(line)
    found = compared(maker)
    stray = found.kept.not_followed
    assert 0 < len(stray) < 4
    assert past_the_draw(found).startswith(f"Past the draw: 1 reed tied without being drawn (1); {len(stray)} not made")
    told = found.to_json()
    assert (told["skipped"], told["taken_back"], told["not_followed"]) == (1, 0, len(stray))
    assert past_the_draw(compared(one_log())) == ""


@pytest.mark.parametrize(
    ("lines", "says"),
    [
        ((), "0 of at most 40 reeds worn out, 0 more at work"),
        (("1-4 tie eh 60",), "0 of at most 40 reeds worn out, 4 more at work"),
        (("1-4 tie eh 60", "trial end wire"), "drawing no more since 5 Jan 2026: 0 of at most 40 reeds worn out"),
        (("1-4 tie eh 60", "trial end wire"), ": it cannot get there any more"),
    ],
)  # fmt: skip
def test_how_far_a_trial_is(lines: tuple[str, ...], says: str) -> None:
    maker = Maker()
    for line in ("trial start wire before or after eh for 40", *lines):
        maker.enter(line)
    found = compared(maker)
    assert says in progress(found)
    assert found.trial.running or not any("still to tie" in line for line in need_lines(found))


def test_all_trials_of_a_log_are_compared_the_latest_first() -> None:
    maker = Maker()
    for line in ("trial start wire before or after eh for 40", "trial start scrape dry or wet", "1-4 tie eh 60"):
        maker.enter(line)
    seen: list[float] = []
    found = compare_all(maker.bench, seen.append)
    assert [(one.trial.name, one.assigned) for one in found] == [("scrape", 4), ("wire", 4)]
    assert seen == [0.0, 0.5]
    assert compare_all(Maker().bench) == []
