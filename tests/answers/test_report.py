"""The habits report and one habit closely, against reference libraries and by their own rules."""

from __future__ import annotations

import json
import math
import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import lifelines
import numpy as np
import pandas as pd
import pytest
from demo_logs.maker.effects import Effects
from demo_logs.simulate import simulate
from scipy.stats import norm, t
from statsmodels.stats.multitest import multipletests
from tests.answers.logs import BEGUN, Log, bench

from reedkin.answers.habits.effects import Effect, Untold, effect_of, one_of, values_of
from reedkin.answers.habits.hours import _law, _ratios, hours_of
from reedkin.answers.habits.one_habit import one_habit
from reedkin.answers.habits.report import (
    Finding,
    HabitsReport,
    Worth,
    _most_worth,
    belief_of,
    habits_report,
    sentence,
    times,
)
from reedkin.answers.habits.words import (
    NOT_CAUSE,
    by_lots,
    by_times,
    by_twin,
    chance_words,
    habits_lines,
    in_hours,
    most_worth,
    to_do,
    trial_line,
    tried,
)
from reedkin.bench.bench import Bench
from reedkin.bench.settings import SETTINGS_SUBJECT
from reedkin.domain.clock import FixedClock
from reedkin.domain.events import Statement
from reedkin.grammar.reading import read
from reedkin.study.habits import HABITS, habit_named
from reedkin.study.lives import Clock
from reedkin.study.study import Study
from reedkin.study.ticks import Cancelled
from reedkin.survival import Belief, cox, student_quantile
from reedkin.survival.distributions import Z


@pytest.fixture(scope="module")
def report(study: Study) -> HabitsReport:
    """What is said of them."""
    return habits_report(study)


ENDS = (("lo", -1), ("hi", 1))


def reeds(number: int, seed: int = 1, **facts: Any) -> list[Log]:
    """Reeds that were worn out after some hours by chance, to which `facts` add."""
    rng = np.random.default_rng(seed)
    logs = []
    for place in range(number):
        log = Log(str(place), **{name: value(place) for name, value in facts.items()}).add("scraped")
        logs.append(log.play(int(rng.integers(200, 900))).retire())
    return logs


def evenings(together: bool) -> Effect:
    """The effect of the length on 60 lives that go by the evening, as that does; begun on twelve evenings, or on as
    many as there are reeds."""
    rng = np.random.default_rng(3)
    lengths, lasting = rng.normal(60, 1, 12).round(1), np.exp(rng.normal(6, 0.5, 12))
    logs = []
    for place in range(60):
        evening = place % 12
        begun = BEGUN + timedelta(days=evening if together else place)
        log = Log(str(place), begun=begun, overall_mm=float(lengths[evening])).add("scraped")
        logs.append(log.play(int(lasting[evening] * rng.weibull(3)) + 1).retire().reed())
    return effect_of(Study.of(logs), habit_named("tied_mm"), "hours")


def test_reeds_of_one_evening_tell_less_than_so_many():
    """The ratio is the same; how sure it is follows what they share (tests.survival.test_frailty)."""
    each, alike = evenings(together=False), evenings(together=True)
    assert alike.hazard_ratio == pytest.approx(each.hazard_ratio)
    assert (alike.retired, alike.sd) == (each.retired, pytest.approx(each.sd))
    wider = math.log(alike.hi / alike.hazard_ratio) / math.log(each.hi / each.hazard_ratio)
    assert wider > 1.3
    assert math.log(alike.hazard_ratio / alike.lo) == pytest.approx(wider * math.log(each.hazard_ratio / each.lo))
    assert each.information / alike.information == pytest.approx(wider**2)
    assert (each.df, 2 < alike.df < 12) == (math.inf, True)
    # The limits, the p-value and the normal value by which it is called clear are of one distribution.
    apart = wider * norm.ppf(0.975) / t.ppf(0.975, alike.df)
    assert alike.p == pytest.approx(2 * float(t.sf(abs(each.z) / apart, alike.df)))
    assert alike.p == pytest.approx(2 * float(norm.sf(abs(alike.z))))
    word = one_of(alike, "some", 3)
    further = math.log(word.hi / word.hazard_ratio) / math.log(alike.hi / alike.hazard_ratio)
    assert further == pytest.approx(t.ppf(1 - 0.025 / 3, alike.df) / t.ppf(0.975, alike.df))
    assert alike.evidence().chance < each.evidence().chance


