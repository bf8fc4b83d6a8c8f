"""Lifespans: curves by group, what ended reeds, how they played as they aged, what a reed has before it."""

from __future__ import annotations

import json

import lifelines
import numpy as np
import pandas as pd
import pytest
from demo_logs.simulate import simulate
from lifelines.statistics import multivariate_logrank_test
from tests.answers.logs import Log, bench

from reedkin.answers.lives.groups import grouped
from reedkin.answers.lives.lifespans import lifespans, playability
from reedkin.study.habits import HABITS, habit_named
from reedkin.study.lives import Clock
from reedkin.study.study import Study


def worn(*lives: tuple[int, str], **facts: object) -> list[Log]:
    """Reeds played so many minutes in all and retired for a cause."""
    return [Log(f"{facts}{n}", **facts).play(minutes).retire(cause) for n, (minutes, cause) in enumerate(lives)]


class TestReport:
    def test_has_the_keys_that_were_agreed(self, study: Study):
        report = json.loads(json.dumps(lifespans(study).to_json()))
        assert set(report) == {"clock", "groups", "logrank", "causes"}
        assert set(report["logrank"]) == {"chi2", "df", "p"}
        for group in report["groups"]:
            assert set(group) == {"name", "n", "retired", "median", "median_ci", "curve"}
            assert len(group["median_ci"]) == 2
            for point in group["curve"]:
                assert set(point) == {"t", "survival", "lo", "hi", "at_risk"}

    @pytest.mark.parametrize("clock", ["hours", "days"])
    def test_curves_agree_with_lifelines(self, study: Study, clock: Clock):
        rows = study.rows(clock, whole=True)
        for group in lifespans(study, clock=clock).groups:
            mine = np.array([study.lives[place].instrument == group.name for place in rows.life])
            fitter = lifelines.KaplanMeierFitter().fit(rows.stop[mine], rows.event[mine], entry=rows.start[mine])
            expected = fitter.survival_function_at_times(group.curve.time).to_numpy()
            np.testing.assert_allclose(group.curve.survival, expected, atol=1e-9)
            assert group.retired == rows.event[mine].sum()

    def test_by_instrument_the_test_is_that_of_lifelines(self):
        scenario = simulate(4, 100, joined=0)
        study = Study.of_bench(bench(scenario.rows, scenario.sessions))
        rows = study.rows("hours", whole=True)
        names = [study.lives[place].instrument for place in rows.life]
        expected = multivariate_logrank_test(rows.stop, names, rows.event)
        found = lifespans(study).grouping.test
        assert found is not None
        plain = (found.observed - found.expected)[0] ** 2 / found.variance[0, 0]
        assert plain == pytest.approx(expected.test_statistic)
        assert (found.chi2 < plain, found.p > expected.p_value) == (True, True)  # less what evenings have in common

    @pytest.mark.filterwarnings("ignore:Tied event times")
    def test_causes_agree_with_lifelines(self, study: Study):
        """To three digits: lifelines moves tied times apart by chance."""
        scenario = simulate(4, 100, joined=0)
        study = Study.of_bench(bench(scenario.rows, scenario.sessions))
        rows = study.rows("hours", whole=True)
        found = lifespans(study)
        causes = sorted(set(rows.cause.tolist()) - {""})
        codes = np.array([causes.index(one) + 1 if one else 0 for one in rows.cause.tolist()])
        for code, cause in enumerate(causes, 1):
            fitter = lifelines.AalenJohansenFitter(seed=1, calculate_variance=False)
            fitter.fit(pd.Series(rows.stop), pd.Series(codes), event_of_interest=code)
            share = float(fitter.cumulative_density_.iloc[-1, 0])
            assert found.to_json()["causes"][cause]["share"] == pytest.approx(share, abs=2e-3)
            assert found.ended[cause] == int((codes == code).sum())

    def test_accidents_are_shown_beside_and_end_no_life(self):
        logs = worn((60, "worn"), (120, "dropped"), (180, "worn"), (240, "chipped"), (300, "worn"))
        found = lifespans(Study.of([log.reed() for log in logs]))
        assert found.groups[0].retired == 3
        assert found.groups[0].curve.survival.tolist() == pytest.approx([0.8, 0.8 * 2 / 3, 0])
        assert found.ended == {"worn": 3, "chipped": 1, "dropped": 1}
        causes = found.to_json()["causes"]
        assert causes["worn"]["curve"] == [
            {"t": 1.0, "share": pytest.approx(0.2)}, {"t": 3.0, "share": pytest.approx(0.4)},
            {"t": 5.0, "share": pytest.approx(0.6)},
        ]  # fmt: skip

    def test_an_empty_log(self):
        assert lifespans(Study.of([])).to_json() == {"clock": "hours", "groups": [], "logrank": None, "causes": {}}

    def test_nothing_retired_yet(self):
        found = lifespans(Study.of([Log().play(60).reed()])).to_json()
        assert found["groups"][0]["median"] is None
        assert found["groups"][0]["median_ci"] == [None, None]
        assert found["groups"][0]["curve"] == []
        assert found["causes"] == {}

    def test_one_that_joined_older_than_any_does_not_spoil_the_curve(self):
        logs = worn((60, "worn"), (120, "worn"), (180, "worn"), (240, "worn"))
        old = Log("old", kind="joined", hours_before=30).play(60)
        found = lifespans(Study.of([log.reed() for log in (*logs, old)])).groups[0]
        assert found.curve.time.tolist() == [1, 2, 3, 4]
        assert (found.n, found.curve.median) == (5, 2)


