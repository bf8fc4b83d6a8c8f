"""Readiness: against the binomial and its kin, against the Kaplan-Meier curve, and against what came true."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from math import sqrt

import numpy as np
import pytest
from demo_logs.simulate import simulate
from lifelines import KaplanMeierFitter
from scipy.stats import beta, betabinom, binom, kstest
from tests.domain.maker import NOW, Maker
from tests.survival.calibration import bench_until, cases

from reedkin.answers.ready import Wish, readiness, readiness_as_dict, readiness_text
from reedkin.answers.ready.blanks import Blanks
from reedkin.answers.ready.common import common_blanks, common_services
from reedkin.answers.ready.drawing import pick, weights
from reedkin.answers.ready.past import Blank, Past, Service, blank_of, past_of, services_of
from reedkin.answers.ready.rotation import Ahead, Reeds, ahead, rotate
from reedkin.answers.ready.services import Services
from reedkin.errors import InputError
from reedkin.study.ticks import Cancelled

TODAY = NOW.date()


def rng(seed: int = 1) -> np.random.Generator:
    return np.random.default_rng(seed)


# The share of blanks that come good


def test_the_weight_of_those_that_came_good_is_beta_distributed() -> None:
    """14 of 20 and a prior of 2 of 3: Beta(16, 7), by the conjugacy of the Beta and the binomial."""
    blanks = [*[Blank(5, (), "served")] * 14, *[Blank(5, (), "gone")] * 6, *common_blanks()]
    weight = weights(blanks, 4000, rng())
    served = np.array([blank.outcome == "served" for blank in blanks])
    share = weight[:, served].sum(axis=1) / weight.sum(axis=1)
    assert kstest(share, beta(16, 7).cdf).pvalue > 0.01


def test_many_blanks_of_a_known_yield_follow_the_binomial() -> None:
    past = [*[Blank(5, (), "served")] * 1800, *[Blank(5, (), "gone")] * 1200]
    drawn = Blanks(past, weights(past, 2000, rng()))
    good = sum(np.isfinite(drawn.new(rng(seed))) for seed in range(8))
    for wanted in range(9):
        share = float(np.mean(good >= wanted))
        assert share == pytest.approx(binom.sf(wanted - 1, 8, 0.6), abs=0.035), wanted


def test_few_blanks_follow_the_beta_binomial() -> None:
    past = [*[Blank(5, (), "served")] * 4, *[Blank(5, (), "gone")] * 3]
    drawn = Blanks(past, weights(past, 4000, rng()))
    good = sum(np.isfinite(drawn.new(rng(seed))) for seed in range(6))
    for wanted in range(7):
        assert float(np.mean(good >= wanted)) == pytest.approx(betabinom.sf(wanted - 1, 6, 4, 3), abs=0.03), wanted


@pytest.fixture(scope="module")
def steady() -> Maker:
    """Nine of fourteen English horn blanks came good within ten days and serve, hardly played, with a score of 9."""
    maker = Maker("set public 0", *(f"{n} tie eh 60 @2026-10-01" for n in range(1, 15)))
    maker.type(*(f"{n} play 1 9 @2026-10-0{2 + n % 7}" for n in range(1, 10)))
    maker.type(*(f"{n} retire never came good @2026-10-09" for n in range(10, 15)))
    return maker


def test_with_time_enough_the_forecast_is_the_beta_binomial(steady: Maker) -> None:
    """The limiting case: nothing wears out, all that comes good is good. Beta(2 + 9, 1 + 5) blanks to come."""
    wish = Wish("english horn", 9 + 4, TODAY + timedelta(days=40))
    answer = readiness(steady.bench, wish, paths=4000)
    assert answer.into_service == (9, 14)
    assert len(answer.by_blanks) > 6
    for blanks, chance in enumerate(answer.by_blanks):
        assert chance == pytest.approx(betabinom.sf(3, blanks, 11, 6), abs=0.03), blanks


def test_what_is_there_is_there_and_what_is_not_is_not(steady: Maker) -> None:
    answer = readiness(steady.bench, Wish("english horn", 9, TODAY + timedelta(days=10)), paths=200)
    assert answer.chance == 1
    assert answer.expected == (9, 9, 9)
    assert answer.plans[0].blanks == 0
    assert answer.plans[0].by is None
    too_soon = readiness(steady.bench, Wish("english horn", 10, TODAY), paths=200)
    assert too_soon.chance == 0
    assert [plan.blanks for plan in too_soon.plans] == [None, None, None]


# Blanks and reeds under way


def test_a_blank_is_followed_from_its_own_age() -> None:
    """Those that were undecided after 8 days all served on day 10; younger ones mostly not."""
    past = [*[Blank(10, (2, 5), "served")] * 40, *[Blank(4, (2,), "gone")] * 60]
    drawn = Blanks(past, weights(past, 1000, rng()))
    young, old = drawn.further(1, 0, rng()), drawn.further(8, 2, rng())
    assert np.isfinite(young).mean() < 0.5
    assert np.isfinite(old).mean() > 0.9
    assert np.median(old[np.isfinite(old)]) == 2


def test_a_blank_that_is_undecided_today_hands_on_to_another() -> None:
    past = [*[Blank(3, (), "open")] * 30, *[Blank(10, (), "served")] * 20, *[Blank(8, (), "gone")] * 20]
    drawn = Blanks(past, weights(past, 3000, rng())).new(rng())
    assert np.isfinite(drawn).mean() == pytest.approx(0.5, abs=0.06)


@pytest.fixture(scope="module")
def lives() -> tuple[list[Service], KaplanMeierFitter]:
    """A hundred or so courses of a simulated maker, some still running, and lifelines' Kaplan-Meier curve of them."""
    scenario = simulate(3, reeds=240, start=date(2025, 9, 1))
    bench = bench_until(scenario, NOW + timedelta(days=900))
    found = [s for reed in bench.reeds() if reed.instrument == "oboe" for s in services_of(reed)]
    found = [s for s in found if s.before == 0]
    curve = KaplanMeierFitter().fit([s.hours[-1] for s in found], [s.ended for s in found])
    return found, curve