class TestReport:
    def test_has_the_keys_that_were_agreed(self, report: HabitsReport):
        told = json.loads(json.dumps(report.to_json()))
        assert set(told) == {"clock", "reeds", "retired", "belief", "habits", "forecasts"}
        assert told["belief"] == {"one_in": 5, "size": 0.35}
        assert [one["habit"] for one in told["forecasts"]] == ["first_score"]
        assert "first_score" not in [one["habit"] for one in told["habits"]]
        assert (told["clock"], told["reeds"], told["retired"]) == ("hours", 116, 95)
        for habit in told["habits"]:
            assert set(habit) == {
                "habit", "label", "per", "kind", "n", "retired", "hazard_ratio", "ci", "p", "q", "evidence",
                "direction", "more_retirements_needed", "chance", "hours", "within_lots",
            }  # fmt: skip
            lo, hi = habit["ci"]
            assert lo <= habit["hazard_ratio"] <= (hi or math.inf)
            assert habit["kind"] in ("making", "use")
            assert habit["evidence"] in ("clear", "leaning", "unclear")
            assert habit["direction"] == ("shorter" if habit["hazard_ratio"] > 1 else "longer")
            assert (habit["more_retirements_needed"] is None) == (habit["evidence"] == "clear")
            assert 0 <= habit["chance"] <= 1
            assert set(habit["hours"]) == {"from", "to", "longer", "range"}
            assert (habit["hours"]["longer"] < 0) == (habit["direction"] == "shorter")
            low, high = habit["hours"]["range"]
            assert low <= habit["hours"]["longer"] <= high
            assert (habit["within_lots"] is not None) == (habit["kind"] == "making" and habit["habit"] != "lot")

    def test_every_habit_is_tried_or_said_why_not(self, report: HabitsReport):
        tried = [finding.habit for finding in report.findings]
        assert sorted(one.name for one in (*tried, *(one.habit for one in report.untried))) == sorted(
            habit.name for habit in HABITS
        )
        assert all(one.why for one in report.untried)

    def test_is_ordered_by_evidence(self, report: HabitsReport):
        order = [("clear", "leaning", "unclear").index(one.evidence) for one in report.findings]
        assert order == sorted(order)

    def test_q_is_that_of_statsmodels(self, report: HabitsReport):
        findings = report.findings
        expected = multipletests([one.effect.p for one in findings], method="fdr_bh")[1]
        assert [one.q for one in findings] == pytest.approx(expected.tolist())

    def test_finds_what_was_planted(self, report: HabitsReport):
        """Planted: e^0.4 for each millimetre tied, e^0.7 for wired before it crowed."""
        found = {one.habit.name: one.effect for one in report.findings}
        for name, truth in (("tied_mm", 0.4), ("wired_before_crow", 0.7)):
            assert found[name].lo < math.exp(truth) < found[name].hi
            assert found[name].p < 0.05

    def test_evidence(self, report: HabitsReport):
        for one in report.findings:
            assert (one.evidence == "clear") == (one.chance >= 0.95)
            assert (one.evidence == "unclear") == (one.chance < 0.80)

    def test_early_days(self):
        report = habits_report(Study.of([log.reed() for log in reeds(4)]))
        assert report.findings == ()
        assert report.to_json()["habits"] == []
        assert report.early_days is not None
        assert report.early_days.startswith("Early days: 4 reeds worn out so far.")
        needed = re.search(r"takes about (\d+) to show", report.early_days)
        assert needed is not None
        # More than the 66 of a test that may be looked at once (Schoenfeld 1983: two groups alike in size, power 80%).
        assert 66 < int(needed[1]) < 200

    def test_an_empty_log(self):
        report = habits_report(Study.of([]))
        assert (report.reeds, report.retired, report.findings) == (0, 0, ())
        assert report.early_days is not None

    def test_tells_how_far_it_is_and_can_be_stopped(self, study: Study):
        shares: list[float] = []
        few = HABITS[:8]
        habits_report(study, habits=few, tick=shares.append)
        assert shares == sorted(shares)
        assert len(shares) > len(few)

        def stop(share: float) -> None:
            if share > 0.3:
                raise Cancelled

        with pytest.raises(Cancelled):
            habits_report(study, habits=few, tick=stop)
        with pytest.raises(Cancelled):
            Study.of_bench(bench(simulate(3, 20).rows), tick=stop)


