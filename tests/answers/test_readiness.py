"""Readiness: against the binomial and its kin, against what is said of hours left, and against what came true."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, timedelta
from math import sqrt

import numpy as np
import pytest
from demo_logs.simulate import simulate
from scipy.optimize import minimize_scalar
from scipy.stats import beta, betabinom, binom, kstest
from tests.benchmarks.readiness_calibration import WORLDS, near
from tests.domain.maker import NOW, Maker
from tests.survival.calibration import bench_until, cases, cases_of_world

from reedkin.answers.hours_left.outlook import HALF_AFTER, Outlook, recent
from reedkin.answers.ready import Readiness, Wish, readiness, readiness_as_dict, readiness_text
from reedkin.answers.ready.ahead import MOST_PLAYINGS, Ahead, ahead, starting_at
from reedkin.answers.ready.blanks import Blanks
from reedkin.answers.ready.common import common_blanks
from reedkin.answers.ready.drawing import weights
from reedkin.answers.ready.forecast import ASKED
from reedkin.answers.ready.past import Blank, Past, Service, blank_of, past_of, services_of
from reedkin.answers.ready.rotation import IN_USE, Reeds, Rotation, chances, form_of
from reedkin.answers.ready.taking import LIKING, LIKING_SD, Taking, goes_on, likings, takings
from reedkin.answers.ready.ways import Ways, exposure
from reedkin.charts.answers import chance_drawing
from reedkin.domain.reeds import IN_SERVICE
from reedkin.errors import InputError
from reedkin.study.form import form
from reedkin.study.ticks import Cancelled
from reedkin.survival.fading import Scored, ScoreSums, fading_of

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
    drawn = Blanks(past, weights(past, 2000, rng()), 0.75)
    good = sum(np.isfinite(drawn.new(rng(seed)).days) for seed in range(8))
    for wanted in range(9):
        share = float(np.mean(good >= wanted))
        assert share == pytest.approx(binom.sf(wanted - 1, 8, 0.6), abs=0.035), wanted


def test_few_blanks_follow_the_beta_binomial() -> None:
    past = [*[Blank(5, (), "served")] * 4, *[Blank(5, (), "gone")] * 3]
    drawn = Blanks(past, weights(past, 4000, rng()), 0.75)
    good = sum(np.isfinite(drawn.new(rng(seed)).days) for seed in range(6))
    for wanted in range(7):
        assert float(np.mean(good >= wanted)) == pytest.approx(betabinom.sf(wanted - 1, 6, 4, 3), abs=0.03), wanted


@pytest.fixture(scope="module")
def steady() -> Maker:
    """Nine of fourteen English horn blanks came good within ten days and serve, hardly played, with a score of 9."""
    maker = Maker("set public 0", *(f"{n} tie eh 60 @2026-10-01" for n in range(1, 15)))
    maker.type(*(f"{n} play 1 9 @2026-10-0{2 + n % 7}" for n in range(1, 10)))
    maker.type(*(f"1 play 1 9 @{date(2026, 10, 10) + timedelta(days=n)}" for n in range(0, 46, 4)))
    maker.type(*(f"{n} retire never came good @2026-10-09" for n in range(10, 15)))
    return maker


def test_with_time_enough_the_forecast_is_the_beta_binomial(steady: Maker) -> None:
    """The limiting case: nothing wears out, all that comes good is good. Beta(2 + 9, 1 + 5) blanks to come, but that
    the later of the 14 count more."""
    wish = Wish("english horn", 9 + 4, TODAY + timedelta(days=40))
    answer = readiness(steady.bench, wish, paths=1000)
    assert answer.into_service == (9, 14)
    assert len(answer.by_blanks) > 6
    good, lost = 2 + sum(recent(14)[:9]), 1 + sum(recent(14)[9:])
    for blanks, chance in enumerate(answer.by_blanks):
        if blanks in ASKED:
            assert chance == pytest.approx(betabinom.sf(3, blanks, good, lost), abs=0.035), blanks


def test_what_is_there_is_there_and_what_is_not_is_not(steady: Maker) -> None:
    # A reed may be dropped on any day, so nothing to come is quite sure.
    answer = readiness(steady.bench, Wish("english horn", 9, TODAY + timedelta(days=10)), paths=200)
    assert answer.chance > 0.98
    assert answer.expected == (9, 9, 9)
    assert answer.plans[0].blanks == 0
    assert answer.plans[0].by is None
    assert any("there is just enough." in line for line in readiness_text(answer))
    fewer = readiness(steady.bench, Wish("english horn", 7, TODAY + timedelta(days=10)), paths=200)
    assert "For 80%, 90%, 95%: there is enough; you can count on 9 reeds." in readiness_text(fewer)
    assert "80%, 90%, 95% for 9 reeds" in "".join(run.text for line in chance_drawing(fewer, 78, 16) for run in line)
    too_soon = readiness(steady.bench, Wish("english horn", 10, TODAY), paths=200)
    assert too_soon.chance == 0
    assert [plan.blanks for plan in too_soon.plans] == [None, None, None]
    # What to reckon with instead: the nine that are there.
    hardly = "For 80%, 90%, 95%: hardly a blank tied today is good by then; you can count on 9 reeds."
    assert hardly in readiness_text(too_soon)


# Blanks and reeds under way


def test_a_blank_is_followed_from_its_own_age() -> None:
    """Those that were undecided after 8 days all served on day 10; younger ones mostly not."""
    past = [*[Blank(10, (2, 5), "served")] * 40, *[Blank(4, (2,), "gone")] * 60]
    drawn = Blanks(past, weights(past, 1000, rng()), 0.75)
    young, old = drawn.further(1, 0, rng()).days, drawn.further(8, 2, rng()).days
    assert np.isfinite(young).mean() < 0.5
    assert np.isfinite(old).mean() > 0.9
    assert np.median(old[np.isfinite(old)]) == 2


def test_a_blank_that_is_older_than_any_was_does_not_begin_anew() -> None:
    past = [Blank(5, (2,), "served")] * 40
    assert np.all(Blanks(past, weights(past, 50, rng()), 0.75).further(8, 1, rng()).days == 0)


def test_a_blank_that_is_undecided_today_hands_on_to_another() -> None:
    past = [*[Blank(3, (), "open")] * 30, *[Blank(10, (), "served")] * 20, *[Blank(8, (), "gone")] * 20]
    drawn = Blanks(past, weights(past, 3000, rng()), 0.75).new(rng()).days
    assert np.isfinite(drawn).mean() == pytest.approx(0.5, abs=0.06)


# How long reeds last and how they score


def test_hours_are_drawn_from_what_is_said_of_hours_left(busy: Maker) -> None:
    """Of each reed: the middle and both ends of its range, and its scores reckoned with."""
    outlook = Outlook.of_bench(busy.bench)
    serving = [reed for reed in busy.bench.at_work() if reed.stage == IN_SERVICE]
    drawn = outlook.drawn(serving, 1, "english horn", 4000, rng())
    for reed, hours in zip(serving, drawn.T, strict=False):
        left = outlook.left(reed)
        assert left is not None
        assert np.mean(hours < left.lo) == pytest.approx(0.1, abs=0.02)
        assert np.mean(hours < left.middle) == pytest.approx(0.5, abs=0.03)
        assert np.mean(hours < left.hi) == pytest.approx(0.9, abs=0.02)


def test_where_little_is_known_of_lives_all_are_long_or_short_together() -> None:
    maker = Maker("1-2 tie eh 60; play 30")
    reeds = [maker.reed("1"), maker.reed("2")]
    few = Outlook.of_bench(maker.bench).drawn(reeds, 0, "english horn", 4000, rng())
    for n in range(10, 50):
        maker.type(f"{n} tie eh 60; play {600 + 4 * n}; retire worn")
    many = Outlook.of_bench(maker.bench).drawn(reeds, 0, "english horn", 4000, rng())
    assert np.corrcoef(few.T)[0, 1] > np.corrcoef(many.T)[0, 1] + 0.1
    assert abs(np.corrcoef(many.T)[0, 1]) < 0.15


def test_a_few_high_scores_are_luck_in_part() -> None:
    """Two reeds of one age among many that score about 7: the one that scored 9 twice scores less next, and more than
    the one that scored 7."""
    given = [Scored(np.array([1.0, 2.0, 3.0]), np.array([7.0, 7.5, 6.5]) + 0.3 * (n % 3 - 1)) for n in range(20)]
    fading = fading_of(ScoreSums.of((14.0 + n % 4, one) for n, one in enumerate(given)))
    lives = np.full(2000, 14.0)
    found = []
    for score in (9.0, 7.0):
        one = Scored(np.array([1.0, 2.0]), np.array([score, score]))
        course = fading.drawn([(lives, one)], 2000, rng())
        level, fall = course.of_life(lives, one, rng())
        found.append(float(np.mean(level - fall * (3.0 / 14.0) ** course.bend)))
    assert found[1] + 0.3 < found[0] < 8.8


def test_lives_that_still_last_count_as_those_that_are_over() -> None:
    """Where their length is known, it makes no difference whether their scores are counted before or after."""
    over = [(12.0, Scored(np.array([1.0, 6.0, 11.0]), np.array([8.0, 7.5, 5.0]) + 0.5 * n)) for n in range(3)]
    before, paths = fading_of(ScoreSums.of(over)), 3000
    none = np.full(paths, 12.0)
    after = fading_of(ScoreSums.of([])).drawn([(none, one) for _, one in over], paths, rng())
    beforehand = before.drawn([], paths, rng(2))
    # fading_of leaves out bends and ratios with next to no weight, so the two agree nearly.
    assert after.terms.mean(axis=0) == pytest.approx(beforehand.terms.mean(axis=0), abs=0.08)
    assert after.noise.mean() == pytest.approx(beforehand.noise.mean(), abs=0.03)
    assert np.log(after.bend).mean() == pytest.approx(np.log(beforehand.bend).mean(), abs=0.06)


def test_form_is_the_median_of_the_last_three() -> None:
    """The form of the case, reed by reed, is the reference."""
    for scores in ([], [7.0], [7.0, 8.5], [7.0, 8.5, 6.0], [9.0, 9.0, 1.0]):
        padded = np.array([*[np.nan] * (3 - len(scores)), *scores])
        expected = form(scores)
        assert form_of(padded) == pytest.approx(np.nan if expected is None else expected, nan_ok=True)


# What the maker does with her reeds


def test_a_liking_is_that_of_a_logistic_regression() -> None:
    """Two reeds a point apart, the better one taken 75 times of 100: log 3, as in any logistic regression, and a little
    less for the belief. scipy's minimum of the same likelihood and belief is the reference."""
    takings = [Taking((8.0, 7.0), (False, False), int(n % 4 == 0)) for n in range(100)]
    found, spread = likings(takings)

    def lost(b: float) -> float:
        return 75 * np.log1p(np.exp(-b)) + 25 * np.log1p(np.exp(b)) + 0.5 * ((b - LIKING[0]) / LIKING_SD[0]) ** 2

    assert found[0] == pytest.approx(minimize_scalar(lost).x, abs=1e-4)
    assert 0.9 < found[0] < np.log(3)
    assert found[1] == pytest.approx(LIKING[1])
    assert np.sqrt(spread[0, 0]) == pytest.approx((100 * 0.25 * 0.75 + LIKING_SD[0] ** -2) ** -0.5, rel=0.1)