class TestGroups:
    @pytest.mark.parametrize("clock", ["hours", "days"])
    @pytest.mark.parametrize("habit", HABITS, ids=lambda one: one.name)
    def test_by_every_habit(self, study: Study, habit: object, clock: Clock):
        found = lifespans(study, habit, clock)  # type: ignore[arg-type]
        assert found.groups
        json.dumps(found.to_json(), allow_nan=False)

    def test_a_number_is_split_within_each_instrument(self, study: Study):
        found = grouped(study, habit_named("tied_mm"), "hours")
        assert found.split == pytest.approx({"english horn": 60.15, "oboe": 72.05})
        shorter, longer = found.groups
        assert (shorter.name, longer.name) == ("tied shorter", "tied longer")
        for life in study.lives:
            if life.state.tied_mm is not None:
                group = longer if life.state.tied_mm > found.split[life.instrument] else shorter
                assert life.reed.id in group.reeds
        assert found.unknown == sum(life.state.tied_mm is None for life in study.lives)

    def test_of_one_instrument_the_halves_say_where_they_part(self):
        made = [Log(str(n), overall_mm=70 + n).play(60 + n).retire().reed() for n in range(5)]
        found = grouped(Study.of(made), habit_named("tied_mm"), "hours")
        assert [(group.name, group.n) for group in found.groups] == [("72 mm or less", 3), ("more than 72 mm", 2)]

    def test_a_number_of_which_most_are_the_highest(self):
        made = [Log(str(n), overall_mm=72 - (n < 2)).play(60 + n).retire().reed() for n in range(9)]
        found = grouped(Study.of(made), habit_named("tied_mm"), "hours")
        assert [(group.name, group.n) for group in found.groups] == [("71 mm or less", 2), ("more than 71 mm", 7)]

    def test_lots_come_in_the_order_that_people_count(self):
        made = [Log(str(n), lot=lot).play(60).retire().reed() for n, lot in enumerate(("10", "9", "hill", "9"))]
        assert [group.name for group in grouped(Study.of(made), habit_named("lot"), "hours").groups] == [
            "9", "10", "hill",
        ]  # fmt: skip

    def test_one_group_has_nothing_to_be_compared_with(self):
        found = grouped(Study.of([Log(lot="9").play(60).retire().reed()]), habit_named("lot"), "hours")
        assert (found.test, found.untested) == (None, "There is only one group.")

    def test_a_reed_goes_over_when_its_habit_in_use_changes(self):
        """By hand: retired after 1, 2 and 3 hours; from one hour on the second and third had been cleaned long ago."""
        log = Log("a").play(60).add("cleaned", 5).play(480).play(60).play(60).retire()
        other = Log("b").play(660).retire()
        found = grouped(Study.of([log.reed(), other.reed()]), habit_named("cleanings"), "hours")
        assert [(group.n, group.retired) for group in found.groups] == [(2, 1), (1, 1)]
        cleaned = found.groups[1]
        assert cleaned.curve.start == 9


class TestPlayability:
    def test_by_hand(self):
        one = Log("a").play(60, score=9).play(60, score=8).play(60, score=6).add("scored", score=4)
        other = Log("b").play(120, score=5).play(10)
        found = playability(list(Study.of([one.reed(), other.reed()]).lives))
        # The first bin: the mean of (9 + 8) / 2 and 5; the second: (6 + 4) / 2.
        assert [(b.start, b.end, b.mean, b.scores, b.reeds) for b in found] == [
            (0, 2, 6.75, 3, 2), (2, 4, 5, 2, 1),
        ]  # fmt: skip

    def test_on_the_clock_of_days(self):
        log = Log("a").play(60, score=9).play(60, after=10 * 1440, score=5)
        joined = Log("b", kind="joined", hours_before=3).play(60, score=1)
        found = playability(list(Study.of([log.reed(), joined.reed()]).lives), "days")
        assert [(b.start, b.mean, b.scores) for b in found] == [(0, 9, 1), (7, 5, 1)]