def test_new_reeds_last_as_the_kaplan_meier_curve_says(lives: tuple[list[Service], KaplanMeierFitter]) -> None:
    past, curve = lives
    course = Services(past, weights(past, 4000, rng())).new(40, rng())
    for hours in (2, 5, 8, 12, 16):
        assert float(np.mean(course.death > hours)) == pytest.approx(curve.predict(hours), abs=0.03), hours


@pytest.mark.parametrize("hours", [3, 6, 10])
def test_reeds_in_service_last_as_those_that_came_as_far(
    lives: tuple[list[Service], KaplanMeierFitter], hours: float
) -> None:
    past, curve = lives
    course = Services(past, weights(past, 4000, rng())).further(hours, None, 0.7, 40, rng())
    expected = curve.predict(hours + 4) / curve.predict(hours)
    assert float(np.mean(course.death > 4)) == pytest.approx(expected, abs=0.09)


def test_a_reed_follows_those_that_scored_as_it_does() -> None:
    good = [Service((1.0, 2.0, 10.0), (9.0, 9.0, 9.0), 0.0, ended=True, prompt=True)] * 30
    bad = [Service((1.0, 2.0, 3.0), (5.0, 5.0, 5.0), 0.0, ended=True, prompt=True)] * 30
    drawn = Services([*good, *bad], weights([*good, *bad], 1000, rng()))
    well, badly = drawn.further(2.0, 9.0, 1.0, 20, rng()), drawn.further(2.0, 5.0, 1.0, 20, rng())
    assert np.median(well.death) >= 8
    assert np.median(badly.death) <= 2
    assert np.mean(drawn.form_after(well, np.full(1000, 0.5))) > 8.5


def test_a_reed_far_beyond_all_others_is_answered_for() -> None:
    past = common_services()
    course = Services(past, weights(past, 50, rng())).further(500.0, 7.0, 1.0, 20, rng())
    assert np.all(np.isfinite(course.death))


def test_drawing_goes_by_the_weights() -> None:
    drawn = pick(np.tile([1.0, 0.0, 3.0], (8000, 1)), rng())
    assert np.bincount(drawn, minlength=3) / 8000 == pytest.approx([0.25, 0, 0.75], abs=0.02)


def test_until_it_is_played_further_a_reed_has_the_form_it_has() -> None:
    past = common_services()
    drawn = Services(past, weights(past, 200, rng()))
    course = drawn.further(2.0, 9.0, 1.0, 20, rng())
    assert set(drawn.form_after(course, np.zeros(200))) == {9.0}
    assert len(set(drawn.form_after(course, np.full(200, 3.0)))) > 1
    unscored = drawn.further(2.0, None, 1.0, 20, rng())
    assert np.all(np.isfinite(drawn.form_after(unscored, np.zeros(200))))