def test_whoever_goes_on_with_one_reed_is_known_for_it() -> None:
    again = [Taking((7.0, 7.0, None), (False, True, False), 1 if n % 5 else 0) for n in range(60)]
    by_turns = [Taking((7.0, 7.0, None), (False, True, False), 2 * (n % 2)) for n in range(60)]
    assert likings(again)[0][1] > 1.5
    assert likings(by_turns)[0][1] < -1.5
    assert likings([])[0] == pytest.approx(LIKING)


def test_takings_are_of_what_was_in_the_case() -> None:
    maker = Maker("1-3 tie eh 60; play 30 8", "1 play 30 6", "2 play 30", "3 save for the concert", "1 play 20")
    found = takings([maker.reed(tag) for tag in "123"], NOW - timedelta(days=9), maker.clock.now())
    assert [one.taken for one in found] == [0, 1, 0]
    assert [len(one.form) for one in found] == [3, 3, 2]
    assert found[1].form == (7.0, 8.0, 8.0)
    assert found[1].again == (True, False, False)


def test_reeds_that_go_otherwise_are_counted_by_the_hour() -> None:
    sold = Service((1.0, 2.0), (8.0, 8.0), 0.0, lost=True)
    worn = Service((1.0, 4.0), (8.0, 6.0), 0.0, lost=False)
    hours, lost = exposure([sold, worn], 7.0)
    weight = 0.5 ** (1 / HALF_AFTER)
    assert hours == pytest.approx([3.0, 1.0 + 2.0 * weight])
    assert lost == pytest.approx([0.0, weight])
    assert exposure([sold], None)[0] == pytest.approx([0.0, 2.0])


