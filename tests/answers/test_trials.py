"""A trial compared: as assigned, once, and with few false alarms."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from functools import cache
from math import sqrt
from typing import Any

import numpy as np
import pandas as pd
import pytest
from lifelines import CoxPHFitter, KaplanMeierFitter
from lifelines.statistics import logrank_test
from scipy.stats import binomtest, kstest, norm
from scipy.stats import fisher_exact as fisher_exact_of_scipy
from tests.answers.trial_logs import Maker, Plan, simulated

from reedkin.answers.trials.comparison import Comparison, compare, compare_all
from reedkin.answers.trials.size import FALSE_ALARMS, false_alarm, needs, to_tie, wear_share
from reedkin.answers.trials.words import comparison_lines, finding, look_warning, ordinal, progress, uneven, verdict
from reedkin.bench.trials import assignments, look
from reedkin.domain.events import Strike
from reedkin.survival import StatisticsError
from reedkin.survival.proportions import fisher_exact

NULL = Plan(planned=30, reeds=60, of_a_lot=20)
LOGS = 30


def compared(maker: Maker) -> Comparison:
    return compare(maker.trial, assignments(maker.trial, maker.bench), maker.clock.now())


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
    maker = simulated(5, Plan(planned=70, reeds=84, of_a_lot=28, times=2.0))
    found = compared(maker)
    assert not found.due
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
    maker = simulated(6, Plan(planned=70, of_a_lot=2))
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
    plan = Plan(planned=40, times=4.0)
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
    assert found.untold == "it is known of 1 retired reeds, and it takes 5 to say anything"
    assert not found.is_look


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


# Due, once


def test_the_verdict_is_of_the_moment_when_it_was_due_and_stays() -> None:
    maker = one_log(planned=40)
    found = compared(maker)
    assert found.due
    assert found.worn == 40
    assert found.as_of is not None
    assert sum(arm.serving + arm.waiting for arm in found.arms) > 0  # as it was then; all are gone by now
    # The log as it stood that minute says the same.
    then = Maker(3)
    then.keep([record for record in maker.records if getattr(record, "at", found.as_of) <= found.as_of])
    then.clock.moment = found.as_of
    earlier = compared(then)
    assert earlier.due
    assert (earlier.effect, earlier.as_of) == (found.effect, found.as_of)
    assert [arm.to_json() for arm in earlier.arms] == [arm.to_json() for arm in found.arms]


def test_before_it_is_due_there_is_no_verdict() -> None:
    found = compared(simulated(3, Plan(planned=80, times=6.0)))
    assert not found.due
    assert found.effect is not None
    assert found.effect.p < 0.001
    assert found.differs is None
    assert found.is_look
    assert verdict(found) == "No verdict before 80 of its reeds are worn out."


def test_each_look_is_counted_and_warned_about() -> None:
    maker = simulated(3, Plan(planned=80))
    assert compared(maker).looks == 1
    for worn in (20, 35, 50):
        maker.keep([look(maker.trial, worn, maker.uids, maker.clock.now())])
    found = compared(maker)
    assert found.looks == 4
    assert found.alarm == FALSE_ALARMS[5]
    assert look_warning(found) == (
        "Only a look, the 4th: no verdict before 80 are worn out. Who stops at the first look that seems to tell finds "
        "a difference in 14 of 100 trials of two equal ways, not in 5."
    )
    maker.keep([look(maker.trial, found.worn, maker.uids, maker.clock.now())])
    assert compared(maker).looks == 4  # the same look once more


def test_ordinals() -> None:
    assert [ordinal(n) for n in (1, 2, 3, 4, 11, 12, 13, 21, 22, 103, 111)] == [
        "1st", "2nd", "3rd", "4th", "11th", "12th", "13th", "21st", "22nd", "103rd", "111th",
    ]  # fmt: skip


# Looking too often


def crossing(looks: int, points: int = 60) -> float:
    """The chance that a sum of standard normal steps is beyond 1.96 of its standard deviations after one at least of so
    many steps: by numerical integration step by step, as Armitage, McPherson & Rowe 1969 did."""
    nodes, weights = np.polynomial.legendre.leggauss(points)
    at, mass = np.zeros(1), np.ones(1)
    for step in range(1, looks + 1):
        reach = float(norm.ppf(0.975)) * sqrt(step)
        following = nodes * reach
        mass = (norm.pdf(following[:, None] - at[None, :]) @ mass) * weights * reach
        at = following
    return 1.0 - float(mass.sum())


@pytest.mark.parametrize("looks", [1, 2, 3, 4, 5, 10, 20])
def test_the_chance_of_a_false_alarm_by_number_of_looks(looks: int) -> None:
    # Armitage, McPherson & Rowe 1969, table 2: 5 looks 0.142. The table of the program has three digits.
    assert FALSE_ALARMS[looks] == pytest.approx(crossing(looks), abs=0.0006)


def test_the_same_by_simulation() -> None:
    steps = np.random.default_rng(1969).standard_normal((40_000, 5))
    z = np.cumsum(steps, axis=1) / np.sqrt(np.arange(1, 6))
    assert np.mean((np.abs(z) > 1.959964).any(axis=1)) == pytest.approx(0.142, abs=0.005)


def test_between_two_numbers_of_looks_the_larger_chance_is_told() -> None:
    assert [false_alarm(looks) for looks in (1, 6, 11, 50, 500)] == [0.05, 0.193, 0.248, 0.32, 0.32]


# False alarms and power on simulated logs


@cache
def trials_of(plan: Plan, first: int, logs: int) -> tuple[Comparison, ...]:
    return tuple(compared(simulated(seed, plan)) for seed in range(first, first + logs))


def test_trials_of_two_equal_ways_seldom_seem_to_differ() -> None:
    found = trials_of(NULL, 100, LOGS)
    assert all(one.due for one in found)
    alarms = sum(bool(one.differs) for one in found)
    # 1.5 of 30 are expected. More than 5 would be found once in 300 times if the chance were 5%: the seeds are fixed.
    assert alarms <= 5
    assert binomtest(alarms, LOGS).proportion_ci(0.95).high >= 0.05
    assert kstest([one.effect.p for one in found if one.effect is not None], "uniform").pvalue > 0.01
    covered = sum(one.effect is not None and one.effect.lo < 1 < one.effect.hi for one in found)
    assert covered == LOGS - alarms  # limits and verdict never contradict each other


def test_an_effect_is_found() -> None:
    found = trials_of(replace(NULL, times=4.0), 500, 10)
    assert sum(bool(one.differs) for one in found) >= 8
    assert all("with “before” reeds last longer" in verdict(one) for one in found if one.differs)


# How many it takes


def test_how_many_reeds_stated_effects_take() -> None:
    # Schoenfeld 1983: d = (1.959964 + 0.841621)^2 / (1/4 log(ratio)^2): 190.96, 65.35, 26.01.
    found = needs(worn=30, at_work=10, share=0.5)
    assert [(one.times, one.worn_out, one.more, one.to_tie) for one in found] == [
        (1.5, 191, 161, 312), (2.0, 66, 36, 62), (3.0, 27, 0, 0),
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


def test_a_verdict_is_told_in_the_direction_of_the_shorter_lives() -> None:
    found = compared(simulated(11, Plan(planned=40, times=4.0), made_as=lambda way: 1 - way))
    assert found.differs
    assert finding(found).startswith("With “before” lives end ")
    assert verdict(found) == (
        "Verdict: with “after” reeds last longer. Chance alone chose the ways, so it is the way that does it."
    )
    assert found.effect is not None
    text = "\n".join(comparison_lines(found))
    assert f"hazard ratio of “after” {found.effect.hazard_ratio:.3g}" in text
    assert "Only a look" not in text


def test_no_difference_is_not_told_as_none() -> None:
    found = next(one for one in trials_of(NULL, 100, LOGS) if one.differs is False)
    assert verdict(found).startswith("Verdict: no difference shown. One may still be there: lives may end up to ")


@pytest.mark.parametrize(
    ("lines", "says"),
    [
        ((), "0 of the planned 40 reeds worn out, 0 more at work"),
        (("1-4 tie eh 60",), "0 of the planned 40 reeds worn out, 4 more at work"),
        (("trial end wire",), "assigning no more since 05 Jan 2026: 0 of the planned 40 reeds worn out"),
        (("trial end wire",), ": it cannot get there any more"),
    ],
)  # fmt: skip
def test_how_far_a_trial_is(lines: tuple[str, ...], says: str) -> None:
    maker = Maker()
    for line in ("trial start wire before or after eh for 40", *lines):
        maker.enter(line)
    assert says in progress(compared(maker))


def test_a_trial_that_is_due_may_be_ended() -> None:
    said = progress(compared(one_log()))
    assert said.endswith("reeds were worn out on 31 Mar 2026; it may be ended")


def test_all_trials_of_a_log_are_compared_the_latest_first() -> None:
    maker = Maker()
    for line in ("trial start wire before or after eh for 40", "trial start scrape dry or wet", "1-4 tie eh 60"):
        maker.enter(line)
    seen: list[float] = []
    found = compare_all(maker.bench, seen.append)
    assert [(one.trial.name, one.assigned) for one in found] == [("scrape", 4), ("wire", 4)]
    assert seen == [0.0, 0.5]
    assert compare_all(Maker().bench) == []