# The days until then


def reeds_of(paths: int, **columns: list[float]) -> Reeds:
    """Reeds with the same values on every path; where nothing is said they are in service, and last."""
    size = len(next(iter(columns.values())))
    usual = {"from_day": 0.0, "death": np.inf, "first": 0.0, "pace": np.inf, "new": 0.0}
    arrays = {n: np.tile(np.array(columns.get(n, [v] * size), dtype=float), (paths, 1)) for n, v in usual.items()}
    return Reeds(**arrays, saved=np.array([bool(s) for s in columns.get("saved", [0.0] * size)]))


def playings(paths: int, count: int, hours: float) -> Ahead:
    return Ahead(np.tile(np.arange(count), (paths, 1)), np.full((paths, count), hours))


def test_playings_fall_to_all_reeds_alike_and_none_is_lost() -> None:
    played = rotate(playings(500, 30, 0.5), reeds_of(500, death=[np.inf] * 3), rng())
    assert played.sum(axis=1) == pytest.approx(15)
    assert played.mean(axis=0) == pytest.approx(5, abs=0.25)


def test_a_reed_is_played_from_its_day_to_its_death() -> None:
    played = rotate(playings(200, 10, 1.0), reeds_of(200, from_day=[0, 6, np.inf], death=[4.5, np.inf, np.inf]), rng())
    assert np.all(played[:, 0] <= 4.5)
    assert np.all(played[:, 1] <= 10)
    assert np.all(played[:, 2] == 0)
    alone = rotate(playings(1, 3, 1.0), reeds_of(1, death=[2.5]), rng())
    assert alone.tolist() == [[2.5]]


def test_a_saved_reed_is_played_only_where_there_is_no_other() -> None:
    played = rotate(playings(50, 10, 1.0), reeds_of(50, death=[3.0, np.inf], saved=[0, 1]), rng())
    assert np.all(played[:, 0] == 3)
    assert np.all(played[:, 1] == 7)


def test_a_new_reed_is_played_little_at_a_time() -> None:
    played = rotate(playings(50, 4, 1.0), reeds_of(50, pace=[0.25], new=[0.5]), rng())
    # A quarter of an hour twice; then all that was left of those playings, and the others.
    assert played == pytest.approx(4.0)
    first = rotate(playings(50, 2, 1.0), reeds_of(50, pace=[0.25], new=[3.0]), rng())
    assert first == pytest.approx(0.5)


def past(days: int, **facts: object) -> Past:
    maker = Maker("1 tie eh 60 @2026-09-01")
    for number in range(days):
        maker.type(f"1 play 60 rehearsal @{TODAY - timedelta(days=days - number)}")
    return past_of(maker.bench.reeds(), "english horn", maker.clock.now())


def test_rehearsals_that_are_named_replace_her_own() -> None:
    found = ahead(past(60), 20, 9.0, 100, rng())
    assert found.totals == pytest.approx(9)
    assert found.day.min() >= 0
    assert found.day.max() < 20


def test_the_playing_to_come_is_like_that_of_the_last_weeks() -> None:
    every_day = ahead(replace(past(60), first_day=TODAY - timedelta(days=61)), 20, None, 400, rng())
    assert float(every_day.totals.mean()) == pytest.approx(20, rel=0.05)


def test_few_days_leave_the_playing_to_come_more_open() -> None:
    """On average the same, but the fewer days were seen the wider it spreads."""
    maker = Maker("1 tie eh 60 @2026-08-01")
    for number in range(90):
        if number % 3:
            maker.type(f"1 play {20 + 40 * (number % 2)} @{TODAY - timedelta(days=90 - number)}")
    whole = past_of(maker.bench.reeds(), "english horn", maker.clock.now())
    short = replace(
        whole, first_day=TODAY - timedelta(days=21),
        playings=tuple(p for p in whole.playings if p.day > TODAY - timedelta(days=21)),
    )  # fmt: skip
    long_spread, short_spread = (np.std(ahead(one, 14, None, 2000, rng()).totals) for one in (whole, short))
    assert short_spread > 1.2 * long_spread


# What the log tells