# The days until then


def played(count: int, hours: float, columns: dict[str, list[float]], **facts: object) -> Rotation:
    """So many playings of so many hours on consecutive days, on 300 paths with the same reeds; where nothing is said
    these are in service, last, score 8 and are taken alike."""
    size, paths = len(next(iter(columns.values()))), 300
    usual = {"from_day": IN_USE, "rests": 0.0, "passes": 0.0, "hours": 9.0, "left": 1e6, "level": 8.0}
    usual |= {"fall": 0.0, "score": 8.0, "saved": 0.0}
    given = {n: np.tile(np.array(columns.get(n, [v] * size), dtype=float), (paths, 1)) for n, v in usual.items()}
    none = np.full(paths, 1e-9)
    reeds = Reeds(
        given["from_day"], given["rests"], given["passes"], given["hours"], given["left"], given["hours"],
        given["level"], given["fall"], rng().exponential(size=(paths, size)),
        np.repeat(given["score"][..., None], 3, axis=2), given["saved"][0] == 1.0, none + 1.0, none,
    )  # fmt: skip
    lost = np.full((paths, 2), facts.get("lost", 0.0))
    liking, again, on = (np.full(paths, facts.get(n, 1.0 if n == "again" else 0.0)) for n in ("liking", "again", "on"))
    ways = Ways(liking, again, on, lost, facts.get("part", 1.0), facts.get("step", 0.5), 8.0)
    rotation = Rotation(reeds, ways, 7.0)
    ahead = Ahead(np.tile(np.arange(count), (paths, 1)), np.full((paths, count), hours))
    rotation.play(ahead, chances(count, paths, Past((), (), (), (), (), TODAY, TODAY), rng()))
    return rotation


