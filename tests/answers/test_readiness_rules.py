"""The rules of readiness, each by itself: what counts of the past, how days are weighed, what is asked and said."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from math import exp
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from tests.domain.maker import NOW, Maker

from reedkin.answers.circle.beginnings import BlanksBefore
from reedkin.answers.ready import ahead, common, forecast, telling
from reedkin.answers.ready.ahead import Ahead, _few_a_day
from reedkin.answers.ready.blanks import Blanks
from reedkin.answers.ready.drawing import pick
from reedkin.answers.ready.forecast import Plan, Readiness, Wish
from reedkin.answers.ready.past import Blank, Past, Playing, Service, past_of, settled
from reedkin.answers.ready.scoring import USUAL_SCORING, Scoring, scoring_of
from reedkin.answers.ready.shares import Shares, finished
from reedkin.answers.ready.simulation import playable, too_little_played
from reedkin.answers.ready.taking import Taking, goes_on, likings, takings
from reedkin.answers.ready.ways import exposure, part_of_new, ways
from reedkin.errors import InputError
from reedkin.survival.arrays import in_parts
from reedkin.survival.life_law import MEDIAN_SD

TODAY = NOW.date()
SERVED, GONE, OPEN = (Blank(5, (), outcome) for outcome in ("served", "gone", "open"))
NOTHING = Past((), (), (), (), (), TODAY, TODAY)


def rng(seed: int = 1) -> np.random.Generator:
    return np.random.default_rng(seed)


# What counts of the past


def test_of_her_own_blanks_the_later_count_more_and_those_of_other_instruments_half() -> None:
    maker = Maker("1-4 tie eh 60 @2026-11-01", "5-6 tie oboe 72 @2026-11-01")
    maker.type("1 play 30 8", "2-3 retire cracked", "5 play 30 8", "6 retire cracked")
    found = past_of(maker.bench.reeds(), "english horn", NOW + timedelta(hours=1))
    assert [blank.outcome for blank in found.blanks] == ["served", "gone", "gone", "open"]
    assert settled(found.blanks) == 3
    assert found.blanks[-1].weight == 1
    assert found.blanks[0].weight < found.blanks[1].weight
    assert found.lent_blanks[-1].weight == 0.5
    assert [blank.outcome for blank in found.lent_blanks] == ["served", "gone"]
    assert len(found.playings) == 1


def test_with_five_settled_blanks_of_the_instrument_no_others_are_lent() -> None:
    maker = Maker("1-5 tie eh 60", "6 tie oboe 72", "1-4 retire cracked")
    assert len(past_of(maker.bench.reeds(), "english horn", NOW + timedelta(hours=1)).lent_blanks) == 1
    maker.type("5 retire cracked")
    assert past_of(maker.bench.reeds(), "english horn", NOW + timedelta(hours=1)).lent_blanks == ()


def test_which_reed_she_takes_is_learnt_from_a_quarter_of_a_year() -> None:
    maker = Maker("1-2 tie eh 60 @2026-01-01", "1-2 play 30 8 @2026-01-05", now=NOW)
    for days in (92, 91, 90):
        maker.type(f"1 play 30 8 @{TODAY - timedelta(days=days)} 12:00")
    maker.type(f"2 play 30 8 @{TODAY - timedelta(days=80)}")
    noon = NOW.replace(hour=12, minute=0)
    assert [one.taken for one in past_of(maker.bench.reeds(), "english horn", noon).takings] == [0, 0, 1]


def test_the_days_of_playing_begin_with_the_first_reed_and_end_today() -> None:
    maker = Maker("1 tie eh 60 @2026-11-01", "1 play 30 8 rehearsal @2026-11-20", "1 play 45 @2026-11-22")
    found = past_of(maker.bench.reeds(), "english horn", maker.clock.now())
    assert (found.first_day, found.last_day) == (date(2026, 11, 1), TODAY)
    assert found.playings == (
        Playing(date(2026, 11, 20), 30, "rehearsal"),
        Playing(date(2026, 11, 22), 45, ""),
    )
    assert found.scored_share == 0.5
    none = past_of([], "english horn", maker.clock.now())
    assert (none.first_day, none.last_day, none.scored_share) == (TODAY, TODAY, 1.0)


def test_a_log_of_a_fortnight_with_five_playings_of_late_is_enough_to_draw_weeks_from() -> None:
    first, last = (Playing(TODAY - timedelta(days=days), 30, "") for days in (400, 91))
    enough = replace(NOTHING, playings=(first, first, first, first, last), first_day=TODAY - timedelta(days=14))
    assert not too_little_played(enough)
    assert playable(enough) is enough
    for short in (
        replace(enough, first_day=TODAY - timedelta(days=13)),
        replace(enough, playings=()),
        replace(enough, playings=enough.playings[1:]),
        replace(enough, playings=(*enough.playings[:4], replace(last, day=TODAY - timedelta(days=92)))),
    ):
        assert too_little_played(short)
        usual = playable(short)
        assert len(usual.playings) == 20
        assert {(one.minutes, one.setting) for one in usual.playings} == {(45, "practice")}
        assert usual.first_day == usual.playings[0].day - timedelta(days=1) == TODAY - timedelta(days=29)


def test_common_blanks_count_for_three_of_which_two_come_good() -> None:
    blanks = common.common_blanks()
    assert sum(blank.weight for blank in blanks) == pytest.approx(3)
    assert sum(blank.weight for blank in blanks if blank.outcome == "served") == pytest.approx(2)
    assert [blank.days for blank in blanks] == [6, 8, 9, 11, 13, 16, 5, 8, 12]
    # A surplus has to wait with them, too: for its share of a playing.
    assert {blank.waits[-1] for blank in blanks if blank.outcome == "served"} == {common.FIRST_HOURS}
    assert blanks[1].sittings == (2, 5)
    weighed = common.common_blanks(0.5, 6.0)
    assert sum(blank.weight for blank in weighed if blank.outcome == "gone") == pytest.approx(3)


def test_reeds_lost_are_counted_by_the_hours_below_the_level_and_at_it() -> None:
    at_level = Service((2.0, 3.0), (7.0, 6.9), 0.5, lost=True)
    assert [list(part) for part in exposure([at_level], 7.0)] == [[1.0, 1.5], [1.0, 0.0]]
    unscored = Service((2.0,), (None,), 0.0, lost=True)
    assert [list(part) for part in exposure([unscored], 7.0)] == [[2.0, 0.0], [1.0, 0.0]]
    assert [list(part) for part in exposure([unscored], None)] == [[0.0, 2.0], [0.0, 1.0]]


def test_one_reed_is_lost_in_a_hundred_hours_until_she_has_played_more_and_lost_fewer() -> None:
    """A hundred hours are common practice, no source."""
    assert ways(NOTHING, None, 4000, rng()).lost.mean(axis=0) == pytest.approx([0.01, 0.01], rel=0.05)
    hers = replace(NOTHING, services=(Service((100.0,), (7.0,), 0.0, lost=False),))
    hers = ways(hers, 7.0, 4000, rng()).lost.mean(axis=0)
    assert hers == pytest.approx([0.01, 0.005], rel=0.05)


def test_a_new_reed_is_played_as_long_as_others_but_where_she_plays_hers_little_at_a_time() -> None:
    """By hand: while new, hers are played three quarters as long, and three of common practice for as long."""

    def served(*long: float) -> Service:
        return Service(tuple(np.cumsum(long).tolist()), (7.0,) * len(long), 0.0, lost=False)

    little, alike, longer = served(0.5, 0.5, 1, 1, 1, 1, 1), served(0.5, 1, 1.5, 1, 1), served(3, 1)
    assert part_of_new([little] * 2) == pytest.approx((3 + 2 * 0.75) / 5, abs=0.01)
    assert [part_of_new(one) for one in ([], [served(1, 1)], [alike, alike], [longer])] == [1, 1, 1, 1]
    back = Service((5.0, 6.0), (7.0, 7.0), 4.0, lost=False)
    assert part_of_new([little, back]) == pytest.approx((3 + 0.75) / 4, abs=0.01)


def test_scores_scatter_as_hers_did_and_in_her_steps() -> None:
    """By hand: of six scores the middle two have two before and after them, of which they are 0 and 1 off."""
    maker = Maker("1 tie eh 60", *(f"1 play 30 {score}" for score in (7, 7, 7, 8, 7, 7)))
    assert scoring_of([maker.reed("1")]) == Scoring((-1.0, 1.0), 0.5)
    maker.type(*(f"1 play 30 {score}" for score in (7, 7, 7, 7)))
    whole = scoring_of([maker.reed("1")])
    assert whole.step == 1.0
    assert whole.off == pytest.approx([-(5**-0.5), 5**0.5, *[-(5**-0.5)] * 4])
    drawn = whole.drawn((300, 100), rng())
    assert (drawn == whole.off[0]).mean() == pytest.approx(5 / 26, abs=0.01)  # beside 20 by the normal law
    assert (drawn.mean(), drawn.std()) == pytest.approx((0, 1), abs=0.02)
    maker.type("1 play 30 6.5")
    assert scoring_of([maker.reed("1")]).step == 0.5
    assert scoring_of([]) == USUAL_SCORING


def test_a_blank_is_finished_with_the_last_work_on_it_before_it_is_played() -> None:
    maker = Maker("1 tie eh 60", "1 scrape tip", "1 clip .5", "1 play 30 8", "1 scrape back")
    tied, scraped, clipped, *_ = (step.at for step in maker.reed("1").standing)
    told = [finished(maker.reed("1"), at) for at in (tied, scraped, clipped, maker.clock.now())]
    assert told == [None, scraped, clipped, clipped]


def test_what_was_taken_where_there_was_no_choice_says_nothing_of_what_she_likes() -> None:
    chosen = [Taking((8.0, 7.0, 6.0), (False, True, False), n % 2) for n in range(20)]
    forced = [Taking((8.0,), (True,), 0) for _ in range(20)]
    assert likings([*chosen, *forced])[0] == pytest.approx(likings(chosen)[0], abs=1e-6)


def test_a_playing_that_passes_a_finished_blank_by_counts_for_its_share() -> None:
    """By hand: an hour, when a reed a point better than new ones was in the case, another as good as those and played
    last, and the blank itself; by what she took up she likes one better by its form, and to change."""
    maker = Maker("1-3 tie eh 60", "1 play 30 8", "2 play 30 7", "3 scrape tip")
    since = maker.clock.now()
    maker.type("1 play 60")
    reeds, now = [maker.reed(tag) for tag in "123"], maker.clock.now()
    (liking, again), _ = likings(takings(reeds, NOW, now))
    assert liking > 0
    assert again < 0
    shares = Shares(reeds, now, 7.0)
    passed = 1 / (exp(liking) + exp(again) + 1)
    assert shares.let_pass(since, now, 1) == pytest.approx((0.0, passed))
    assert shares.let_pass(since, since, 1) == (0.0, 0.0)
    assert Shares([], since, None).let_pass(since, since, 1) == (0.0, 0.0)


def test_what_fell_to_a_favourite_was_not_open_to_others_as_long_as_she_had_one() -> None:
    """By hand: she went on with one of two reeds, so that of a playing only a part was open to the blank; in the next
    quarter of a year she plays them by turns, and then lends one. One without a score is as one that is new; of two
    blanks one is given up later."""
    maker = Maker("1-4 tie eh 60", "1 play 30", "2 play 30", *["2 play 30"] * 30, "3-4 scrape tip")
    since, reeds = maker.clock.now(), "1234"
    maker.type("2 play 90")
    maker.clock.forward(days=91)
    later = maker.clock.now()
    maker.type(*["1 play 30", "2 play 30"] * 10, "1 lend to a pupil", "4 retire cracked", "2 play 60")
    every, now = [maker.reed(tag) for tag in reeds], maker.clock.now()
    then, of_late = takings(every, NOW, since + timedelta(days=1)), takings(every, later, now)
    (on,), _ = goes_on(likings(then)[0][1:], then)
    (none,), (again,) = goes_on(likings(of_late)[0][1:], of_late)
    assert on > 0.5
    assert none == 0
    favourite = 1.5 * (1 - on) / 3  # beside two in the case, the blank that still lies there
    by_turns, alone = 20 * 0.5 / (1 + again + 1), 1.0 / (again + 1)
    passed = Shares(every, now, None).let_pass(since, now, 91)
    assert passed[90:] == pytest.approx((favourite, favourite + by_turns + alone))


# Which days are like today: as the docstrings of `starting_at` and its constants say it, reckoned day by day


def _starting_at(daily: list[float]) -> np.ndarray:
    length = len(daily)

    def mean(first: int, last: int) -> float:
        return sum(daily[first:last]) / (last - first)

    def before(day: int) -> tuple[float, float]:
        """The mean hours a day in the week before a day, and in the four weeks before that week."""
        week, month = max(day - 7, 0), max(day - 35, 0)
        lately = mean(week, day) if day else 0.0
        return lately, mean(month, week) if week > month else lately

    unit = float(np.std(daily)) / 7**0.5
    weight = []
    for day in range(length):
        apart = sum(((one - now) / unit) ** 2 for one, now in zip(before(day), before(length), strict=True))
        years = round((length - day) / 365.25)
        off = abs(length - day - years * 365.25)
        here = (exp(-0.5 * apart) + 0.01) * 0.5 ** (off / 91 + years / 2)
        if years:
            here *= 1 + 4 * exp(-0.5 * (off / 14) ** 2)
        weight.append(here if min(7, length // 2) <= day < max(length - 14, (length + 1) // 2) else 0.0)
    return np.array(weight) / sum(weight)


@pytest.mark.parametrize("length", [9, 25, 120, 500, 900])
def test_how_likely_a_run_begins_on_each_day(length: int) -> None:
    daily = rng(length).gamma(0.7, size=length)
    assert ahead.starting_at(daily) == pytest.approx(_starting_at(daily.tolist()), abs=1e-12)


@pytest.mark.parametrize("days", [10, 60])
def test_what_few_days_hide_is_added_to_the_spread(days: int) -> None:
    """A daily variance s^2 seen on n days gives d days a variance of d s^2 (1 + d/n) in all, of which runs have
    d s^2 (1 - d/n), or none: the factors add the rest."""
    daily = np.array([0.0, 1.0, 2.0, 3.0] * 10)
    runs = (np.arange(10_000)[:, None] + np.arange(days)) % 40
    n, variance, mean = 40, 1.25, 1.5
    wanted = days * variance * ((1 + days / n) - max(1 - days / n, 0)) / (mean * days) ** 2
    factors = ahead._unsteadiness(daily, runs, rng())
    assert factors.mean() == pytest.approx(1, abs=0.01)
    assert factors.var() == pytest.approx(wanted, rel=0.05)


def test_nothing_to_come_or_nothing_played_is_not_spread() -> None:
    assert ahead._unsteadiness(np.ones(4), np.zeros((3, 0), dtype=int), rng()).tolist() == [1, 1, 1]
    assert ahead._unsteadiness(np.zeros(4), np.zeros((2, 5), dtype=int), rng()).tolist() == [1, 1]


def test_rehearsals_are_spread_evenly_each_as_long_as_hers_usually_are() -> None:
    own = [Playing(TODAY, minutes, setting) for minutes, setting in ((60, "rehearsal"), (120, "rehearsal"),
           (180, "rehearsal"), (10, "practice"))]  # fmt: skip
    assert ahead._rehearsals(own, 8.0, 8) == [(1, 2.0), (3, 2.0), (5, 2.0), (7, 2.0)]
    assert len(ahead._rehearsals([], 5.0, 20)) == 4
    assert ahead._rehearsals(own, 0.5, 1) == [(0, 0.5)]
    assert ahead._rehearsals(own, 0.0, 8) == ahead._rehearsals(own, 8.0, 0) == []


def test_hours_are_minutes_on_the_days_after_the_first_and_named_rehearsals_replace_hers() -> None:
    """Forty days with an hour's practice and half an hour's rehearsal each: any run of them has the same."""
    days = [TODAY - timedelta(days=n) for n in range(40, 0, -1)]
    playings = [one for day in days for one in (Playing(day, 60, "practice"), Playing(day, 30, "rehearsal"))]
    first = TODAY - timedelta(days=41)
    hers = replace(NOTHING, playings=tuple(playings), first_day=first, last_day=TODAY - timedelta(days=1))
    found = ahead.ahead(hers, 10, None, 30, rng())
    assert found.totals == pytest.approx(np.full(30, 15.0))
    assert sorted(set(found.day.ravel().tolist())) == list(range(10))
    named = ahead.ahead(hers, 10, 2.5, 30, rng())
    assert named.totals == pytest.approx(np.full(30, 12.5))
    assert ahead.ahead(replace(hers, first_day=days[-1]), 1, None, 5, rng()).totals == pytest.approx(np.zeros(5))


def test_playings_are_joined_beyond_the_most_and_none_is_lost() -> None:
    for count in (96, 97, 300):
        given = Ahead(np.arange(count)[None], np.arange(1, count + 1, dtype=float)[None])
        found = ahead._joined(given)
        assert found.hours.sum() == given.hours.sum()
        assert found.day.shape == found.hours.shape
        assert (found is given) is (count <= 96)
        assert found.day.shape[1] <= 96
        assert found.day[0, -48:].tolist() == list(range(count))[-48:]
        assert (np.diff(found.day) > 0).all()
        assert found.day[0, 0] == 0
    assert ahead._joined(Ahead(np.arange(300)[None], np.ones((1, 300)))).day.shape[1] == 96


# Which past blank is followed


def test_a_past_blank_is_followed_as_far_as_it_was_worked_on_as_often_and_undecided() -> None:
    past = [Blank(10, (1, 3), "served"), Blank(10, (), "served"), Blank(4, (1, 3), "gone"), Blank(5, (1, 3, 4), "gone")]
    blanks = Blanks(past, np.ones((1, 4)), 1.0)
    assert blanks._likeness(4.0, 2) == pytest.approx([1.0, exp(-2), 0.0, exp(-0.5)])


def test_a_column_is_drawn_as_often_as_it_weighs() -> None:
    drawn = pick(np.array([[1.0, 0.0, 3.0]] * 4000), rng())
    assert np.bincount(drawn, minlength=3) / 4000 == pytest.approx([0.25, 0, 0.75], abs=0.02)
    parts = list(in_parts(1_100_000, 1))
    assert [part.start for part in parts] == [0, 500_000, 1_000_000]
    assert list(in_parts(2, 900_000)) == [slice(0, 1), slice(1, 2)]


def test_hundreds_of_playings_in_a_day_are_joined_and_a_few_are_not() -> None:
    on = np.repeat([0, 2, 3], [300, 24, 1])
    hours = np.linspace(0.1, 1.0, len(on))
    days, joined = _few_a_day(on, hours)
    assert np.bincount(days).tolist() == [24, 0, 24, 1]
    assert np.bincount(days, joined) == pytest.approx(np.bincount(on, hours))
    assert joined[24:].tolist() == hours[300:].tolist()


# What is asked


def test_what_can_be_asked() -> None:
    for wish in (
        Wish("oboe", 1, TODAY),
        Wish("oboe", 1, TODAY + timedelta(days=366)),
        Wish("oboe", 1, TODAY, rehearsal_hours=24),
        Wish("oboe", 1, TODAY + timedelta(days=2), rehearsal_hours=48),
        Wish("oboe", 1, TODAY, rehearsal_hours=0),
    ):
        assert forecast._checked(wish, NOW) == (wish.on - TODAY).days
    for wish in (
        Wish("oboe", 1, TODAY - timedelta(days=1)),
        Wish("oboe", 1, TODAY + timedelta(days=367)),
        Wish("oboe", 0, TODAY),
        Wish("oboe", 1, TODAY, rehearsal_hours=24.5),
        Wish("oboe", 1, TODAY, rehearsal_hours=-0.5),
    ):
        with pytest.raises(InputError):
            forecast._checked(wish, NOW)


def test_a_level_is_asked_of_who_scores_a_quarter_of_her_playings() -> None:
    playings = (Playing(TODAY, 30, ""),)
    usual = Maker("1 tie eh 60").bench
    hers = Maker("set public 8.5").bench
    assert forecast.level_of(usual, replace(NOTHING, playings=playings, scored_share=0.25)) == 7
    assert forecast.level_of(hers, replace(NOTHING, playings=playings, scored_share=1.0)) == 8.5
    assert forecast.level_of(hers, replace(NOTHING, playings=playings, scored_share=0.24)) is None
    assert forecast.level_of(usual, replace(NOTHING, scored_share=0.0)) == 7


def test_what_is_promised_is_what_is_ordered_for_then_or_before_or_for_no_day() -> None:
    maker = Maker(
        "order duo 2 eh by 2026-12-10", "order trio 3 eh by 2026-12-11", "order solo 4 eh", "order band 5 oboe"
    )
    assert forecast._promised(maker.bench, Wish("english horn", 1, date(2026, 12, 10))) == 6
    assert forecast._promised(maker.bench, Wish("english horn", 1, date(2026, 12, 11))) == 9


def _asking(days: int, good: Any, wanted: int = 1) -> forecast._Asking:
    """Asked of a simulation of 100 paths whose share of enough reeds is known."""

    def counts(blanks: int, tied_in: int = 0) -> np.ndarray:
        return wanted * (np.arange(100) < round(100 * good(blanks, tied_in))).astype(float)

    simulation: Any = SimpleNamespace(days=days, good=counts)
    return forecast._Asking(simulation, wanted)


def test_the_chance_with_blanks_lies_between_those_that_were_reckoned_and_never_falls() -> None:
    shares = {0: 0.1, 1: 0.3, 2: 0.2, 3: 0.4, 4: 0.5, 5: 0.6, 6: 0.7, 8: 0.8, 10: 0.94, 12: 0.96}
    seen: list[float] = []
    found = _asking(30, lambda blanks, _: shares[blanks]).by_blanks(seen.append)
    assert found == pytest.approx([0.1, 0.3, 0.3, 0.4, 0.5, 0.6, 0.7, 0.75, 0.8, 0.87, 0.94, 0.95, 0.96])
    assert seen == pytest.approx([n / 24 for n in shares])


def test_it_is_reckoned_as_far_as_three_blanks_and_no_further_than_the_highest_chance_or_24() -> None:
    assert len(_asking(30, lambda blanks, _: 1.0).by_blanks(lambda done: None)) == 4
    assert len(_asking(30, lambda blanks, _: 0.95).by_blanks(lambda done: None)) == 4
    assert len(_asking(30, lambda blanks, _: 0.94).by_blanks(lambda done: None)) == 25


@pytest.mark.parametrize(("days", "last"), [(10, 7), (64, 7), (66, 7), (160, 90), (7, 7), (0, 0)])
def test_the_last_day_for_tying_is_told_to_a_sixteenth_of_the_time_there_is(days: int, last: int) -> None:
    step = max(days // 16, 1)
    found = _asking(days, lambda blanks, tied_in: 0.8 if tied_in <= last else 0.79)._latest(3, 0.8)
    assert found == min(last, days) // step * step
    assert _asking(days, lambda blanks, tied_in: 0.8)._latest(3, 0.8) == days // step * step


def test_a_plan_for_each_chance_that_one_plans_for() -> None:
    asking = _asking(30, lambda blanks, tied_in: 0.95 if tied_in <= 4 else 0.0)
    plans = asking.plans((0.8, 0.85, 0.9, 0.94), TODAY, lambda done: None)
    assert plans == (
        Plan(0.80, 0, None),
        Plan(0.90, 2, TODAY + timedelta(days=4)),
        Plan(0.95, None, None),
    )


def test_a_spread_is_the_middle_and_eight_of_ten() -> None:
    assert forecast._spread(np.arange(1, 101, dtype=float)) == (50, 10, 90)


# What it leans on


def _leans(past: Past, spread: float, worn: int = 9, helped: bool = False, level: float | None = 7.0,
           before: BlanksBefore | None = None) -> tuple[str, ...]:  # fmt: skip
    known: Any = SimpleNamespace(law=SimpleNamespace(spread=spread * MEDIAN_SD), before=None, worn=worn, helped=helped)
    return forecast.leans_of(past, known, level, before)


def test_what_makes_up_a_quarter_is_named() -> None:
    played = replace(NOTHING, playings=(Playing(TODAY, 30, ""),) * 5, first_day=TODAY - timedelta(days=60))
    nine, more = (replace(played, blanks=(SERVED,) * count) for count in (9, 10))
    (blanks,) = _leans(nine, 0.1)
    assert blanks.startswith("Few of your blanks are settled: it leans by 25% on two blanks of three")
    assert _leans(more, 0.499) == ()
    (lives,) = _leans(more, 0.5)
    assert lives.startswith("Few of your reeds are worn out: it leans by 25% on a life of 10 to 15 hours")
    assert _leans(more, 1.4)[0].startswith("Few of your reeds are worn out: it leans by 100% on")
    (circle,) = _leans(more, 0.1, before=BlanksBefore(0.62, 90, 4))
    assert circle.startswith(
        "Few of your blanks are settled: it leans by 38% on your circle of 4 makers, of whose blanks 62%"
    )


def test_other_instruments_are_named_where_they_count() -> None:
    played = replace(NOTHING, playings=(Playing(TODAY, 30, ""),) * 5, first_day=TODAY - timedelta(days=60))
    much = replace(played, blanks=(SERVED,) * 20)
    others = ("Your reeds for other instruments count in part.",)
    assert _leans(replace(much, lent_blanks=(GONE,)), 0.1) == others
    assert _leans(much, 0.1, worn=4, helped=True) == others
    assert _leans(much, 0.1, worn=5, helped=True) == _leans(much, 0.1, worn=4) == ()


def test_little_playing_and_scores_that_are_seldom_noted_are_named() -> None:
    (playing,) = _leans(replace(NOTHING, blanks=(SERVED,) * 20), 0.1)
    assert playing.startswith("Too little playing is noted: in its place stand five times 45 minutes a week")
    much = replace(
        NOTHING, blanks=(OPEN,) * 20, playings=(Playing(TODAY, 30, ""),) * 5, first_day=TODAY - timedelta(days=60)
    )
    assert _leans(much, 0.1, level=None) == ("You seldom note scores: every reed in service is counted as good.",)


# In words


def _told(**others: Any) -> Readiness:
    maker = Maker("1-2 tie eh 60; play 30 8", "3 tie eh 60")
    usual = Readiness(
        Wish("english horn", 2, TODAY + timedelta(days=8)), 8, 7.0, tuple(maker.bench.reeds()), 0, 0.5, (2, 1, 3),
        (1.0, 0.9, 0.5, 0.1), (0.5, 0.7, 0.9), (), (12.4, 8.6, 15.5), (14, 20), 9, (),
    )  # fmt: skip
    return replace(usual, **others)


def test_the_chance_in_words() -> None:
    assert telling.chance_lines(_told()) == [
        "2 English horn reeds to play in public on Thu 3 Dec 2026, in 8 days:",
        "with today's stock the chance is 50%.",
        "Of 2 in service and 1 on the bench, 2 (1 to 3) then with a score of 7 or more.",
    ]
    today = _told(wish=Wish("oboe", 1, TODAY), days=0, level=None, stock=(), expected=(0, 0, 0))
    assert telling.chance_lines(today) == [
        "1 oboe reed to play in public on Wed 25 Nov 2026, today:",
        "with today's stock the chance is 50%.",
        "Of 0 in service and 0 on the bench, 0 then.",
    ]
    assert telling.chance_lines(_told(days=1))[0].endswith(", in 1 day:")


@pytest.mark.parametrize(
    ("chance", "said"), [(0.0, "under 1%"), (0.009, "under 1%"), (0.01, "1%"), (0.99, "99%"), (0.991, "over 99%")]
)
def test_a_chance_is_never_quite_none_or_all(chance: float, said: str) -> None:
    assert telling.percent(chance) == said


def test_plans_in_words() -> None:
    day = date(2026, 12, 1)
    plans = (Plan(0.8, 0, None), Plan(0.9, 1, day), Plan(0.9, 4, day), Plan(0.9, None, None), Plan(0.5, None, None))
    assert telling.plan_lines(_told(plans=plans)) == [
        "For 80%: there is just enough.",
        "For 90%: tie 1 blank by Tue 1 Dec 2026.",
        "For 90%: tie 4 blanks by Tue 1 Dec 2026.",
        "For 90%: not even 24 blanks tied today would do; you can count on 1 reed.",
        "For 50%: not even 24 blanks tied today would do; you can count on 2 reeds.",
    ]
    more = telling.plan_lines(_told(at_least=(1.0, 1.0, 1.0, 0.8, 0.79), plans=(Plan(0.8, 0, None),)))
    assert more == ["For 80%: there is enough; you can count on 3 reeds."]
    alike = telling.plan_lines(_told(plans=(Plan(0.8, 4, day), Plan(0.9, 4, day), Plan(0.95, 5, day))))
    assert alike == ["For 80%, 90%: tie 4 blanks by Tue 1 Dec 2026.", "For 95%: tie 5 blanks by Tue 1 Dec 2026."]
    just = telling.plan_lines(_told(at_least=(1.0, 1.0, 0.8, 0.79), plans=(Plan(0.8, 0, None),)))
    assert just == ["For 80%: there is just enough."]
    none = telling.plan_lines(_told(at_least=(1.0, 0.1), plans=(Plan(0.8, None, None),)))
    assert none == ["For 80%: not even 24 blanks tied today would do; you can count on no reed."]


def test_what_it_goes_by_in_words() -> None:
    goes_by = (
        "It goes by your blanks (14 of 20 came into service), how 9 reeds of yours fared in service, and 12 h "
        "(9 to 16) of playing until then."
    )
    assert telling.basis_lines(_told()) == [goes_by]
    for promised, are in ((1, "1 reed is"), (2, "2 reeds are")):
        assert telling.basis_lines(_told(leans=("It leans.",), promised=promised)) == [
            goes_by,
            "It leans.",
            f"{are} ordered for then and not taken off; to have them too, ask for {2 + promised}.",
        ]


def test_as_json_each_number_stands_under_its_name() -> None:
    plan = Plan(0.9, 4, date(2026, 12, 1))
    said = telling.readiness_as_dict(_told(plans=(plan,), promised=2, leans=("It leans.",)))
    assert (said["blanks_into_service"], said["blanks_settled"], said["served"]) == (14, 20, 9)
    assert (said["instrument"], said["reeds"], said["on"], said["days"]) == ("english horn", 2, "2026-12-03", 8)
    assert (said["expected"], said["hours"]) == (
        {"median": 2, "lo": 1, "hi": 3},
        {"median": 12.4, "lo": 8.6, "hi": 15.5},
    )
    assert said["plans"] == [{"chance": 0.9, "blanks": 4, "by": "2026-12-01"}]
    assert (said["chance"], said["promised"], said["level"], said["leans"]) == (0.5, 2, 7.0, ["It leans."])