def test_courses_end_where_a_reed_leaves_the_case() -> None:
    maker = Maker(
        "1 tie eh 60", "1 play 30 8", "1 lend to a pupil", "1 return", "1 play 60 7", "1 score 6", "1 play 30"
    )
    first, second = services_of(maker.reed("1"))
    assert (first.hours, first.ended, first.before) == ((0.5,), True, 0)
    assert (second.hours, second.form, second.ended, second.before) == ((1.5, 2.0), (7.0, 7.0), False, 0.5)


def test_a_reed_that_joined_counts_from_the_hours_it_had() -> None:
    (service,) = services_of(Maker("1 join eh 4h", "1 play 60 8").reed("1"))
    assert (service.hours, service.before) == ((5.0,), 4.0)
    assert services_of(Maker("1 join eh", "1 play 60 8").reed("1")) == []


@pytest.mark.parametrize(
    ("lines", "outcome", "days", "sittings"),
    [
        ([], "open", 24, ()),
        (["1 scrape tip @2026-11-03", "1 crow C5 @2026-11-03 20:00", "1 play 9 @2026-11-05"], "served", 4, (2,)),
        (["1 scrape tip @2026-11-02", "1 retire cracked @2026-11-04"], "gone", 3, (1,)),
        (["1 sell to duo @2026-11-08"], "gone", 7, ()),
    ],
)
def test_how_blanks_fared(lines: list[str], outcome: str, days: int, sittings: tuple[int, ...]) -> None:
    maker = Maker("1 tie eh 60 @2026-11-01", *lines)
    found = blank_of(maker.reed("1"), maker.clock.now())
    assert found is not None
    assert (found.outcome, found.days, found.sittings) == (outcome, days, sittings)


# The answer


@pytest.fixture(scope="module")
def busy() -> Maker:
    """A maker with some history: reeds that came good and were worn, blanks lost, three in service, two begun."""
    maker = Maker(*(f"{n} tie eh 60 @2026-08-{n + 1:02d}" for n in range(1, 19)))
    for n in range(1, 13):
        for k in range(10):
            maker.type(f"{n} play 60 {8 - k // 4} @{date(2026, 8, 20) + timedelta(days=n + 6 * k)}")
    maker.type(*(f"{n} retire worn @2026-11-01" for n in range(1, 10)))
    maker.type(*(f"{n} retire never came good @2026-09-01" for n in range(13, 19)))
    maker.type("30-31 tie eh 60 @2026-11-20", "30 scrape @2026-11-23")
    return maker


WISH = Wish("english horn", 4, TODAY + timedelta(days=30))


def test_the_same_question_has_the_same_answer(busy: Maker) -> None:
    one, two = (readiness(busy.bench, WISH, seed=5, paths=200) for _ in range(2))
    assert one == two
    assert readiness(busy.bench, WISH, seed=6, paths=200) != one


def test_more_blanks_never_harm_and_more_reeds_are_never_likelier(busy: Maker) -> None:
    answer = readiness(busy.bench, WISH, paths=400)
    assert list(answer.by_blanks) == sorted(answer.by_blanks)
    assert list(answer.at_least) == sorted(answer.at_least, reverse=True)
    assert answer.at_least[0] == 1
    assert answer.chance == pytest.approx(answer.at_least[4])
    wanted = [plan.blanks for plan in answer.plans if plan.blanks is not None]
    assert wanted == sorted(wanted)


def test_blanks_that_are_tied_too_late_do_not_help(busy: Maker) -> None:
    answer = readiness(busy.bench, WISH, paths=400)
    for plan in answer.plans:
        if plan.by is not None:
            assert TODAY <= plan.by < WISH.on - timedelta(days=4)  # no reed of hers served sooner than on the fifth day


def test_a_level_of_ones_own(busy: Maker) -> None:
    chances = []
    for level in (3, 7, 9.5):
        busy.type(f"set public {level}")
        chances.append(readiness(busy.bench, Wish("english horn", 2, WISH.on), paths=300, blanks=False).chance)
    busy.type("set public 7")
    assert chances == sorted(chances, reverse=True)
    assert chances[2] < 0.05 < chances[0]


def test_it_can_be_watched_and_stopped(busy: Maker) -> None:
    seen: list[float] = []
    readiness(busy.bench, WISH, paths=50, tick=seen.append)
    assert seen == sorted(seen)
    assert 0 <= seen[0] <= seen[-1] <= 1

    def stop(share: float) -> None:
        if share > 0.3:
            raise Cancelled

    with pytest.raises(Cancelled):
        readiness(busy.bench, WISH, paths=50, tick=stop)