def test_playings_fall_to_all_reeds_alike_and_none_is_lost() -> None:
    hours = played(30, 0.5, {"left": [1e6] * 3}).hours
    assert hours.sum(axis=1) == pytest.approx(15)
    assert hours.mean(axis=0) == pytest.approx(5, abs=0.35)


def test_good_reeds_or_the_one_played_last_are_taken_more_where_that_is_her_way() -> None:
    """By hand: a point better and twice as readily taken is two playings of three."""
    better = played(30, 1.0, {"score": [8.0, 7.0], "level": [8.0, 7.0]}, liking=np.log(2)).hours
    assert better.mean(axis=0) == pytest.approx([20, 10], abs=0.5)
    again = played(30, 1.0, {"left": [1e6] * 2}, on=0.9).hours
    by_turns = played(30, 1.0, {"left": [1e6] * 2}, again=0.05).hours
    assert again[:, 0].std() > 5 > 1 > by_turns[:, 0].std()


def test_a_reed_is_played_from_its_day_to_its_death() -> None:
    hours = played(10, 1.0, {"from_day": [IN_USE, 6, np.inf], "left": [4.5, 1e6, 1e6]}).hours
    assert np.all(hours[:, 0] <= 4.5)
    assert np.all(hours[:, 1] <= 11)
    assert np.all(hours[:, 2] == 0)
    alone = played(3, 1.0, {"left": [2.5]})
    assert np.all(alone.hours == 2.5)
    assert not alone.good().any()