class TestLots:
    """Lot 'b' wears sooner; the gouge itself does nothing."""

    @staticmethod
    def gouged(by_lot: float, within: float, noted: bool = True) -> Study:
        rng = np.random.default_rng(2)
        made = []
        for place in range(160):
            poor = place % 2
            gouge = round(float(0.58 + by_lot * poor + within * rng.normal()), 3)
            log = Log(str(place), gouge_mm=gouge, **({"lot": "ab"[poor]} if noted else {})).add("scraped")
            made.append(log.play(max(1, int(60 * (12 - 6 * poor) * rng.weibull(2.5)))).retire().reed())
        return Study.of(made)

    @staticmethod
    def gouge(study: Study) -> Finding:
        return next(one for one in habits_report(study).findings if one.habit.name == "gouge_mm")

    def test_what_goes_away_within_lots_is_not_clear(self):
        found = self.gouge(self.gouged(0.03, 0.01))
        assert found.effect.evidence().chance > 0.95
        assert found.evidence == "unclear"
        assert found.goes_away
        assert "mind the lot first" in by_lots(found)

    def test_without_lots_noted_it_stands_alone(self):
        found = self.gouge(self.gouged(0.03, 0.01, noted=False))
        assert (found.evidence, found.within_lots, by_lots(found)) == ("clear", None, "")

    def test_one_gouge_a_lot_cannot_be_told_from_the_lot(self):
        found = self.gouge(self.gouged(0.03, 0.0))
        assert found.by_lot
        assert found.chance == pytest.approx(0.2 / 2)  # what was believed before, either way
        assert "Vary it within a lot" in by_lots(found)