@pytest.mark.parametrize(
    ("wish", "message"),
    [
        (Wish("oboe", 1, TODAY - timedelta(days=1)), "is past"),
        (Wish("oboe", 1, TODAY + timedelta(days=400)), "more than a year ahead"),
        (Wish("oboe", 0, TODAY), "one reed or more"),
        (Wish("oboe", 1, TODAY + timedelta(days=1), rehearsal_hours=30), "do not fit into 1 days"),
    ],
)
def test_what_cannot_be_answered(wish: Wish, message: str) -> None:
    with pytest.raises(InputError, match=message):
        readiness(Maker().bench, wish)


def test_an_empty_log_leans_on_common_practice_and_says_so() -> None:
    answer = readiness(Maker().bench, Wish("oboe", 2, TODAY + timedelta(days=40)), paths=500)
    assert answer.chance == 0
    assert answer.plans[0].blanks is not None
    said = " ".join(answer.leans)
    for words in ("100%", "two blanks of three come good", "10 to 15 hours", "five times 45 minutes a week"):
        assert words in said


def test_a_long_log_leans_on_nothing() -> None:
    bench = bench_until(simulate(2, reeds=90), NOW + timedelta(days=400))
    answer = readiness(bench, Wish("oboe", 2, NOW.date() + timedelta(days=420)), paths=100, blanks=False)
    assert answer.leans == ()


def test_other_instruments_stand_in_where_there_is_little() -> None:
    maker = Maker(*(f"{n} tie oboe 72; play 60 8" for n in range(1, 9)), "20 tie eh 60")
    answer = readiness(maker.bench, Wish("english horn", 1, TODAY + timedelta(days=40)), paths=100, blanks=False)
    assert "Your reeds for other instruments are counted in for half." in answer.leans
    assert answer.into_service == (0, 0)


def test_scores_that_are_seldom_noted_are_not_asked_for() -> None:
    maker = Maker(*(f"{n} tie eh 60; play 60 @2026-11-0{n}" for n in range(1, 6)))
    answer = readiness(maker.bench, Wish("english horn", 2, TODAY + timedelta(days=5)), paths=200, blanks=False)
    assert answer.level is None
    assert answer.chance > 0.9
    assert "You seldom note scores: every reed in service is counted as good." in answer.leans


def test_reeds_that_are_promised_are_told_of(busy: Maker) -> None:
    busy.type("order duo 2 eh by 2026-12-10")
    answer = readiness(busy.bench, WISH, paths=50, blanks=False)
    assert answer.promised == 2
    assert "ask for 6" in readiness_text(answer)[-1]
    busy.type("order duo done")
    assert readiness(busy.bench, WISH, paths=50, blanks=False).promised == 0


def test_it_in_words_and_as_json(busy: Maker) -> None:
    answer = readiness(busy.bench, WISH, paths=300)
    lines = readiness_text(answer)
    assert lines[0] == "4 english horn reeds to play in public on Fri 25 Dec 2026, in 30 days:"
    assert lines[1].startswith("with today's stock the chance is ")
    assert lines[2].startswith("Of 3 in service and 2 on the bench, ")
    assert lines[3].startswith("For 80%: ")
    assert any(line.startswith("It goes by your blanks (12 of 18 came into service), ") for line in lines)
    told = readiness_as_dict(answer)
    assert told["chance"] == answer.chance
    assert told["expected"] == dict(zip(("median", "lo", "hi"), answer.expected, strict=True))
    assert [plan["chance"] for plan in told["plans"]] == [0.8, 0.9, 0.95]  # type: ignore[index, union-attr]


# Whether it comes true


def test_of_forecasts_at_80_of_100_about_80_come_true() -> None:
    """Twenty simulated makers, each forecast for both instruments; many more in tests/benchmarks. The share that came
    true lies within 2.6 binomial standard errors (99 of 100) of what was forecast."""
    found = [case for seed in range(1000, 1020) for case in cases(seed, paths=150)]
    forecast = sum(case.chance for case in found) / len(found)
    error = sqrt(sum(case.chance * (1 - case.chance) for case in found)) / len(found)
    assert forecast == pytest.approx(0.8, abs=0.04)
    assert sum(case.came_true for case in found) / len(found) == pytest.approx(forecast, abs=2.6 * error)
