"""Every habit, against lineages written by hand and against a slow reckoning of simulated ones."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import timedelta
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from demo_logs.simulate import simulate
from tests.answers.logs import BEGUN, Log, bench

from reedkin.answers.habits.effects import effect_of
from reedkin.answers.habits.one_evening import any_evening_apart
from reedkin.answers.habits.report import habits_report
from reedkin.answers.habits.words import by_evening
from reedkin.errors import InputError
from reedkin.study.follow_up import Played
from reedkin.study.habits import BY_INSTRUMENT, HABITS, Habit, habit_named
from reedkin.study.lives import Clock, life_of, minute
from reedkin.study.rows import Rows
from reedkin.study.study import Study
from reedkin.survival import cox

LATER = minute(BEGUN) + 1000 * 1440


def making_value(name: str, log: Log, **beside: Any) -> float | str | None:
    """A making habit's value for one reed."""
    study = Study.of([log.play(30).reed()], **beside)
    habit = habit_named(name)
    rows = study.rows_for(habit, "hours")
    if habit.measure == "category":
        return str(study.words(habit, rows)[0]) or None
    value = float(study.numbers(habit, rows)[0])
    return None if math.isnan(value) else value


def use_values(name: str, log: Log, clock: Clock = "hours") -> list[float | None]:
    """The value of a habit in use before each playing."""
    study = Study.of([log.reed()])
    habit = habit_named(name)
    return [None if math.isnan(one) else float(one) for one in study.numbers(habit, study.rows(clock))]


def made() -> Log:
    """A reed on which the work was logged."""
    log = Log(overall_mm=72.5, gouge_mm=0.59, shape="K", lot="7", tube="N3", sink_min=6)
    log.add("scraped", 2 * 1440, minutes=10, session="a").add("scraped", 20, minutes=6, session="a")
    log.add("scraped", 1440, minutes=4, session="b").add("crowed", 5, crow="C5").add("clipped", 5, clip_mm=1.2)
    return log.add("clipped", 1440, overall_mm=70.3)


class TestMaking:
    @pytest.mark.parametrize(
        ("name", "value"),
        [
            ("tied_mm", 72.5), ("gouge_mm", 0.59), ("shape", "K"), ("lot", "7"), ("tube", "N3"), ("sink_min", 6),
            ("rest_before_scraping", 2), ("scraping_days", 1 + 20 / 1440), ("scraping_sittings", 2),
            ("scraping_minutes", 20), ("clipped_mm", 2.2), ("clipped_late", 3 + 30 / 1440), ("wired", 0), ("tubed", 0),
        ],
    )  # fmt: skip
    def test_value(self, name: str, value: float | str):
        assert making_value(name, made()) == (value if isinstance(value, str) else pytest.approx(value))

    @pytest.mark.parametrize("name", ["tied_mm", "gouge_mm", "shape", "lot", "tube", "sink_min", "tube_uses",
                                      "rest_before_scraping", "scraping_days", "scraping_sittings", "scraping_minutes",
                                      "clipped_mm", "clipped_late", "wired", "wired_before_crow", "tubed",
                                      "humidity_at_tying", "first_score"])  # fmt: skip
    def test_not_known_where_nothing_was_noted(self, name: str):
        assert making_value(name, Log()) is None

    def test_nothing_is_known_of_the_work_on_a_reed_that_joined(self):
        log = Log(kind="joined", hours_before=3, overall_mm=70, lot="7")
        names = ("tied_mm", "wired", "clipped_mm", "lot")
        assert [making_value(name, log) for name in names] == [None, None, None, "7"]

    def test_minutes_of_scraping_are_not_known_if_some_are_not(self):
        assert making_value("scraping_minutes", made().add("scraped")) is None

    def test_a_clip_by_length_alone_needs_the_length_before(self):
        log = Log().add("scraped").add("clipped", overall_mm=70)
        assert making_value("clipped_mm", log) is None

    def test_sittings_are_days_where_no_session_was_kept(self):
        log = Log().add("scraped").add("scraped", 90).add("scraped", 1440)
        assert making_value("scraping_sittings", log) == 2

    def test_a_wire_taken_off_again_is_none(self):
        assert making_value("wired", made().add("wired").add("wired", wire="off")) == 0

    @pytest.mark.parametrize(("kinds", "value"), [("wired crowed", 1), ("crowed wired", 0), ("wired", None),
                                                  ("crowed", None)])  # fmt: skip
    def test_wired_before_it_crowed(self, kinds: str, value: float | None):
        log = Log()
        for kind in kinds.split():
            log.add(kind)
        assert making_value("wired_before_crow", log) == value

    def test_humidity_is_that_of_the_session_of_tying(self):
        log = Log(session="s1")
        assert making_value("humidity_at_tying", log, humidity={"s1": 48.0}.get) == 48

    def test_humidity_comes_from_the_bench(self):
        log = Log(session="s1").add("scraped").play(30)
        session = {"session": "s1", "start": BEGUN.isoformat(), "room_c": 20, "humidity_pct": 55}
        study = Study.of_bench(bench(log.rows, [session]))
        assert study.makings[0].humidity_pct == 55

    def test_earlier_reeds_on_the_tube(self):
        logs = [Log(str(n), tube=tube) for n, tube in enumerate(("N3", "n3", "N4", "N3"))]
        for days, log in enumerate(logs):
            if days != 1:
                log.play(30)
        study = Study.of([log.reed() for log in logs])
        # The second never served, but it was on the tube.
        assert [making.tube_uses for making in study.makings] == [0, 0, 2]

    def test_words_are_one_whatever_their_spelling(self):
        logs = [Log(str(n), lot=lot).play(30) for n, lot in enumerate(("Hill 3", "hill 3 ", "5"))]
        study = Study.of([log.reed() for log in logs])
        lot = habit_named("lot")
        assert study.words(lot, study.rows("hours", whole=True)).tolist() == ["Hill 3", "Hill 3", "5"]