def test_what_is_left_of_a_playing_when_a_reed_goes_is_played_on_another_if_there_is_one() -> None:
    liked = {"left": [0.6, 1e6], "score": [8.0, 7.0], "level": [8.0, 7.0]}
    assert played(4, 1.0, liked, liking=10.0).hours == pytest.approx(np.tile([0.6, 3.4], (300, 1)))
    later = {"from_day": [IN_USE, 5], "left": [0.5, 1e6]}
    assert played(8, 1.0, later).hours == pytest.approx(np.tile([0.5, 3.0], (300, 1)))


def test_a_reed_that_is_finished_when_all_is_played_has_not_been_tried() -> None:
    late = played(3, 1.0, {"from_day": [IN_USE, 20]})
    assert np.all(late.there() == [True, False])
    assert np.all(late.hours == [3.0, 0.0])


def test_a_new_reed_is_taken_up_when_its_share_has_passed_it_by() -> None:
    """By hand: beside two others a third of each hour is its own, so one hour has passed after three playings and it is
    the fourth; where one is gone on with nine times in ten, a tenth of that, and where no other is left, it is at once.
    """
    new = {"from_day": [IN_USE, IN_USE, 0], "passes": [0, 0, 1.0], "score": [8, 8, np.nan]}
    by_turns = [played(count, 1.0, new).there().mean(axis=0)[2] for count in (3, 4)]
    assert by_turns == [0, 1]
    assert played(4, 1.0, new, on=0.9).there()[:, 2].mean() < 0.05
    alone = played(1, 1.0, {"from_day": [0], "passes": [5.0], "score": [np.nan]})
    assert np.all(alone.hours == 1.0)


def test_what_a_finished_reed_lets_pass_is_its_share_of_the_playing() -> None:
    """By hand: an hour a day on the one reed in use, with one and then two finished ones beside it: halves, thirds."""
    maker = Maker("1 tie eh 60; play 60 8 @2026-11-01", "2-3 tie eh 60 @2026-11-01")
    maker.type("2 scrape @2026-11-02 8:00", "3 scrape @2026-11-04 8:00")
    maker.type(*(f"1 play 60 8 @2026-11-0{day} 20:00" for day in range(2, 8)))
    maker.type("2 play 60 8 @2026-11-07 21:00")
    played_, open_ = past_of(maker.bench.reeds(), "english horn", maker.clock.now()).blanks[1:]
    assert (played_.finished, played_.days) == (1, 6)
    assert played_.waits == pytest.approx([0, 1 / 2, 1, 4 / 3, 5 / 3, 7 / 3])
    assert open_.waits[3:5] == pytest.approx([1, 5 / 3])


def test_of_a_wait_as_much_is_rest_as_is_usual_beyond_the_mean_of_a_playing() -> None:
    """Rest of 2 and then a share of 1 in the mean, both exponential: so much of each comes out again."""
    rest, share = rng().exponential(2.0, 400), rng(2).exponential(1.0, 400)
    steps = [tuple(np.linspace(0.0, one, 41)) for one in rest + share]
    blanks = [Blank(44, (4,), "served", waits=one) for one in steps]
    days, rests, passes = Blanks(blanks, weights(blanks, 4000, rng()), 1.0).new(rng())
    assert passes.mean() == pytest.approx(share.mean(), abs=0.12)
    assert days.mean() == pytest.approx(4 + 40 * np.mean(rest / (rest + share)), abs=2.0)
    assert np.all(days - rests == 4)


def test_whoever_has_a_favourite_goes_on_with_it_however_many_there_are() -> None:
    """By hand: four times in five, else any of five alike, is 1 + 5 x 4 to 1 beside one other."""
    five = [Taking((7.0,) * 5, (True, *[False] * 4), 0)]
    on, again = goes_on(np.log([21.0, 1.0, 0.5]), five)
    assert on == pytest.approx([0.8, 0, 0])
    assert again == pytest.approx([1, 1, 0.5])


def test_a_saved_reed_is_played_only_where_there_is_no_other() -> None:
    hours = played(10, 1.0, {"left": [3.0, 1e6], "saved": [0, 1]}).hours
    assert np.all(hours == [3, 7])