class TestTimes:
    """A hundred reeds over 200 days. A step of gouge is a standard deviation of hers."""

    @staticmethod
    def gouge(gouged: float, shortens: float, step: float = 0.0) -> Finding:
        """`gouged`: how much thicker the last are than the first; `shortens`: by how much of their life lives shorten
        meanwhile; `step`: the log of how much sooner lives end for each standard deviation."""
        rng = np.random.default_rng(7)
        made = []
        for place in range(100):
            chance, gone = rng.normal(), place / 100
            gouge = round(0.6 + gouged * gone + 0.01 * chance, 3)
            log = Log(str(place), begun=BEGUN + timedelta(days=2 * place), gouge_mm=gouge).add("scraped")
            hours = 12 * rng.weibull(2.5) * (1 - shortens * gone) * math.exp(-step * chance / 2.5)
            made.append(log.play(max(round(60 * hours), 1)).retire().reed())
        return habits_report(Study.of(made), habits=(habit_named("gouge_mm"),)).findings[0]

    def test_what_changed_while_lives_did_is_not_clear(self):
        found = self.gouge(0.05, 0.6)
        assert found.effect.evidence().chance > 0.99
        assert found.evidence == "unclear"
        assert found.goes_with_time
        assert "vary it now to tell" in by_times(found)

    def test_what_is_the_time_itself_is_not_told_apart(self):
        made = [
            Log(str(place), begun=BEGUN + timedelta(days=2 * place), gouge_mm=0.5 + place / 1000).add("scraped")
            for place in range(60)
        ]
        lives = [log.play(60 * (12 - place // 8) + place % 7).retire().reed() for place, log in enumerate(made)]
        untried = {one.habit.name: one.why for one in habits_report(Study.of(lives)).untried}
        assert untried["gouge_mm"] == "it changed only as time went on: vary it now to tell"

    def test_what_ends_lives_sooner_is_clear_though_lives_change(self):
        found = self.gouge(0.0, 0.6, 0.7)
        assert (found.evidence, found.direction, found.goes_with_time) == ("clear", "shorter", False)
        assert by_times(found) == ""


@pytest.mark.parametrize("in_step", [True, False])
def test_of_two_habits_in_step_it_is_said_that_it_may_be_either(in_step: bool):
    """Gouge ends lives sooner, and sink time does not."""
    rng = np.random.default_rng(5)
    made = []
    for place in range(80):
        thicker, slower = rng.normal(size=2)
        sink = round(10 + 2 * (thicker + 0.3 * slower if in_step else slower), 1)
        log = Log(str(place), gouge_mm=round(0.6 + 0.01 * thicker, 3), sink_min=sink).add("scraped")
        made.append(log.play(max(round(720 * rng.weibull(2.5) * math.exp(-0.35 * thicker)), 1)).retire().reed())
    asked = tuple(map(habit_named, ("gouge_mm", "sink_min", "lot")))
    found = {one.habit.name: one for one in habits_report(Study.of(made), habits=asked).findings}
    assert found["gouge_mm"].evidence == "clear"
    assert found["gouge_mm"].twin == (habit_named("sink_min") if in_step else None)
    assert by_twin(found["gouge_mm"]).startswith("Or it is sink time" if in_step else "")
    assert found["sink_min"].twin == (habit_named("gouge_mm") if in_step else None)


class TestEffects:
    @pytest.mark.parametrize("clock", ["hours", "days"])
    def test_a_making_habit_agrees_with_lifelines(self, study: Study, clock: Clock):
        """Without the penalty, which lifelines has not."""
        rows, habit = study.rows(clock, whole=True), habit_named("tied_mm")
        frame = pd.DataFrame(
            {"x": study.numbers(habit, rows), "start": rows.start, "stop": rows.stop, "event": rows.event,
             "stratum": rows.stratum}
        ).dropna()  # fmt: skip
        frame = frame[["x", "stop", "event", "stratum", "start"]]
        fitted = lifelines.CoxPHFitter().fit(frame, "stop", "event", strata="stratum", entry_col="start")
        ours = cox(frame.stop, frame.event, frame.x, frame.start, frame.stratum, firth=False)
        assert ours.coef[0] == pytest.approx(fitted.params_["x"], abs=1e-5)
        # 90 retirements leave little for the penalty to do.
        assert math.log(effect_of(study, habit, clock).hazard_ratio) == pytest.approx(ours.coef[0], abs=0.02)

    def test_a_habit_in_use_agrees_with_lifelines(self, study: Study):
        rows, habit = study.rows("hours"), habit_named("rest_under_day")
        frame = pd.DataFrame(
            {"x": study.numbers(habit, rows), "start": rows.start, "stop": rows.stop,
             "event": rows.event, "stratum": rows.stratum}
        ).dropna()  # fmt: skip
        fitted = lifelines.CoxPHFitter().fit(frame, "stop", "event", strata="stratum", entry_col="start")
        found = effect_of(study, habit, "hours")
        assert math.log(found.hazard_ratio) == pytest.approx(fitted.params_["x"], abs=0.02)

    def test_more_retirements(self):
        """Reckoned anew: with so many, the estimate that four cases of five pass is told, and with fewer not."""
        found = Effect(2.0, 0.5, 8.0, 0.3, 30, 20, spread=0.25, z=1.0, sd=0.5)
        more = found.more_needed()
        assert more is not None

        def told(retired: int) -> float:
            # Each retirement tells 0.25 of a unit of the habit; 0.8416 is the normal's upper fifth.
            z = math.log(2) * math.sqrt(0.25 * retired) - 0.8416
            return Effect(2.0, 0.5, 8.0, 0.3, 30, retired, spread=0.25, z=z, sd=0.5).evidence().chance

        assert told(20 + more) >= 0.95
        assert told(20 + more - 2) < 0.95
        assert Effect(2.0, 0.5, 8.0, 0.3, 30, 190, spread=0.25, z=4.0, sd=0.5).more_needed() == 1
        assert Effect(1.0, 0.5, 2.0, 1.0, 30, 20, spread=0.25, z=0.0, sd=0.5).more_needed() is None
        assert found.more_needed(Belief(one_in=50)) > more
        # Of few evenings it takes more; but more reeds are more evenings, of which the lost degrees are found again.
        by_few = replace(found, df=1.0, spread=found.spread / (student_quantile(0.975, 1.0) / Z) ** 2)
        assert more < by_few.more_needed() < 5 * (more + found.retired)

    def test_all_reeds_alike(self):
        study = Study.of([log.reed() for log in reeds(20, overall_mm=lambda place: 72)])
        with pytest.raises(Untold, match="differed"):
            effect_of(study, habit_named("tied_mm"), "hours")

    def test_a_habit_that_differs_only_between_instruments(self):
        names = ("oboe", "english horn")
        logs = reeds(30, instrument=lambda place: names[place % 2], overall_mm=lambda place: (72, 60)[place % 2])
        with pytest.raises(Untold, match="differed"):
            effect_of(Study.of([log.reed() for log in logs]), habit_named("tied_mm"), "hours")

    def test_no_reed_with_the_habit_was_retired(self):
        """Complete separation: the estimate and one limit stay finite."""
        logs = reeds(24)
        for place, log in enumerate(logs):
            if place % 2:
                log.rows[1:1] = [{**log.rows[1], "kind": "wired"}]
                log.rows.pop()
        found = effect_of(Study.of([log.reed() for log in logs]), habit_named("wired"), "hours")
        assert 0 < found.hazard_ratio < 0.5
        assert math.isfinite(found.hi)

    def test_too_few_with_it(self):
        logs = reeds(30)
        for log in logs[:4]:
            log.rows[1:1] = [{**log.rows[1], "kind": "wired"}]
        with pytest.raises(Untold, match="5 reeds with"):
            effect_of(Study.of([log.reed() for log in logs]), habit_named("wired"), "hours")

    def test_of_the_lots_the_one_that_differs_most(self):
        rng = np.random.default_rng(6)
        made = []
        for place in range(100):
            lot = str(place % 5)
            log = Log(str(place), lot=lot).add("scraped")
            made.append(log.play(int(rng.integers(200, 900) / (2.5 if lot == "3" else 1))).retire().reed())
        found = effect_of(Study.of(made), habit_named("lot"), "hours")
        assert (found.word, found.compared) == ("3", 5)
        assert found.lo > 1.5
        assert found.p < 0.001

    def test_of_two_lots_there_is_one_comparison(self):
        logs = reeds(40, lot=lambda place: "ab"[place % 2])
        assert effect_of(Study.of([log.reed() for log in logs]), habit_named("lot"), "hours").compared == 1

    def test_lots_are_compared_at_the_price_of_all(self):
        few = reeds(40, lot=lambda place: "ab"[place % 2])
        found = effect_of(Study.of([log.reed() for log in few]), habit_named("lot"), "hours")
        many = reeds(40, lot=lambda place: "a" if place % 2 == 0 else f"b{place // 2 % 4}")
        dearer = effect_of(Study.of([log.reed() for log in many]), habit_named("lot"), "hours")
        assert found.compared == 1
        assert dearer.compared == 5

    @pytest.mark.parametrize("name", ["rest_days", "rest_under_day", "last_two_days"])
    def test_how_much_a_reed_is_played_is_not_asked_of_days(self, study: Study, name: str):
        with pytest.raises(Untold, match="played more"):
            effect_of(study, habit_named(name), "days")

    def test_what_mounts_up_with_playing_does_not_shorten_days(self):
        """Without any effect, cleanings seem to shorten days where reeds that are played more are not set apart."""
        scenario = simulate(6, 300, Effects.none())
        study = Study.of_bench(bench(scenario.rows, scenario.sessions))
        rows, habit = study.rows("days"), habit_named("cleanings")
        naive = cox(rows.stop, rows.event, study.numbers(habit, rows), rows.start, rows.stratum)
        assert naive.p[0] < 1e-4
        assert effect_of(study, habit, "days").p > 0.05


class TestOneHabit:
    def test_alone(self, study: Study):
        found = one_habit(study, habit_named("tied_mm"))
        assert found.alone == effect_of(study, habit_named("tied_mm"), "hours")
        assert [group.name for group in found.grouping.groups] == ["tied shorter", "tied longer"]
        assert (found.adjusted, found.beside, found.untold) == (None, (), "")
        assert found.by_age is not None
        assert found.by_age.words == "No sign that the effect changes as reeds age."

    def test_by_lot(self, study: Study):
        found = one_habit(study, habit_named("tied_mm"), beside=[habit_named("lot")])
        assert found.adjusted is not None
        assert found.alone_in_same is not None
        assert (found.adjusted.n, found.alone_in_same.n) == (109, 109)
        assert found.adjusted.hazard_ratio != found.alone_in_same.hazard_ratio

    def test_beside_another_habit_agrees_with_lifelines(self, study: Study):
        rows = study.rows("hours")
        tied, rest = habit_named("tied_mm"), habit_named("rest_under_day")
        found = one_habit(study, tied, beside=[rest])
        frame = pd.DataFrame(
            {"x": study.numbers(tied, rows), "z": study.numbers(rest, rows), "start": rows.start,
             "stop": rows.stop, "event": rows.event, "stratum": rows.stratum}
        ).dropna()  # fmt: skip
        fitted = lifelines.CoxPHFitter().fit(frame, "stop", "event", strata="stratum", entry_col="start")
        assert found.adjusted is not None
        assert math.log(found.adjusted.hazard_ratio) == pytest.approx(fitted.params_["x"], abs=0.02)

    def test_confounding_is_taken_out(self):
        """Lot 'b' wears sooner and was gouged thicker; the gouge itself does nothing."""
        rng = np.random.default_rng(2)
        made = []
        for place in range(160):
            poor = place % 2
            gouge = round(float(0.58 + 0.03 * poor + rng.normal(0, 0.01)), 3)
            log = Log(str(place), lot="ab"[poor], gouge_mm=gouge).add("scraped")
            made.append(log.play(max(1, int(60 * (12 - 6 * poor) * rng.weibull(2.5)))).retire().reed())
        found = one_habit(Study.of(made), habit_named("gouge_mm"), beside=[habit_named("lot")])
        assert found.alone is not None
        assert found.adjusted is not None
        assert found.alone.p < 1e-6
        assert found.adjusted.p > 0.05

    def test_an_effect_that_fades(self):
        """Wired reeds wear sooner in their first hours only: the hazard is tripled up to three hours."""
        rng = np.random.default_rng(7)
        made = []
        for place in range(300):
            wear, wired = float(rng.exponential()), place % 2 == 1
            early = 0.3 * (5 if wired else 1)
            hours = 3 * wear / early if wear < early else 3 + (wear - early) / 0.12
            log = Log(str(place)).add("scraped")
            if wired:
                log.add("wired")
            minutes = max(1, round(60 * hours))
            while minutes > 0:
                log.play(min(minutes, 1000))
                minutes -= 1000
            made.append(log.retire().reed())
        found = one_habit(Study.of(made), habit_named("wired"))
        assert found.by_age is not None
        assert found.by_age.p < 0.01
        assert found.by_age.words.startswith("The effect seems to fade")

    def test_where_the_log_cannot_tell(self, study: Study):
        found = one_habit(study, habit_named("tubed"))
        assert found.alone is None
        assert "5 reeds with" in found.untold
        assert len(found.grouping.groups) == 2


class TestWords:
    def test_a_sentence(self):
        found = Effect(1.42, 1.08, 1.93, 0.01, 30, 20, 1.0, 2.5, 1.0)
        words = sentence("each extra millimetre tied", found)
        assert words == "each extra millimetre tied: lives end 1.4 times as fast (1.08 to 1.9 times)"

    @pytest.mark.parametrize(
        ("ratio", "words"),
        [(0.004, "under 0.01"), (0.5, "0.50"), (1.04, "1.04"), (2.25, "2.2"), (12.3, "12"), (1e9, "over 100"),
         (math.inf, "over 100")],
    )  # fmt: skip
    def test_times(self, ratio: float, words: str):
        assert times(ratio) == words


class TestBelief:
    def test_the_usual_one_is_said(self, report: HabitsReport):
        assert "1 in 5 was believed to end lives twice as fast." in tried(report)

    def test_who_believes_less_is_told_less(self, study: Study, report: HabitsReport):
        usual, doubtful = report, habits_report(study, belief=Belief(one_in=50))
        by_name = {one.habit.name: one.chance for one in usual.findings}
        assert all(one.chance < by_name[one.habit.name] for one in doubtful.findings)

    def test_her_own_is_set_beside_the_reeds(self):
        at = datetime(2026, 1, 1, tzinfo=UTC)
        facts = {"belief_one_in": 10, "belief_times": 4}
        held = Bench.of(FixedClock(at), [Statement("s1", "settings", SETTINGS_SUBJECT, at, at, "e1", facts)])
        # Two kinds lie two standard deviations apart.
        assert belief_of(held) == Belief(10, math.log(4) / 2)


class TestHours:
    def test_two_kinds_with_lives_of_known_length(self):
        """Wired reeds last 8 hours in the mean and others 14."""
        rng = np.random.default_rng(8)
        made = []
        for place in range(200):
            log = Log(str(place)).add("scraped")
            if place % 2:
                log.add("wired")
            scale = (14, 8)[place % 2] / math.gamma(1 + 1 / 2.3)
            made.append(log.play(max(1, min(int(60 * scale * rng.weibull(2.3)), 1440))).retire().reed())
        found = next(one for one in habits_report(Study.of(made)).findings if one.habit.name == "wired")
        assert found.hours is not None
        assert (found.hours.low, found.hours.high) == ("no wire", "wired")
        study, wired = Study.of(made), habit_named("wired")
        rows = study.rows_for(wired, "hours")
        apart = _ratios(study, rows, values_of(study, wired, rows, None), found.effect.hazard_ratio, "hours")
        # Of one kind alone they are Weibull with the shape 2.3 (to 0.13); taken together they scatter more.
        assert _law(study, "hours", 0, apart).shape == pytest.approx(2.3, abs=0.2)
        assert _law(study, "hours", 0).shape < 2.0
        assert found.hours.longer == pytest.approx(-6, abs=1.5)
        assert found.hours.lo < -6 < found.hours.hi
        assert in_hours(found).startswith("No wire rather than wired: lives of ")
        assert found.evidence == "clear"
        assert to_do(found).startswith("So make it a rule for your next reeds: no wire")

    def test_a_lot_with_lives_of_known_length(self):
        """Reeds of lot 6 last 8 hours in the mean and others 16: they end 4.9 times as fast."""
        rng = np.random.default_rng(11)
        made = []
        for place in range(400):
            log = Log(str(place), lot="6" if place % 4 == 0 else str(place % 3)).add("scraped")
            scale = (8 if place % 4 == 0 else 16) / math.gamma(1 + 1 / 2.3)
            made.append(log.play(max(1, min(int(60 * scale * rng.weibull(2.3)), 1440))).retire().reed())
        found = habits_report(Study.of(made), habits=(habit_named("lot"),)).findings[0]
        assert found.hours is not None
        assert found.hours.high == "6"
        assert found.hours.longer == pytest.approx(-8, abs=1.2)
        assert found.hours.lo < -8 < found.hours.hi

    def test_hours_are_drawn_toward_none_as_far_as_chance_may_have_made_them(self, study: Study, report: HabitsReport):
        """Against Bayes' rule reckoned on a grid: the belief of an effect that matters, and a normal likelihood."""
        for one in report.findings:
            effect = one.effect
            if not 0 < effect.hazard_ratio < math.inf or effect.compared > 1:
                continue
            error = 1 / math.sqrt(effect.information)  # of one standard deviation
            found = math.log(effect.hazard_ratio) * effect.sd
            grid = np.linspace(-4, 4, 8001)
            weight = np.exp(-((grid / 0.35) ** 2 + ((grid - found) / error) ** 2) / 2)
            believed = effect.believed()
            middle = math.log(believed.hazard_ratio) * effect.sd
            assert middle == pytest.approx((grid * weight).sum() / weight.sum(), abs=1e-6)
            known = math.sqrt((grid**2 * weight).sum() / weight.sum() - middle**2)
            own = replace(effect, **{end: math.exp((found + side * error) / effect.sd) for end, side in ENDS})
            limits = [math.log(getattr(own.believed(), end)) * effect.sd for end, _ in ENDS]
            assert limits == pytest.approx([middle - known, middle + known], abs=1e-6)
            assert one.hours is None or (one.hours.longer > 0) == (effect.hazard_ratio < 1)
            assert one.hours == hours_of(study, one.habit, believed, "hours")
        none = replace(effect, hazard_ratio=math.inf)
        assert none.believed() is none

    def test_a_trial_worth_starting_is_of_what_can_be_chosen(self, report: HabitsReport):
        assert report.worth is not None
        assert report.worth.finding.habit.choice
        assert report.worth.finding.evidence != "clear"
        assert report.worth.reeds > report.worth.retirements
        assert "if it is real" in most_worth(report)

    def test_what_is_clear_needs_no_trial_unless_it_may_be_one_evening(self, study: Study, report: HabitsReport):
        assert report.worth is not None
        clear = replace(report.worth.finding, evidence="clear")
        assert _most_worth([clear], study, report.belief) is None
        assert _most_worth([replace(clear, one_evening=True)], study, report.belief) is not None

    def test_the_entry_that_starts_any_trial_worth_starting_can_be_read(self, report: HabitsReport):
        lines = [
            trial_line(replace(report, worth=Worth(finding, hours.low, hours.high, hours.longer, None, 57, None, None)))
            for finding in report.findings
            if finding.habit.choice and (hours := finding.hours) is not None
        ]
        assert len(lines) > 5
        for line in lines:
            reading = read(line, bench([]))
            assert reading.ready, line
            assert line.endswith(" for 60")
        assert trial_line(replace(report, worth=None)) == ""

    def test_a_trial_that_nobody_would_see_through_is_not_offered(self, report: HabitsReport):
        """By hand: so many reeds worn out take 180 weeks at the pace given, more than three years."""
        assert report.worth is not None
        long = replace(report, worth=replace(report.worth, retirements=300, reeds=500, weeks=180.0))
        assert trial_line(long) == ""
        assert "No fair trial is over within three years" in most_worth(long)
        assert "about 500 reeds, 3 years" in most_worth(long)
        assert "reedkin habits --with FILE" in most_worth(long)
        assert not any("To start it" in line for line in habits_lines(long))

    @pytest.mark.parametrize(("chance", "words"), [(0.999, "99 in 100"), (0.95, "19 in 20"), (0.94, "9 in 10"),
                                                   (0.86, "9 in 10"), (0.5, "5 in 10"), (0.03, "1 in 20"),
                                                   (0.001, "1 in 100")])  # fmt: skip
    def test_a_chance_as_people_say_it(self, chance: float, words: str):
        assert chance_words(chance) == words

    def test_nothing_is_called_a_cause_or_put_in_the_words_of_statistics(self, report: HabitsReport):
        said = "\n".join(habits_lines(report)).replace(NOT_CAUSE, "")
        assert not re.search(r"hazard|\bp \d|significan|cause", said)