class TestFirstScore:
    def test_counts_from_when_it_was_given(self):
        log = made().play(30).play(30, score=7).play(30, score=4).play(30)
        assert use_values("first_score", log) == [None, None, 7, 7]

    def test_given_at_the_bench_it_counts_from_the_start(self):
        assert use_values("first_score", made().add("scored", score=8).play(30, score=4)) == [8]

    def test_given_late_it_is_none(self):
        assert use_values("first_score", made().play(130, score=7).play(30)) == [None, None]


class TestUse:
    def test_rest(self):
        log = made().play(30).play(30, after=720).play(60, after=36 * 60).play(480, after=20 * 1440).play(30)
        # The last playing comes eight hours after the rests of half a day, a day and a half, and a week at most.
        assert use_values("rest_days", log) == [None, None, None, None, 3]
        assert use_values("rest_under_day", log)[-1] == pytest.approx(100 / 3)

    def test_rest_is_not_known_where_playings_overlap(self):
        log = made().play(30).add("played", 10, minutes=480).play(30)
        assert use_values("rest_days", log) == [None, None, None]

    def test_what_was_done_lately_does_not_count(self):
        """A reed that goes bad is left in the case; that was within its last eight hours."""
        log = made().play(30).play(30, after=720).play(420, after=720).play(30, after=720).play(30, after=5 * 1440)
        assert use_values("rest_days", log)[-1] == 0.5

    def test_longest_so_far(self):
        log = made().play(30).play(90).play(300).play(480).play(120)
        assert use_values("longest_playing", log) == [None, None, None, None, 300]

    def test_longest_of_the_first_hours(self):
        log = made().play(60).play(90).play(120).play(150).play(60).play(30)
        # The third began with two and a half hours behind it, the fourth with four and a half; the last is beyond the
        # landmark of eight.
        assert use_values("early_longest", log) == [None, None, None, None, None, 120]

    def test_playing_in_two_days(self):
        log = made().play(30, after=0).play(60, after=0).play(45, after=1440).play(480, after=1440 - 45 + 1)
        # Before them were 0, 30, 90 and 45 minutes in two days.
        assert use_values("last_two_days", log.play(30)) == [None, None, None, None, 41.25]

    def test_touch_ups_with_their_lag(self):
        log = made().play(60).add("scraped", 5).add("clipped", 5, clip_mm=0.1).play(240)
        log.play(240).add("scraped", 5).play(60).play(60)
        # Scraped and clipped after one hour: one touch-up, that counts from nine hours on.
        assert use_values("touch_ups", log) == [0, 0, 0, 1, 1]

    def test_work_before_service_is_no_touch_up(self):
        assert use_values("touch_ups", made().play(600).play(30)) == [0, 0]

    def test_cleanings_with_their_lag(self):
        log = made().play(60).add("cleaned", 5, how="water").play(480).play(60)
        assert use_values("cleanings", log) == [0, 0, 1]

    def test_share_of_performances(self):
        log = made().play(30, setting="practice").play(30, setting="performance").play(480).play(30)
        assert use_values("performances", log) == [None, None, None, 50]

    @pytest.mark.parametrize("name", ["longest_playing", "early_longest", "touch_ups", "cleanings", "performances"])
    def test_what_happened_before_the_log_is_not_known(self, name: str):
        log = Log(kind="joined", hours_before=3).play(600, setting="practice").play(30)
        assert use_values(name, log) == [None, None]

    def test_the_last_two_days_of_a_reed_that_joined(self):
        log = Log(kind="joined", hours_before=3).play(60, after=0).play(480, after=3 * 1440).play(30)
        assert use_values("last_two_days", log) == [None, None, 0]