def test_a_new_reed_is_played_little_at_a_time() -> None:
    # Half of what there is at a time until three hours; the rest waits for the next.
    assert np.all(played(2, 1.0, {"hours": [0.0]}, part=0.5).hours == 0.5 + 0.75)
    # From three hours on, all that was left over.
    assert np.all(played(2, 1.0, {"hours": [2.5]}, part=0.5).hours == 2.0)


def test_a_blank_that_rests_is_among_those_that_wait() -> None:
    """By hand: beside one reed in use and one blank whose turn comes at half an hour's share; of two playings of half
    an hour that passes it by, and of three where another blank rests meanwhile."""
    columns = {"from_day": [IN_USE, 0, np.inf], "rests": [0, 0, 0], "passes": [0, 0.5, 0], "score": [8, np.nan, np.nan]}
    resting = columns | {"from_day": [IN_USE, 0, 9], "rests": [0, 0, 9]}
    first = [[played(n, 0.5, one).there()[0, 1] for n in (2, 3, 4)] for one in (columns, resting)]
    assert first == [[False, True, True], [False, False, True]]


def test_scores_are_in_her_steps() -> None:
    noted = [played(1, 1.0, {"level": [6.6]}, step=step)._recent[0, -1] for step in (0.5, 1.0)]
    assert noted == [6.5, 7.0]


def test_scores_fall_as_the_life_goes_by() -> None:
    """By hand: 8 less 3 over a life of 18 h, in a straight line; after 9 h more nothing is left but 5."""
    falling = {"left": [9.0 + 1e-6], "level": [8.0], "fall": [3.0]}
    assert played(1, 0.1, falling).good().all()
    assert not played(8, 1.0, falling).good().any()


def test_a_share_of_reeds_is_lost_with_the_hours() -> None:
    """One in ten hours: exp(-1) are left after ten (the exponential law)."""
    left = played(10, 1.0, {"left": [1e6]}, lost=0.1).good()
    assert left.mean() == pytest.approx(np.exp(-1), abs=0.08)


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


def test_of_very_many_playings_the_earlier_are_joined() -> None:
    many = ahead(past(60), 300, 250.0, 50, rng())
    assert many.day.shape[1] <= MOST_PLAYINGS
    assert many.totals == pytest.approx(250)


def by_seasons(*seasons: tuple[int, float]) -> np.ndarray:
    """Hours day by day: so many days with so many hours each."""
    return np.repeat([hours for _, hours in seasons], [days for days, _ in seasons])


@pytest.mark.parametrize(
    ("daily", "like"),
    [
        # Busy for a week after six quiet ones, as twice before.
        (by_seasons(*(((42, 0.2), (80, 2.0)) * 2), (42, 0.2), (7, 2.0)), [*range(45, 52), *range(167, 174)]),
        # Quiet for a week, as once before.
        (by_seasons((80, 2.0), (42, 0.2), (80, 2.0), (7, 0.2)), range(84, 92)),
        # The end of a quiet summer, as a year before: the fortnights about that day.
        (by_seasons((60, 1.5), (60, 0.2), (305, 1.5), (60, 0.2)), range(105, 136)),
    ],
)  # fmt: skip
def test_weeks_to_come_are_drawn_from_times_that_were_like_today(daily: np.ndarray, like: Iterable[int]) -> None:
    begun = starting_at(daily)
    assert begun.sum() == pytest.approx(1)
    assert begun[list(like)].sum() > 4 * len(list(like)) / len(daily)
    assert begun[list(like)].sum() > 0.4
    assert not begun[-5:].any()  # nearly today, and nothing follows


def test_where_no_time_was_like_today_all_days_are_drawn_and_the_recent_more() -> None:
    begun = starting_at(by_seasons((100, 1.0), (5, 9.0)))
    assert begun.max() < 0.05
    assert begun[80] > 1.3 * begun[10] > 0
    assert starting_at(np.zeros(40)).sum() == pytest.approx(1)
    assert starting_at(np.ones(1)).tolist() == [1.0]


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
    assert (first.hours, first.lost, first.before) == ((0.5,), True, 0)
    assert (second.hours, second.form, second.lost, second.before) == ((1.5, 2.0), (7.0, 7.0), False, 0.5)


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