def reckoned(name: str, played: tuple[Played, ...], whole: bool) -> list[float]:
    """A habit in use of one life, reckoned playing by playing from what was done eight hours of playing before."""
    return [_reckoned(name, played[: place + 1], whole) for place in range(len(played))]


def _reckoned(name: str, played: tuple[Played, ...], whole: bool) -> float:
    now = played[-1]
    lagged = [one for one in played if one.before <= now.before - 480]
    if name in ("touch_ups", "cleanings"):
        return sum(one.touched if name == "touch_ups" else one.cleaned for one in lagged) if whole else math.nan
    if name == "early_longest":
        early = [one.minutes for one in played[:-1] if one.before < 180]
        return max(early) if whole and now.before >= 480 else math.nan
    if not lagged:
        return math.nan
    rests = [after.start - before.stop for before, after in pairwise(lagged)]
    rests = [rest for rest in rests if rest >= 0]
    if name == "rest_days":
        return float(np.mean([min(rest / 1440, 7) for rest in rests])) if rests else math.nan
    if name == "rest_under_day":
        return 100 * float(np.mean([rest < 1440 for rest in rests])) if rests else math.nan
    if name == "last_two_days":
        sums = [
            sum(one.minutes for one in lagged[:place] if one.stop >= then.start - 2880)
            for place, then in enumerate(lagged)
            if whole or then.start - played[0].start >= 2880
        ]
        return float(np.mean(sums)) if sums else math.nan
    past = lagged[:-1]
    settings = [one.setting for one in past if one.setting]
    if name == "performances":
        return 100 * settings.count("performance") / len(settings) if settings and whole else math.nan
    assert name == "longest_playing"
    return max(one.minutes for one in past) if past and whole else math.nan


@pytest.mark.parametrize("habit", [one for one in HABITS if one.kind == "use"], ids=lambda one: one.name)
def test_habits_in_use_of_a_simulated_log(habit: Habit):
    scenario = simulate(21, 40)
    study = Study.of_bench(bench(scenario.rows, scenario.sessions))
    expected = [v for life in study.lives for v in reckoned(habit.name, life.played, life.entry == 0)]
    np.testing.assert_allclose(study.numbers(habit, study.rows("hours")), expected)


class TestTheList:
    def test_names_and_words(self):
        names = [habit.name for habit in HABITS]
        assert len(set(names)) == len(names)
        for habit in HABITS:
            assert habit.label[0].isupper(), habit.name
            assert habit.per[0].islower(), habit.name
            assert (habit.of_making is None) != (habit.of_playings is None), habit.name
            assert habit.low != habit.high

    @pytest.mark.parametrize(("said", "name"), [("lot", "lot"), ("tied_mm", "tied_mm"), ("Overall length", "tied_mm"),
                                                ("gouge", "gouge_mm"), ("instrument", "instrument"),
                                                ("WIRED", "wired"), ("tube uses", "tube_uses")])  # fmt: skip
    def test_naming_one(self, said: str, name: str):
        assert habit_named(said).name == name

    @pytest.mark.parametrize("said", ["", "scraping", "moon"])
    def test_a_name_that_is_none_or_several(self, said: str):
        with pytest.raises(InputError, match="name one of"):
            habit_named(said)

    def test_instrument_is_no_habit(self):
        assert BY_INSTRUMENT not in HABITS


def test_a_missing_fact_leaves_a_reed_out_of_that_habit_only():
    rng = np.random.default_rng(4)
    reeds = []
    for number in range(30):
        facts = {"overall_mm": float(72 + rng.normal()), "sink_min": float(rng.integers(2, 12))}
        if number < 6:
            del facts["sink_min"]
        log = Log(str(number), **facts).play(int(rng.integers(60, 600))).play(int(rng.integers(60, 600)))
        reeds.append(log.retire("worn" if number % 3 else "lost").reed())
    study = Study.of(reeds)
    tied, sink = (effect_of(study, habit_named(name), "hours") for name in ("tied_mm", "sink_min"))
    assert (tied.n, sink.n) == (30, 24)
    assert (tied.retired, sink.retired) == (20, 16)


class TestImmortalTime:
    """What can only be done to reeds that have lasted so far must not seem to make them last: Crowley & Hu 1977, JASA
    72:27-36, is the classic case. Lives here do not depend on anything done to the reeds."""

    @staticmethod
    def lasting(done: Callable[[Log], Log], after_hours: float, seed: int = 5) -> Study:
        """Reeds of which each that lasts so many hours has something done to it then."""
        rng = np.random.default_rng(seed)
        reeds = []
        for number in range(120):
            hours = 15 * float(rng.weibull(2.0))
            log = Log(str(number)).add("scraped").add("crowed").add("clipped", clip_mm=1)
            played = 0.0
            while played < hours:
                minutes = max(1, round(60 * min(1.0, hours - played)))
                log.play(minutes, after=int(rng.integers(300, 3000)))
                if played <= after_hours < played + minutes / 60 and rng.random() < 0.7:
                    done(log)
                played += minutes / 60
            reeds.append(log.retire().reed())
        return Study.of(reeds)

    @staticmethod
    def naive(study: Study, kind: str) -> float:
        """The hazard ratio of having had it done at all, as if that had been known from the start."""
        ever = [float(any(step.kind == kind for step in life.reed.standing[4:])) for life in study.lives]
        rows = study.rows("hours", whole=True)
        return math.exp(cox(rows.stop, rows.event, np.array(ever)).coef[0])

    def test_wired_late_is_not_wired(self):
        study = self.lasting(lambda log: log.add("wired"), 10)
        assert self.naive(study, "wired") < 0.5
        habit = habit_named("wired")
        assert set(study.numbers(habit, study.rows_for(habit, "hours"))) == {0.0}

    def test_tubed_late_is_not_tubed(self):
        study = self.lasting(lambda log: log.add("tubed", tubing_mm=5), 10)
        assert self.naive(study, "tubed") < 0.5
        habit = habit_named("tubed")
        assert set(study.numbers(habit, study.rows_for(habit, "hours"))) == {0.0}

    @pytest.mark.parametrize(("kind", "name"), [("scraped", "touch_ups"), ("cleaned", "cleanings")])
    @pytest.mark.parametrize("clock", ["hours", "days"])
    def test_touched_up_or_cleaned_late(self, kind: str, name: str, clock: Clock):
        study = self.lasting(lambda log: log.add(kind), 7)
        assert self.naive(study, kind) < 0.6
        found = effect_of(study, habit_named(name), clock)
        assert found.lo < 1 < found.hi
        assert found.p > 0.05

    def test_longest_playing_grows_with_life(self):
        rng = np.random.default_rng(3)
        reeds, longest = [], []
        for number in range(120):
            hours, played = 15 * float(rng.weibull(2.0)), 0
            log, minutes = Log(str(number)).add("scraped"), []
            while played < 60 * hours:
                minutes.append(min(int(rng.integers(20, 120)), math.ceil(60 * hours) - played))
                log.play(minutes[-1])
                played += minutes[-1]
            longest.append(max(minutes) / 30)
            reeds.append(log.retire().reed())
        study = Study.of(reeds)
        rows = study.rows("hours", whole=True)
        assert cox(rows.stop, rows.event, np.array(longest)).p[0] < 1e-4
        found = effect_of(study, habit_named("longest_playing"), "hours")
        assert found.lo < 1 < found.hi

    def test_a_first_score_does_not_count_before_it_was_given(self):
        log = made().play(60).play(59, score=7).play(60)
        study = Study.of([log.retire().reed()])
        habit = habit_named("first_score")
        rows = study.rows_for(habit, "hours")
        known = ~np.isnan(study.numbers(habit, rows))
        assert rows.start[known].tolist() == [pytest.approx(119 / 60)]

    @pytest.mark.parametrize(("usual", "failing", "sitting"), [(15, 3, 1.0), (45, 18, 3.0)])
    def test_failing_reeds_touched_up_more(self, usual: float, failing: float, sitting: float):
        """Touch-ups that follow failing, some hours before the end, with no effect of their own: the longer reeds last,
        the longer they fail."""
        rng = np.random.default_rng(9)
        reeds = []
        for number in range(150):
            hours = usual * float(rng.weibull(3.0))
            log, played = Log(str(number)).add("scraped"), 0.0
            while played < hours:
                if played > 0 and rng.random() < (0.7 if hours - played < failing else 0.1):
                    log.add("scraped")
                log.play(max(1, round(60 * min(sitting, hours - played))))
                played += sitting
            reeds.append(log.retire().reed())
        study = Study.of(reeds)
        rows, playings = study.rows("hours"), study.playings
        so_far = playings.so_far(playings.touched.astype(float)) + playings.touched
        unlagged = cox(rows.stop, rows.event, so_far, rows.start)
        assert unlagged.p[0] < 1e-6
        assert unlagged.coef[0] > 0
        lagged = effect_of(study, habit_named("touch_ups"), "hours")
        assert lagged.lo < 1 < lagged.hi