@pytest.fixture(scope="module")
def told(busy: Maker) -> Readiness:
    return readiness(busy.bench, WISH, paths=100)


def test_the_same_question_has_the_same_answer(busy: Maker) -> None:
    soon = replace(WISH, on=TODAY + timedelta(days=14))
    one, two = (readiness(busy.bench, soon, seed=5, paths=50) for _ in range(2))
    assert one == two
    assert readiness(busy.bench, soon, seed=6, paths=50) != one


def test_more_blanks_never_harm_and_more_reeds_are_never_likelier(told: Readiness) -> None:
    assert list(told.by_blanks) == sorted(told.by_blanks)
    assert list(told.at_least) == sorted(told.at_least, reverse=True)
    assert told.at_least[0] == 1
    assert told.chance == pytest.approx(told.at_least[4])
    wanted = [plan.blanks for plan in told.plans if plan.blanks is not None]
    assert wanted == sorted(wanted)


def test_blanks_that_are_tied_too_late_do_not_help(told: Readiness) -> None:
    assert any(plan.by is not None for plan in told.plans)
    for plan in told.plans:
        if plan.by is not None:
            assert TODAY <= plan.by < WISH.on - timedelta(days=4)  # no reed of hers served sooner than on the fifth day


def test_a_level_of_ones_own(busy: Maker) -> None:
    chances = []
    for level in (3, 7, 9.5):
        busy.type(f"set public {level}")
        chances.append(readiness(busy.bench, Wish("english horn", 1, WISH.on), paths=300, blanks=False).chance)
    busy.type("set public 7")
    assert chances == sorted(chances, reverse=True)
    assert chances[2] < 0.02 < chances[0], chances


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
        (Wish("oboe", 1, TODAY + timedelta(days=1), rehearsal_hours=30), "do not fit into 1 day"),
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
    bench = bench_until(simulate(2, reeds=90), NOW + timedelta(days=60))
    answer = readiness(bench, Wish("oboe", 2, NOW.date() + timedelta(days=80)), paths=100, blanks=False)
    assert answer.leans == ()


def test_other_instruments_stand_in_where_there_is_little() -> None:
    maker = Maker(*(f"{n} tie oboe 72; play 60 8" for n in range(1, 9)), "20 tie eh 60")
    answer = readiness(maker.bench, Wish("english horn", 1, TODAY + timedelta(days=40)), paths=100, blanks=False)
    assert "Your reeds for other instruments count in part." in answer.leans
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


def test_it_in_words_and_as_json(told: Readiness) -> None:
    lines = readiness_text(told)
    assert lines[0] == "4 English horn reeds to play in public on Fri 25 Dec 2026, in 30 days:"
    assert lines[1].startswith("with today's stock the chance is ")
    assert lines[2].startswith("Of 3 in service and 2 on the bench, ")
    assert lines[3].startswith("For 80%: ")
    assert any(line.startswith("It goes by your blanks (12 of 18 came into service), ") for line in lines)
    document = readiness_as_dict(told)
    assert document["chance"] == told.chance
    assert document["expected"] == dict(zip(("median", "lo", "hi"), told.expected, strict=True))
    assert [plan["chance"] for plan in document["plans"]] == [0.8, 0.9, 0.95]  # type: ignore[index, union-attr]


# Whether it comes true


def test_of_forecasts_at_80_of_100_about_80_come_true() -> None:
    """Simulated makers of seven kinds; many more in tests/benchmarks. The share that came true lies within 2.6 binomial
    standard errors (99 of 100) of what was forecast."""
    names = ("plain", "good reeds played more", "retired by score", "60 days", "one favourite", "good ones sold")
    worlds = [WORLDS[name] for name in names]
    found = [case for world in worlds for case in near(list(cases_of_world(world, 1003, paths=100)), 0.8)]
    found += [case for seed in range(1003, 1005) for case in cases(seed, paths=100)]
    forecast = sum(case.chance for case in found) / len(found)
    error = sqrt(sum(case.chance * (1 - case.chance) for case in found)) / len(found)
    assert forecast == pytest.approx(0.8, abs=0.04)
    assert sum(case.came_true for case in found) / len(found) == pytest.approx(forecast, abs=2.6 * error)