def test_the_making_ends_where_service_begins():
    log = made().play(30).add("clipped", 5, clip_mm=1).add("wired").play(30)
    found = life_of(log.reed(), LATER)
    assert found is not None
    assert found.state.wire is None
    assert found.making[-1].at < log.at - timedelta(minutes=60)


def apart_plainly(rows: Rows, values: np.ndarray) -> bool:
    """Whether the values differ within some instrument, but neither among the reeds of some one evening nor among the
    others."""

    def differ(among: np.ndarray) -> bool:
        chosen = among & ~np.isnan(values)
        return any(len(np.unique(values[chosen & (rows.stratum == one)])) > 1 for one in np.unique(rows.stratum))

    evenings = (rows.evening == one for one in np.unique(rows.evening))
    return differ(~rows.event) and any(not differ(one) and not differ(~one) for one in evenings)


def test_a_habit_goes_by_one_evening_where_its_reeds_are_alike_and_so_are_the_others():
    rng, found = np.random.default_rng(3), 0
    for _ in range(200):
        evening, n = rng.integers(0, 4, 9), 9
        stratum = evening % 2 if rng.random() < 0.5 else np.zeros(n, dtype=int)
        values = np.where(rng.random(n) < 0.1, np.nan, np.where(rng.random(n) < 0.1, 3.0, 1.0 * (evening == 1)))
        none = np.zeros(n)
        rows = Rows(none, none, none > 0, none.astype(str), np.arange(n), np.arange(n), stratum, evening)
        found += any_evening_apart(rows, values)
        assert any_evening_apart(rows, values) == apart_plainly(rows, values)
    assert 10 < found < 180


def test_a_lot_of_one_evening_is_told_as_such():
    """Six reeds of one lot on one evening, and six of another on three."""
    days = [0] * 6 + [1, 1, 2, 2, 3, 3]
    reeds = [
        Log(str(place), begun=BEGUN + timedelta(days=day), lot="B" if day else "A").play(30 + place).retire().reed()
        for place, day in enumerate(days)
    ]
    (lot,) = habits_report(Study.of(reeds), habits=(habit_named("lot"),)).findings
    assert lot.one_evening
    assert "that evening" in by_evening(lot)
